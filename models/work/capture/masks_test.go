package capture_test

import (
	"errors"
	"fmt"
	"slices"
	"testing"

	"tracewright/models"
	"tracewright/models/work/worktest"
)

// masked is the shop's wheel at every hole, with a bead of weld under the tip at
// the spokes named (by data index), which are masked for it.
func masked(h *worktest.Shop, at ...int) models.Submission {
	sub := h.EveryHole()
	set := &sub.Sets[0]
	var values []string
	for i, v := range set.Values {
		if slices.Contains(at, i) {
			set.Masks = append(set.Masks, models.Mask{Index: models.Spoke(i), Reason: models.MaskWeld})
			continue
		}
		values, set.Index = append(values, v), append(set.Index, models.Spoke(i))
	}
	set.Values = values
	return sub
}

// The shop's saw tooth goes from 0.00 to 0.11 mm three times round, so that its
// width stays 0.11 mm without two of its stations, and is 0.10 mm with all three
// highest ones (spokes 12, 24, 36) masked.
func TestAMaskedStationIsNotJudged(t *testing.T) {
	for _, c := range []struct {
		at       []int
		tir      string
		detail   string
		readings int
	}{
		{[]int{18}, "0.11", "19 (weld)", 35},
		{[]int{0, 35}, "0.11", "1 (weld), 36 (weld)", 34},
		{[]int{11, 23, 35}, "0.10", "12 (weld), 24 (weld), 36 (weld)", 33},
	} {
		h := worktest.New(t)
		out := h.MustRecord(masked(h, c.at...))
		i := slices.IndexFunc(out.Results, func(r models.Result) bool { return r.Code == "lateral_tir" })
		r := out.Results[i]
		if r.Value != c.tir || r.Detail["masked"] != c.detail || r.Readings != c.readings || out.Inspection.Verdict != models.VerdictPass {
			t.Errorf("without %v: %s mm of %d readings, masked %q, verdict %s; want %s of %d, %q, pass", c.at, r.Value, r.Readings, r.Detail["masked"], out.Inspection.Verdict, c.tir, c.readings, c.detail)
		}
		if n := countRemarks(out.Inspection.Remarks, "masked_weld"); n != len(c.at) {
			t.Errorf("without %v: %d remarks of a mask, want %d: %v", c.at, n, len(c.at), out.Inspection.Remarks)
		}
		view, err := h.Store.InspectionView(h.Context(), out.Inspection.ID)
		h.Must(err)
		set := view.Sets[slices.IndexFunc(view.Sets, func(s models.ReadingSet) bool { return s.Code == "lateral_runout" })]
		if len(set.Masks) != len(c.at) || set.Masks[0] != (models.Mask{Index: models.Spoke(c.at[0]), Reason: models.MaskWeld}) {
			t.Errorf("without %v: stored masks %v", c.at, set.Masks)
		}
	}
}

func countRemarks(remarks []models.Remark, code string) int {
	n := 0
	for _, r := range remarks {
		if r.Code == code {
			n++
		}
	}
	return n
}

