package gauges_test

import (
	"encoding/json"
	"errors"
	"slices"
	"testing"
	"time"

	"tracewright/models"
	"tracewright/models/work/gauges"
	"tracewright/models/work/recall"
	"tracewright/models/work/worktest"
	"tracewright/testdata/cases"
)

// room is a workshop with its register.
type room struct {
	*worktest.Shop
	s *gauges.Service
}

func eachRoom(t *testing.T, f func(t *testing.T, r *room)) {
	t.Helper()
	worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
		f(t, &room{Shop: h, s: gauges.New(h.Store, h.Capture, h.Clock, worktest.Zone)})
	})
}

// at puts the clock to a moment of a case.
func (r *room) at(moment string) {
	r.Helper()
	t, err := time.Parse(time.RFC3339, moment)
	r.Must(err)
	r.Now = t
}

// calibrate enters a calibration now: as found and as left at one point of 1 mm,
// within 0.02 mm or beyond.
func (r *room) calibrate(code, standard string, foundGood, leftGood bool) gauges.Calibrated {
	r.Helper()
	reads := map[bool]string{true: "1.00", false: "1.10"}
	out, err := r.s.Calibrate(r.Context(), r.Owner, code, gauges.NewCalibration{By: "lab", Standard: standard, Adjusted: foundGood != leftGood,
		Points: []models.CalibrationPoint{{Reference: "1.00", AsFound: reads[foundGood], AsLeft: reads[leftGood], Tolerance: "0.02"}}})
	r.Must(err)
	return out
}

// wheel measures a new wheel now: run-outs with one gauge.
func (r *room) wheel(dial string, high, low string) models.Inspection {
	r.Helper()
	sub := r.Extremes()
	sub.Serial, sub.FinishedAt = *r.AnotherWheel().Serial, r.Now
	for i := range 2 {
		sub.Sets[i].Instrument, sub.Sets[i].Values = dial, []string{high, low}
	}
	return r.MustRecord(sub).Inspection
}

func content(t *testing.T, trace *models.GaugeTrace) models.TraceContent {
	t.Helper()
	var c models.TraceContent
	if trace == nil {
		t.Fatal("nothing was traced")
	}
	if err := json.Unmarshal([]byte(trace.Content), &c); err != nil {
		t.Fatal(err)
	}
	return c
}

// reverseCase is what a case of kind reverse_trace says.
type reverseCase struct {
	Calibrations []struct {
		Instrument, T string
		AsFound       string `json:"as_found"`
		AsLeft        string `json:"as_left"`
	} `json:"calibrations"`
	Measurements []struct{ ID, Instrument, T string } `json:"measurements"`
	Checks       []struct{ Checked, Used, T string }  `json:"intermediate_checks"`
}

// The cases of reverse traces, lived through in the order of time: what a case
// calls an instrument is one of the register, and the trace is asked for at the
// end.
func TestReverseTraceCases(t *testing.T) {
	for _, c := range cases.OfKind(t, "reverse_trace") {
		in := cases.Decode[reverseCase](t, c.Input)
		want := cases.Decode[struct {
			Suspects []string `json:"suspect_measurements"`
			Windows  []struct{ Instrument, From, To string }
		}](t, c.Expected)
		t.Run(c.ID, func(t *testing.T) {
			eachRoom(t, func(t *testing.T, r *room) { r.live(t, in, want.Suspects, len(want.Windows)) })
		})
	}
}

