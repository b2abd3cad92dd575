package capture_test

import (
	"errors"
	"slices"
	"testing"
	"time"

	"tracewright/models"
	"tracewright/models/trade/ident"
	"tracewright/models/work/worktest"
)

func TestAWheelByItsExtremesPasses(t *testing.T) {
	worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
		out := h.MustRecord(h.Extremes())
		if !out.Created || !out.Placed || out.Inspection.Verdict != models.VerdictPass || out.Item.State != models.StateConforming {
			t.Fatalf("got created %v, placed %v, verdict %s, state %s", out.Created, out.Placed, out.Inspection.Verdict, out.Item.State)
		}
		if !out.Inspection.FirstSet || out.Inspection.Round != 1 {
			t.Errorf("first set %v, round %d; want the first set of round 1", out.Inspection.FirstSet, out.Inspection.Round)
		}
		// "0,13" less "-0.09" is 0.22; ".21" less "-0.05" is 0.26, by hand.
		for code, want := range map[string]string{"lateral_tir": "0.22", "radial_tir": "0.26", "dish_offset": "0.2"} {
			if got := valueOf(out.Results, code); got != want {
				t.Errorf("%s = %s, want %s", code, got, want)
			}
		}
		stored, err := h.Store.InspectionView(t.Context(), out.Inspection.ID)
		h.Must(err)
		for _, s := range stored.Sets {
			if s.Code == "lateral_runout" && !slices.Equal(s.Values, []string{"0,13", "-0.09"}) {
				t.Errorf("readings were stored as %v, not as typed", s.Values)
			}
		}
	})
}

func valueOf(results []models.Result, code string) string {
	for _, r := range results {
		if r.Code == code {
			return r.Value
		}
	}
	return "absent"
}

// Limits of the standard grade, common practice: 0.30 lateral and 0.50 radial
// full reading, 1.00 dish. Each on its limit passes, one step beyond fails.
func TestBothSidesOfEachLimit(t *testing.T) {
	for _, c := range []struct {
		name   string
		change func(*models.Submission)
		want   string
	}{
		{"lateral equal to the limit", func(s *models.Submission) { s.Sets[0].Values = []string{"0.20", "-0.10"} }, models.VerdictPass},
		{"lateral one hundredth beyond", func(s *models.Submission) { s.Sets[0].Values = []string{"0.21", "-0.10"} }, models.VerdictFail},
		{"radial equal to the limit", func(s *models.Submission) { s.Sets[1].Values = []string{"0.30", "-0.20"} }, models.VerdictPass},
		{"radial one hundredth beyond", func(s *models.Submission) { s.Sets[1].Values = []string{"0.31", "-0.20"} }, models.VerdictFail},
		{"dish equal to the limit", func(s *models.Submission) { s.Sets[2].Values = []string{"66.4", "68.4"} }, models.VerdictPass},
		{"dish beyond", func(s *models.Submission) { s.Sets[2].Values = []string{"66.35", "68.4"} }, models.VerdictFail},
		{"mean of the tighter side at 1300 N", func(s *models.Submission) { s.Sets[3].Values = []string{"1300", "1300", "1300"} }, models.VerdictPass},
		{"mean of the tighter side above", func(s *models.Submission) { s.Sets[3].Values = []string{"1300", "1301", "1300"} }, models.VerdictFail},
		{"lowest spoke at 450 N", func(s *models.Submission) { s.Sets[4].Values = []string{"450", "451", "450"} }, models.VerdictPass},
		{"lowest spoke below", func(s *models.Submission) { s.Sets[4].Values = []string{"449", "451", "450"} }, models.VerdictFail},
		{"a tick that is no", func(s *models.Submission) { s.Sets[5].Values = []string{"no"} }, models.VerdictFail},
		{"a tick that does not apply", func(s *models.Submission) { s.Sets[10].Values = []string{"na"} }, models.VerdictPass},
		{"dish left out", func(s *models.Submission) { s.Sets = slices.Delete(s.Sets, 2, 3) }, models.VerdictIncomplete},
	} {
		t.Run(c.name, func(t *testing.T) {
			h := worktest.New(t)
			sub := h.Extremes()
			c.change(&sub)
			out := h.MustRecord(sub)
			if out.Inspection.Verdict != c.want {
				t.Errorf("verdict %s, want %s; %v", out.Inspection.Verdict, c.want, out.Results)
			}
			wantState := models.StateInProcess
			if c.want == models.VerdictPass {
				wantState = models.StateConforming
			}
			if out.Item.State != wantState {
				t.Errorf("state %s, want %s", out.Item.State, wantState)
			}
		})
	}
}