func TestBadMasksStoreNothingAndNameTheField(t *testing.T) {
	mask := func(index int, reason, note string) models.Mask {
		return models.Mask{Index: models.Spoke(index), Reason: reason, Note: note}
	}
	lateral := func(change func(*models.SentSet)) func(*models.Submission) {
		return func(s *models.Submission) { change(&s.Sets[0]) }
	}
	for _, c := range []struct {
		name        string
		change      func(*models.Submission)
		field, code string
	}{
		{"off the wheel", lateral(func(s *models.SentSet) { s.Masks[0].Index = models.Spoke(36) }), "sets[0].masks[0].index", "index_out_of_range"},
		{"a block of a pack", lateral(func(s *models.SentSet) { s.Masks[0].Index = models.Block(1, 2) }), "sets[0].masks[0].index", "index_out_of_range"},
		{"masked and read", lateral(func(s *models.SentSet) { s.Masks[0].Index = models.Spoke(3) }), "sets[0].masks[0].index", "masked_and_read"},
		{"the same twice", lateral(func(s *models.SentSet) { s.Masks = append(s.Masks, s.Masks[0]) }), "sets[0].masks[1].index", "index_twice"},
		{"a reason that is none", lateral(func(s *models.SentSet) { s.Masks[0].Reason = "did not like it" }), "sets[0].masks[0].reason", "mask_reason_unknown"},
		{"other without a word", lateral(func(s *models.SentSet) { s.Masks[0] = mask(18, models.MaskOther, " ") }), "sets[0].masks[0].note", "mask_note_needed"},
		{"a word that is a page", lateral(func(s *models.SentSet) { s.Masks[0] = mask(18, models.MaskOther, fmt.Sprintf("%0300d", 0)) }), "sets[0].masks[0].note", "too_long"},
		{"five of 36", lateral(func(s *models.SentSet) { s.Masks = make([]models.Mask, 5) }), "sets[0].masks", "too_many_masked"},
		{"without the places", lateral(func(s *models.SentSet) { s.Index = nil }), "sets[0].index", "masks_without_index"},
		{"spoke 1, which was read again", func(s *models.Submission) {
			set := &s.Sets[0]
			set.Masks[0].Index = models.Spoke(0)
			set.Values = append(set.Values[1:], "0.06", "0.00")
			set.Index = append(set.Index[1:], models.Spoke(18), models.Spoke(0))
		}, "sets[0].masks[0].index", "mask_of_station_0"},
		{"a hole neither read nor masked", lateral(func(s *models.SentSet) { s.Values, s.Index = s.Values[1:], s.Index[1:] }), "sets[0].values", "too_few_readings"},
		{"a tension", func(s *models.Submission) { s.Sets[3].Masks = s.Sets[0].Masks }, "sets[3].masks", "mask_not_here"},
		{"a dish", func(s *models.Submission) { s.Sets[2].Masks = s.Sets[0].Masks }, "sets[2].masks", "mask_not_here"},
		{"a tick", func(s *models.Submission) { s.Sets[5].Masks = s.Sets[0].Masks }, "sets[5].masks", "mask_not_here"},
		{"by extremes", lateral(func(s *models.SentSet) {
			s.Method, s.Values, s.Index = models.Extremes, []string{"0.1", "0.0"}, []models.Position{models.Spoke(4), models.Spoke(9)}
		}), "sets[0].masks", "mask_not_here"},
	} {
		t.Run(c.name, func(t *testing.T) {
			h := worktest.New(t)
			sub := masked(h, 18)
			c.change(&sub)
			_, err := h.Record(sub)
			var invalid *models.InvalidError
			if !errors.As(err, &invalid) {
				t.Fatalf("got %v, want problems", err)
			}
			if !slices.ContainsFunc(invalid.Problems, func(p models.Problem) bool { return p.Field == c.field && p.Code == c.code }) {
				t.Errorf("problems %v, want %s at %s", invalid.Problems, c.code, c.field)
			}
		})
	}
}

// What the readings of a whole wheel make one ask is a remark of the inspection
// and changes no verdict. Limits: common practice, no source.
func TestDoubtsOfAWholeSetAreRemarks(t *testing.T) {
	side := func(i int, values ...string) func(*models.Submission) {
		return func(s *models.Submission) {
			for j := range s.Sets[i].Values {
				s.Sets[i].Values[j] = values[j%len(values)]
			}
		}
	}
	for _, c := range []struct {
		name   string
		change func(*models.Submission)
		want   string
	}{
		{"nothing", func(*models.Submission) {}, ""},
		{"a spike at one station", func(s *models.Submission) { s.Sets[0].Values[5] = "0.25" }, "lateral_spike"},
		{"a spike of the radial set", func(s *models.Submission) { s.Sets[1].Values[5] = "0.31" }, "radial_spike"},
		{"an indicator that sticks while the rim moves", func(s *models.Submission) {
			copy(s.Sets[0].Values[3:], []string{"0.03", "0.03", "0.03", "0.03"})
			copy(s.Sets[1].Values[3:], []string{"0.00", "0.05", "0.10", "0.05"})
		}, "gauge_stuck"},
		{"a gauge that was not set to zero", func(s *models.Submission) {
			for j := range s.Sets[0].Values {
				s.Sets[0].Values[j] = "1" + s.Sets[0].Values[j][1:]
			}
		}, "gauge_not_zeroed"},
		{"one tension read at a crossing", func(s *models.Submission) { s.Sets[3].Values[7] = "1250" }, "tension_off_side"},
		{"tensions typed in kgf as newtons", func(s *models.Submission) { side(3, "102")(s); side(4, "97")(s) }, "unit_suspect"},
	} {
		t.Run(c.name, func(t *testing.T) {
			h := worktest.New(t)
			sub := h.EveryHole()
			c.change(&sub)
			out := h.MustRecord(sub)
			if c.want == "" {
				if len(out.Inspection.Remarks) > 0 {
					t.Errorf("remarks %v, want none", out.Inspection.Remarks)
				}
				return
			}
			if !hasRemark(out.Inspection.Remarks, c.want) {
				t.Errorf("remarks %v, want %s", out.Inspection.Remarks, c.want)
			}
		})
	}
}