func (r *room) live(t *testing.T, in reverseCase, suspects []string, windows int) {
	known := map[string]bool{}
	add := func(code string) {
		if !known[code] {
			known[code] = true
			_, err := r.s.Add(t.Context(), r.Owner, models.Instrument{Code: code, Kind: "dial", Name: code, Unit: "mm"})
			r.Must(err)
		}
	}
	type event struct {
		at string
		do func()
	}
	var events []event
	var failed gauges.Calibrated
	var of string
	ids := map[string]string{} // inspection -> measurement
	for _, x := range in.Calibrations {
		add(x.Instrument)
		events = append(events, event{x.T, func() {
			if out := r.calibrate(x.Instrument, "the laboratory's", x.AsFound == "pass", x.AsLeft == "pass"); out.Trace != nil {
				failed, of = out, x.Instrument
			}
		}})
	}
	for _, x := range in.Checks {
		add(x.Checked)
		add(x.Used)
		check, err := r.s.AddCheck(t.Context(), r.Owner, x.Checked, gauges.NewCheck{What: models.CheckOfOtherKind, Piece: x.Used, Reference: "1", Low: "0.98", High: "1.02"})
		r.Must(err)
		events = append(events, event{x.T, func() {
			_, err := r.s.Check(t.Context(), r.Owner, x.Checked, check.ID, models.NewID(), "1.00")
			r.Must(err)
		}})
	}
	for _, x := range in.Measurements {
		add(x.Instrument)
		events = append(events, event{x.T, func() { ids[r.wheel(x.Instrument, "0.05", "-0.05").ID] = x.ID }})
	}
	slices.SortStableFunc(events, func(a, b event) int {
		if a.at < b.at {
			return -1
		}
		return 1
	})
	for _, e := range events {
		r.at(e.at)
		e.do()
	}
	r.Now = r.Now.Add(time.Hour)
	trace, err := r.s.Trace(t.Context(), r.Owner, of, models.CauseCalibration, failed.Report.ID)
	r.Must(err)
	found := content(t, &trace)
	var got []string
	for _, set := range found.Sets {
		if id := ids[set.Inspection]; !slices.Contains(got, id) {
			got = append(got, id)
		}
	}
	slices.Sort(got)
	if !slices.Equal(got, suspects) || len(found.Windows) != windows {
		t.Errorf("suspect are %v in %d windows %+v, want %v in %d", got, len(found.Windows), found.Windows, suspects, windows)
	}
}