func TestAPackPasses(t *testing.T) {
	worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
		out := h.MustRecord(h.Pack())
		if out.Inspection.Verdict != models.VerdictPass {
			t.Fatalf("verdict %s, want pass: %v %v", out.Inspection.Verdict, out.Results, out.Inspection.Remarks)
		}
		if !hasRemark(out.Inspection.Remarks, "grade_a") {
			t.Errorf("remarks %v do not name the grade", out.Inspection.Remarks)
		}
	})
}

func TestRestOfAPack(t *testing.T) {
	for _, c := range []struct {
		conditions    models.Conditions
		want          string
		state, remark string
	}{
		{models.Conditions{RestHours: "6"}, models.VerdictProvisional, models.StateConforming, "rest_too_short"},
		{models.Conditions{RestHours: "3"}, models.VerdictIncomplete, models.StateInProcess, "rest_too_short"},
		{models.Conditions{RestHours: "30", OnCharger: true}, models.VerdictIncomplete, models.StateInProcess, "on_charger"},
	} {
		h := worktest.New(t)
		sub := h.Pack()
		sub.Conditions = c.conditions
		out := h.MustRecord(sub)
		if out.Inspection.Verdict != c.want || out.Item.State != c.state || !hasRemark(out.Inspection.Remarks, c.remark) {
			t.Errorf("%+v: verdict %s, state %s, remarks %v; want %s, %s, %s", c.conditions, out.Inspection.Verdict, out.Item.State, out.Inspection.Remarks, c.want, c.state, c.remark)
		}
	}
}

func hasRemark(remarks []models.Remark, code string) bool {
	return slices.ContainsFunc(remarks, func(r models.Remark) bool { return r.Code == code })
}

func TestMalformedInputStoresNothingAndNamesTheField(t *testing.T) {
	set := func(i int, change func(*models.SentSet)) func(*models.Submission) {
		return func(s *models.Submission) { change(&s.Sets[i]) }
	}
	value := func(typed string) func(*models.Submission) {
		return set(0, func(s *models.SentSet) { s.Values = []string{typed, "-0.09"} })
	}
	for _, c := range []struct {
		name        string
		change      func(*models.Submission)
		field, code string
	}{
		{"two points", value("1.2.3"), "sets[0].values[0]", "not_a_number"},
		{"a sign alone", value("-"), "sets[0].values[0]", "not_a_number"},
		{"nothing", value(""), "sets[0].values[0]", "not_a_number"},
		{"an exponent", value("1e999"), "sets[0].values[0]", "not_a_number"},
		{"beyond the instrument's range", value("31.0"), "sets[0].values[0]", "outside_range"},
		{"another unit typed", value("0.13 N"), "sets[0].values[0]", "other_unit_typed"},
		{"a unit not accepted", set(0, func(s *models.SentSet) { s.Unit = "N" }), "sets[0].unit", "unit_not_accepted"},
		{"too few readings", set(0, func(s *models.SentSet) { s.Values = s.Values[:1]; s.Index = nil }), "sets[0].values", "too_few_readings"},
		{"unknown instrument", set(0, func(s *models.SentSet) { s.Instrument = "D-9" }), "sets[0].instrument", "unknown_instrument"},
		{"instrument of another kind", set(0, func(s *models.SentSet) { s.Instrument = "T-1" }), "sets[0].instrument", "wrong_instrument"},
		{"no instrument", set(0, func(s *models.SentSet) { s.Instrument = "" }), "sets[0].instrument", "instrument_missing"},
		{"unknown characteristic", set(0, func(s *models.SentSet) { s.Characteristic = "colour" }), "sets[0].characteristic", "unknown_characteristic"},
		{"the same set twice", func(s *models.Submission) { s.Sets = append(s.Sets, s.Sets[0]) }, "sets[11]", "characteristic_twice"},
		{"unknown stage", func(s *models.Submission) { s.Stage = "final" }, "stage", "unknown_stage"},
		{"wrong check character", func(s *models.Submission) { s.Serial = s.Serial[:8] + flipped(s.Serial[8]) }, "serial", "serial_check"},
		{"no serial at all", func(s *models.Submission) { s.Serial = "wheel" }, "serial", "serial_form"},
		{"no id", func(s *models.Submission) { s.ID = "7" }, "id", "bad_id"},
		{"end before start", func(s *models.Submission) { s.FinishedAt = s.StartedAt.Add(-time.Second) }, "finished_at", "end_before_start"},
		{"begun longer ago than any reading takes", func(s *models.Submission) {
			s.StartedAt = time.Date(1, 1, 1, 0, 0, 1, 0, time.UTC)
		}, "started_at", "start_far"},
		{"begun a second more than 90 days before its end", func(s *models.Submission) { s.StartedAt = s.FinishedAt.Add(-90*24*time.Hour - time.Second) }, "started_at", "start_far"},
		{"read in the future", func(s *models.Submission) { s.FinishedAt = s.FinishedAt.Add(time.Hour) }, "finished_at", "in_the_future"},
		{"an answer that is none", set(5, func(s *models.SentSet) { s.Values = []string{"maybe"} }), "sets[5].values[0]", "unknown_choice"},
		{"lowest above highest", set(0, func(s *models.SentSet) { s.Values = []string{"-0.1", "0.2"} }), "sets[0].values", "lowest_above_highest"},
	} {
		t.Run(c.name, func(t *testing.T) {
			h := worktest.New(t)
			sub := h.Extremes()
			c.change(&sub)
			_, err := h.Record(sub)
			var invalid *models.InvalidError
			if !errors.As(err, &invalid) {
				t.Fatalf("got %v, want problems", err)
			}
			if !slices.ContainsFunc(invalid.Problems, func(p models.Problem) bool { return p.Field == c.field && p.Code == c.code }) {
				t.Errorf("problems %v, want %s at %s", invalid.Problems, c.code, c.field)
			}
			if n := h.Count(h.Item[models.KindWheel].ID); n != 0 {
				t.Errorf("%d inspections were stored", n)
			}
			if waiting, _ := h.Capture.Unplaced(t.Context()); len(waiting) != 0 {
				t.Errorf("%d unplaced inspections were stored", len(waiting))
			}
		})
	}
}

