package capture_test

import (
	"errors"
	"strings"
	"testing"
	"time"

	"tracewright/models"
	"tracewright/models/work/worktest"
)

// Readings of the wrong wheel go to the right one as a correction: the wrong one
// is what it was before, the right one is judged, and both keep the trace.
func TestACorrectionMovesToAnotherWheel(t *testing.T) {
	worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
		wrong := h.MustRecord(h.Extremes())
		right := h.AnotherWheel()
		again := h.Extremes()
		again.Serial, again.Corrects, again.Reason = *right.Serial, wrong.Inspection.ID, "measured on the other wheel"
		moved := h.MustRecord(again)
		if moved.Item.ID != right.ID || moved.Item.State != models.StateConforming || !moved.Inspection.FirstSet {
			t.Errorf("moved to %s, %s, first set %v; want %s, conforming, the first set", moved.Item.Name(), moved.Item.State, moved.Inspection.FirstSet, *right.Serial)
		}
		old, err := h.Store.Inspection(h.Context(), wrong.Inspection.ID)
		h.Must(err)
		item, err := h.Store.Item(h.Context(), wrong.Item.ID)
		h.Must(err)
		if old.SupersededBy == nil || *old.SupersededBy != moved.Inspection.ID || item.State != models.StateInProcess {
			t.Errorf("the wrong wheel: superseded by %v, %s; want %s, in process", old.SupersededBy, item.State, moved.Inspection.ID)
		}
	})
}

// Moved from the office, the readings stay those of who took them when they were
// taken, masks included; a wrong or missing serial or reason moves nothing.
func TestMoveKeepsWhoMeasuredAndWhen(t *testing.T) {
	worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
		wrong := h.MustRecord(masked(h, 18))
		right := h.AnotherWheel()
		for name, c := range map[string]struct{ serial, reason, code string }{
			"no serial": {"", "r", "missing"}, "no reason": {*right.Serial, "", "reason_needed"}, "the same wheel": {*wrong.Item.Serial, "r", "recorded_for_it"}, "no such form": {"wheel", "r", "serial_form"},
		} {
			_, err := h.Capture.Move(h.Context(), h.Owner, wrong.Inspection.ID, c.serial, c.reason)
			var invalid *models.InvalidError
			if !errors.As(err, &invalid) || invalid.Problems[0].Code != c.code {
				t.Errorf("%s: %v, want %s", name, err, c.code)
			}
		}
		out, err := h.Capture.Move(h.Context(), h.Owner, wrong.Inspection.ID, *right.Serial, "the other wheel lay on the stand")
		h.Must(err)
		is, was := out.Inspection, wrong.Inspection
		if is.ItemID != right.ID || is.PersonID != h.Operator.PersonID || !is.MeasuredAt.Equal(was.MeasuredAt) || is.Supersedes == nil || *is.Supersedes != was.ID || countRemarks(is.Remarks, "masked_weld") != 1 {
			t.Errorf("moved: %+v; want the operator's, measured at %v, in place of %s, with its mask", is, was.MeasuredAt, was.ID)
		}
		if _, err := h.Capture.Move(h.Context(), h.Owner, was.ID, *right.Serial, "again"); err == nil {
			t.Error("the same inspection was moved twice")
		}
	})
}

// The blocks that were named with a pack's readings were in hand: a move takes
// them along, a correction names them for the right pack, and neither calls them
// taken. In the wrong pack they never were.
func TestPartsGoAlongWithReadings(t *testing.T) {
	part := func(place, number string) models.SentPart {
		return models.SentPart{Role: "block", Place: place, Number: number}
	}
	for _, c := range []struct {
		name  string
		named []models.SentPart // by the correction
		move  bool              // from the office
		stay  bool              // a correction of the same pack
		want  string            // blocks of the right pack
		out   int               // that never were in the first
	}{
		{"moved from the office", nil, true, false, "1.1 A, 1.2 B", 2},
		{"corrected to the right pack", []models.SentPart{part("1.1", "A"), part("1.2", "B")}, false, false, "1.1 A, 1.2 B", 2},
		{"corrected to the right pack with another block", []models.SentPart{part("1.1", "A"), part("1.2", "C")}, false, false, "1.1 A, 1.2 C", 2},
		{"corrected with the same blocks", []models.SentPart{part("1.1", "A"), part("1.2", "B")}, false, true, "1.1 A, 1.2 B", 0},
		{"corrected with another block", []models.SentPart{part("1.1", "A"), part("1.2", "C")}, false, true, "1.1 A, 1.2 C", 1},
		{"corrected without naming them", nil, false, true, "1.1 A, 1.2 B", 0},
	} {
		t.Run(c.name, func(t *testing.T) {
			worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
				for _, number := range []string{"A", "B", "C"} {
					h.Must(h.Store.AddItems(h.Context(), models.NewStamp(h.Owner, h.Now.Add(-72*time.Hour)), []models.Item{{ID: models.NewID(), Kind: models.KindBlock, Supplier: "Halden", Model: "12-12", MakerNumber: &number, Origin: "received"}}))
				}
				first := h.Pack()
				first.Parts = []models.SentPart{part("1.1", "A"), part("1.2", "B")}
				wrong := h.MustRecord(first)
				right := h.AnotherPack()
				if c.stay {
					right = wrong.Item
				}
				again := h.Pack()
				again.Serial, again.Corrects, again.Reason, again.Parts = *right.Serial, wrong.Inspection.ID, "it lay beside", c.named
				var err error
				if c.move {
					_, err = h.Capture.Move(h.Context(), h.Owner, wrong.Inspection.ID, *right.Serial, "it lay beside")
				} else {
					_, err = h.Record(again)
				}
				h.Must(err)
				parts, err := h.Store.Parts(h.Context(), right.ID)
				h.Must(err)
				var now []string
				for _, p := range models.Present(parts) {
					now = append(now, p.Place+" "+p.Number)
				}
				if got := strings.Join(now, ", "); got != c.want {
					t.Errorf("in the right pack: %s, want %s", got, c.want)
				}
				removed, err := h.Store.RemovalsOf(h.Context(), wrong.Item.ID)
				h.Must(err)
				for _, r := range removed {
					if r.Physical() || r.Code != models.RecordedWrongly {
						t.Errorf("taken out of the wrong pack: %+v", r)
					}
				}
				if len(removed) != c.out {
					t.Errorf("%d never were in the first, want %d", len(removed), c.out)
				}
				if held, err := h.Store.PartsElsewhere(h.Context(), right.ID); err != nil || len(held) > 0 {
					t.Errorf("in another pack too: %v, %v", held, err)
				}
			})
		})
	}
}