// The workshop allows a lateral run-out of 0.30 mm, and the gauge read 0.22 of 0.32
// and -0.22 of -0.32: 0.10 too little at the one, too much at the other, and in a
// straight line between them. By hand: 0.14 and -0.14 were 0.2036 and -0.2036, 0.41
// apart in place of 0.28, which passes no more; 0.05 and -0.05 were 0.0727 and
// -0.0727, 0.1454 apart; 0.30 lies outside the points.
func TestEachVerdictIsJudgedAgain(t *testing.T) {
	eachRoom(t, func(t *testing.T, r *room) {
		ctx := t.Context()
		lost, good, outside := r.wheel("D-1", "0.14", "-0.14"), r.wheel("D-1", "0.05", "-0.05"), r.wheel("D-1", "0.30", "0.02")
		sound, again := r.wheel("D-2", "0.14", "-0.14"), r.wheel("D-1", "0.14", "-0.14")
		sub := r.Extremes()
		r.Now = r.Now.Add(time.Minute)
		item, err := r.Store.Item(ctx, again.ItemID)
		r.Must(err)
		sub.ID, sub.Serial, sub.FinishedAt = models.NewID(), *item.Serial, r.Now
		for i := range 2 {
			sub.Sets[i].Instrument = "D-2"
		}
		r.MustRecord(sub)
		shipped := r.wheel("D-1", "0.14", "-0.14")
		_, err = r.Store.AddShipment(ctx, models.NewStamp(r.Owner, r.Now), 31, models.Shipment{Items: []string{shipped.ItemID}, Against: []models.Remark{models.NewRemark("not_released")}})
		r.Must(err)
		r.Now = r.Now.Add(time.Hour)
		out, err := r.s.Calibrate(ctx, r.Owner, "D-1", gauges.NewCalibration{By: "lab", Standard: "gauge blocks", Points: []models.CalibrationPoint{
			{Reference: "0.32", AsFound: "0.22", Tolerance: "0.02"}, {Reference: "-0.32", AsFound: "-0.22", Tolerance: "0.02"}}})
		r.Must(err)
		if out.Report.AsFoundGood || out.Report.AsLeftGood || out.Report.Points[0].Reference != "-0.32" {
			t.Errorf("the report: %+v", out.Report)
		}
		c := content(t, out.Trace)
		if len(c.Windows) != 1 || c.Windows[0].From != nil || c.Windows[0].Until == nil || !c.Windows[0].Until.Equal(out.Report.MadeAt) {
			t.Errorf("no good event is known, so the window is open at its start: %+v", c.Windows)
		}
		effects := map[string]string{}
		for _, set := range c.Sets {
			if set.Code == "lateral_runout" {
				effects[set.Inspection] = set.Effect
			}
			if set.Inspection == good.ID && set.Code == "lateral_runout" {
				if len(set.Results) != 1 || set.Results[0].Value != "0.10" || set.Results[0].Now[:5] != "0.145" {
					t.Errorf("0.05 and -0.05 come to %+v, want 0.1454", set.Results)
				}
			}
		}
		for id, want := range map[string]string{lost.ID: models.SetNoLonger, good.ID: models.SetStaysGood, outside.ID: models.SetNotKnown, again.ID: models.SetMeasuredNew, shipped.ID: models.SetNoLonger, sound.ID: ""} {
			if effects[id] != want {
				t.Errorf("%s: %q, want %q", id, effects[id], want)
			}
		}

		held, err := r.s.HoldTraced(ctx, r.Owner, "D-1", out.Trace.ID)
		r.Must(err)
		state := func(i models.Inspection) string {
			item, err := r.Store.Item(ctx, i.ItemID)
			r.Must(err)
			return item.State
		}
		holds, err := r.Store.OpenHolds(ctx, lost.ItemID)
		r.Must(err)
		if held != 2 || state(lost) != models.StateHeld || state(outside) != models.StateHeld || state(good) == models.StateHeld || state(shipped) != models.StateShipped || len(holds) != 1 || holds[0].Code != models.HoldGauge || holds[0].Reason != "D-1" {
			t.Errorf("%d held: %s, %s, %s, %s by %+v", held, state(lost), state(outside), state(good), state(shipped), holds)
		}
		var refused *models.RefusedError
		if _, err := r.s.HoldTraced(ctx, r.Owner, "D-1", out.Trace.ID); !errors.As(err, &refused) {
			t.Errorf("held twice: %v", err)
		}

		calls := recall.New(r.Store, r.Clock, worktest.Zone)
		made, err := calls.Make(ctx, r.Owner, recall.NewRecall{Ask: recall.Ask{Trace: out.Trace.ID}, Reason: "the dial read too little"})
		r.Must(err)
		v, err := calls.Recall(ctx, made.Number)
		r.Must(err)
		if len(v.Rows) != 1 || v.Rows[0].Of.ID != shipped.ItemID || v.About != "D-1" || state(shipped) != models.StateRecalled {
			t.Errorf("called back: %+v about %q, it is %s", v.Rows, v.About, state(shipped))
		}
		_, err = calls.Preview(ctx, recall.Ask{Trace: models.NewID()})
		worktest.WantProblems(t, err, "trace: unknown_choice")

		view, err := r.s.Instrument(ctx, "D-1")
		r.Must(err)
		if view.Standing != gauges.Out {
			t.Errorf("left out of tolerance, it is %s", view.Standing)
		}
		entries, err := r.Store.TrailOf(ctx, []string{out.Report.ID, out.Trace.ID, holds[0].ID}, 9)
		r.Must(err)
		if len(entries) != 3 {
			t.Errorf("%d entries of report, trace and hold, want one each", len(entries))
		}
	})
}