// flipped is another check character than the right one.
func flipped(c byte) string {
	if c == 'A' {
		return "B"
	}
	return "A"
}

func TestNPlusOneRereadIsRight(t *testing.T) {
	worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
		sub := h.EveryHole()
		sub.Sets[0].Values = append(sub.Sets[0].Values, "0.00")
		if out := h.MustRecord(sub); valueOf(out.Results, "lateral_tir") == "absent" {
			t.Error("no full reading from N plus one reread")
		}
		sub = h.EveryHole()
		sub.Sets[0].Values = append(sub.Sets[0].Values, "0.00", "0.00")
		if _, err := h.Record(sub); err == nil {
			t.Error("N plus two readings were accepted")
		}
	})
}

func TestEveryProblemIsNamedAtOnce(t *testing.T) {
	worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
		sub := h.Extremes()
		sub.Sets[0].Values[0], sub.Sets[1].Values[1], sub.Sets[2].Unit = "x", "31", "V"
		_, err := h.Record(sub)
		var invalid *models.InvalidError
		if !errors.As(err, &invalid) || len(invalid.Problems) != 3 {
			t.Errorf("got %v, want three problems", err)
		}
	})
}

func TestRepeatingIsHarmless(t *testing.T) {
	worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
		sub := h.Extremes()
		first := h.MustRecord(sub)
		h.Now = h.Now.Add(time.Hour)
		again := h.MustRecord(sub)
		if again.Created || again.Inspection.ID != first.Inspection.ID || again.Inspection.ReceivedAt != first.Inspection.ReceivedAt || len(again.Results) != len(first.Results) {
			t.Errorf("the second answer differs from the first: %+v", again.Inspection)
		}
		sub.Sets[0].Values[0] = "0.14"
		if _, err := h.Record(sub); !errors.Is(err, models.ErrConflict) {
			t.Errorf("the same id with other content gave %v, want a conflict", err)
		}
		if n := h.Count(first.Item.ID); n != 1 {
			t.Errorf("%d inspections, want 1", n)
		}
	})
}

func TestARecheckIsKeptAndMovesNothing(t *testing.T) {
	worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
		h.MustRecord(h.Extremes())
		sub := h.Extremes()
		sub.Stage = models.Recheck
		out := h.MustRecord(sub)
		if !out.Inspection.Recheck || out.Item.State != models.StateConforming {
			t.Errorf("recheck %v, state %s", out.Inspection.Recheck, out.Item.State)
		}
		failing := h.Extremes()
		failing.Stage = models.Recheck
		failing.Sets[0].Values = []string{"0.9", "-0.9"}
		out = h.MustRecord(failing)
		if out.Item.State != models.StateHeld {
			t.Errorf("a failing recheck left the item %s, want held", out.Item.State)
		}
		holds, err := h.Store.OpenHolds(t.Context(), out.Item.ID)
		h.Must(err)
		if len(holds) != 1 || holds[0].StateBefore != models.StateConforming {
			t.Errorf("holds %+v, want one that remembers conforming", holds)
		}
	})
}

func TestAnOverdueGaugeIsFlaggedAndKept(t *testing.T) {
	worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
		sub := h.Extremes()
		sub.Sets[0].Instrument = "D-2" // due the day before
		out := h.MustRecord(sub)
		if out.Inspection.Verdict != models.VerdictPass || !hasRemark(out.Inspection.Remarks, "instrument_overdue") {
			t.Errorf("verdict %s, remarks %v", out.Inspection.Verdict, out.Inspection.Remarks)
		}
	})
}

func TestFinerThanTheGaugeIsFlaggedOnce(t *testing.T) {
	worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
		sub := h.Extremes()
		sub.Sets[0].Values = []string{"0.123", "-0.091"}
		out := h.MustRecord(sub)
		n := 0
		for _, s := range out.Sets {
			for _, r := range s.Remarks {
				if r.Code == "finer_than_resolution" {
					n++
				}
			}
		}
		if n != 1 || valueOf(out.Results, "lateral_tir") != "0.214" {
			t.Errorf("%d flags, full reading %s; want one flag and 0.214", n, valueOf(out.Results, "lateral_tir"))
		}
	})
}

func TestUnitsGiveTheSameVerdict(t *testing.T) {
	worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
		newtons := h.MustRecord(h.Extremes())
		sub := h.Extremes()
		sub.Serial = *h.AnotherWheel().Serial
		// 100 kgf is 980.665 N exactly; three alike, so the mean is that.
		sub.Sets[3].Unit, sub.Sets[3].Values = "kgf", []string{"100", "100", "100"}
		kgf := h.MustRecord(sub)
		if got := valueOf(kgf.Results, "tension_lowest"); got != "980.665" {
			t.Errorf("lowest tension %s N, want 980.665", got)
		}
		if newtons.Inspection.Verdict != kgf.Inspection.Verdict {
			t.Errorf("verdicts differ: %s and %s", newtons.Inspection.Verdict, kgf.Inspection.Verdict)
		}
	})
}

func TestAPrintedSerialMakesItsItemOnFirstScan(t *testing.T) {
	worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
		w := h.Item[models.KindWheel]
		roll, err := h.Store.AddRoll(t.Context(), models.NewStamp(h.Owner, h.Now), models.SerialRoll{Letter: "W", Year: 31, First: 1, Last: 40})
		h.Must(err)
		serial, _, err := ident.Next('W', 31, roll.First)
		h.Must(err)
		sub := h.Extremes()
		sub.Serial = serial
		_, err = h.Record(sub)
		var invalid *models.InvalidError
		if !errors.As(err, &invalid) || invalid.Problems[0].Code != "product_of_roll_missing" {
			t.Fatalf("without a product: %v", err)
		}
		sub.Product = *w.ProductID
		out := h.MustRecord(sub)
		if !out.Placed || out.Item.Origin != "roll" || *out.Item.Serial != serial {
			t.Errorf("got %+v", out.Item)
		}
		stored, err := h.Store.ItemBySerial(t.Context(), serial)
		h.Must(err)
		if stored.State != models.StateConforming {
			t.Errorf("the new item is %s, want conforming", stored.State)
		}
	})
}

func TestMovingAnInspectionToAnotherSerialIsACorrection(t *testing.T) {
	worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
		right := h.AnotherWheel()
		wrong := h.MustRecord(h.Extremes())
		moved := h.Extremes()
		moved.Serial, moved.Corrects = *right.Serial, wrong.Inspection.ID
		if _, err := h.Record(moved); err == nil {
			t.Fatal("a correction without a reason was accepted")
		}
		moved.Reason = "measured the wrong wheel"
		out := h.MustRecord(moved)
		if !out.Inspection.FirstSet {
			t.Error("the moved inspection is not the first set of its new wheel")
		}
		old, err := h.Store.Inspection(t.Context(), wrong.Inspection.ID)
		h.Must(err)
		if old.SupersededBy == nil || *old.SupersededBy != out.Inspection.ID || old.FirstSet {
			t.Errorf("the old one is superseded by %v, first set %v", old.SupersededBy, old.FirstSet)
		}
		emptied, err := h.Store.ItemBySerial(t.Context(), h.Serial[models.KindWheel])
		h.Must(err)
		if emptied.State != models.StateInProcess {
			t.Errorf("the wheel it was taken from is %s, want in process again", emptied.State)
		}
	})
}

func TestAnotherPersonsWorkIsNotCorrectedByAnOperator(t *testing.T) {
	worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
		out, err := h.Capture.Record(t.Context(), h.Owner, h.Extremes(), h.Now)
		h.Must(err)
		sub := h.Extremes()
		sub.Corrects, sub.Reason = out.Inspection.ID, "a guess"
		if _, err := h.Record(sub); !errors.Is(err, models.ErrForbidden) {
			t.Errorf("got %v, want forbidden", err)
		}
	})
}