// A tablet whose clock is an hour ahead sends the time that it thinks it is; the
// reading counts at the time that it was.
func TestAWindowCountsTheTimeThatItWas(t *testing.T) {
	eachRoom(t, func(t *testing.T, r *room) {
		r.calibrate("D-1", "lab", true, true)
		r.Now = r.Now.Add(time.Hour)
		ahead := r.Now.Add(time.Hour)
		sub := r.Extremes()
		sub.StartedAt, sub.FinishedAt = ahead.Add(-2*time.Minute), ahead
		out, err := r.Capture.Record(t.Context(), r.Operator, sub, ahead)
		r.Must(err)
		if out.Inspection.OffsetMS != 3600_000 {
			t.Fatalf("the clock is ahead by %d ms", out.Inspection.OffsetMS)
		}
		r.Now = r.Now.Add(time.Minute) // before the time that the tablet said
		failed := r.calibrate("D-1", "lab", false, true)
		if c := content(t, failed.Trace); len(c.Sets) != 2 || c.Sets[0].Inspection != out.Inspection.ID {
			t.Errorf("in the window: %+v", c.Sets)
		}
		r.Now = r.Now.Add(time.Minute)
		later := r.wheel("D-1", "0.05", "-0.05")
		trace, err := r.s.Trace(t.Context(), r.Owner, "D-1", models.CauseCalibration, failed.Report.ID)
		r.Must(err)
		if trace.N != 2 {
			t.Errorf("asked again it is answer %d", trace.N)
		}
		for _, set := range content(t, &trace).Sets {
			if set.Inspection == later.ID {
				t.Error("what was measured after the failure is in its window")
			}
		}
	})
}

// The cases of verdicts judged again: a mean tension under guarded acceptance, with
// the uncertainty and the limits of the case, and a gauge that read the same too
// much everywhere.
func TestReevaluationCases(t *testing.T) {
	for _, c := range cases.OfKind(t, "reevaluate_after_oot") {
		in := cases.Decode[struct {
			Y      json.Number
			Error  json.Number `json:"as_found_error_at_value"`
			U      json.Number
			TL, TU json.Number
			Rule   string
		}](t, c.Input)
		want := cases.Decode[struct {
			Corrected             float64
			Before, After, Impact string
		}](t, c.Expected)
		t.Run(c.ID, func(t *testing.T) {
			eachRoom(t, func(t *testing.T, r *room) {
				ctx := t.Context()
				wheel := r.AnotherWheel()
				spec, err := r.Store.SpecificationInForce(ctx, *wheel.FamilyID, wheel.ProductID)
				r.Must(err)
				spec.ID, spec.Revision, spec.Rule, spec.GuardFactor, spec.Reason = models.NewID(), spec.Revision+1, in.Rule, "1", "as the case says"
				for i := range spec.Characteristics {
					for k := range spec.Characteristics[i].Results {
						l := &spec.Characteristics[i].Results[k]
						if l.Result != "tension_mean_tight" {
							l.Low, l.High = "", ""
							continue
						}
						l.Low, l.High, l.U = in.TL.String(), in.TU.String(), in.U.String()
					}
				}
				r.Must(r.Store.AddSpecification(ctx, models.NewStamp(r.Owner, r.Now.Add(-time.Hour)), spec))
				sub := r.Extremes()
				sub.Serial, sub.FinishedAt = *wheel.Serial, r.Now
				for _, i := range []int{3, 4} {
					y := in.Y.String()
					sub.Sets[i].Values = []string{y, y, y}
				}
				before := r.MustRecord(sub).Results
				r.Now = r.Now.Add(time.Hour)
				out, err := r.s.Calibrate(ctx, r.Owner, "T-1", gauges.NewCalibration{By: "lab", Standard: "hung weights", Points: []models.CalibrationPoint{{Reference: "1000", AsFound: sum(t, "1000", in.Error), Tolerance: "5"}}})
				r.Must(err)
				for _, set := range content(t, out.Trace).Sets {
					if set.Code != "tension_a" {
						continue
					}
					impact := map[string]string{models.SetNoLonger: "hold", models.SetStaysGood: "none"}[set.Effect]
					x := set.Results[0]
					if x.Verdict != want.Before || x.Then != want.After || impact != want.Impact || number(t, x.Now) != want.Corrected {
						t.Errorf("%+v comes to %q, want %+v; recorded were %+v", x, impact, want, before)
					}
					return
				}
				t.Error("the set is not in the trace")
			})
		})
	}
}

func number(t *testing.T, text string) float64 {
	t.Helper()
	x, err := json.Number(text).Float64()
	if err != nil {
		t.Fatal(err)
	}
	return x
}

func sum(t *testing.T, a string, b json.Number) string {
	t.Helper()
	raw, err := json.Marshal(number(t, a) + number(t, b.String()))
	if err != nil {
		t.Fatal(err)
	}
	return string(raw)
}

// A block is where the pack is that it was built into: with what left the shop it left,
// and is not looked for on the shelf.
func TestATracedBlockIsWhereItsPackIs(t *testing.T) {
	eachRoom(t, func(t *testing.T, r *room) {
		ctx, stamp := t.Context(), models.NewStamp(r.Owner, r.Now)
		blocks := r.BlocksRead(3)
		built := func(block string) models.Item {
			of := r.Item[models.KindPack]
			item, err := r.Store.AddItemWithSerial(ctx, stamp, models.Item{Kind: models.KindPack, FamilyID: of.FamilyID, ProductID: of.ProductID, Origin: "made"}, "P", 31, []models.FittedPart{{Role: "block", Place: "1.1", PartID: &block, Quantity: 1}})
			r.Must(err)
			return item
		}
		gone, here := built(blocks[0]), built(blocks[1])
		sent, err := r.Store.AddShipment(ctx, stamp, 31, models.Shipment{Items: []string{gone.ID}, Against: []models.Remark{models.NewRemark("not_released")}})
		r.Must(err)
		r.Now = r.Now.Add(time.Hour)
		out, err := r.s.Calibrate(ctx, r.Owner, "R-1", gauges.NewCalibration{By: "lab", Standard: "shunt", Points: []models.CalibrationPoint{{Reference: "14", AsFound: "10", Tolerance: "0.2"}}})
		r.Must(err)
		where := map[string]string{}
		for _, set := range content(t, out.Trace).Sets {
			where[set.Item] = set.Where
		}
		v, err := r.s.Traced(ctx, "R-1", out.Trace.ID)
		r.Must(err)
		shown := map[string]string{}
		for _, i := range v.Items {
			if shown[i.Item.ID] = i.Where; i.Shipment != nil {
				shown[i.Item.ID] += " with " + i.Shipment.Number
			}
		}
		for block, want := range map[string]string{blocks[0]: models.RecallShipped, blocks[1]: models.RecallHere, blocks[2]: models.RecallHere} {
			if where[block] != want {
				t.Errorf("block %s is frozen as %q, want %q", block, where[block], want)
			}
			if want == models.RecallShipped {
				want += " with " + sent.Number
			}
			if shown[block] != want {
				t.Errorf("block %s is shown as %q, want %q", block, shown[block], want)
			}
		}
		_, err = r.Store.AddShipment(ctx, stamp, 31, models.Shipment{Items: []string{here.ID}, Against: []models.Remark{models.NewRemark("not_released")}})
		r.Must(err)
		if v, err = r.s.Traced(ctx, "R-1", out.Trace.ID); err != nil || slices.ContainsFunc(v.Items, func(i gauges.TracedItem) bool { return i.Item.ID == blocks[1] && i.Where != models.RecallShipped }) {
			t.Errorf("once its pack went, too: %+v, %v", v.Items, err)
		}
	})
}
