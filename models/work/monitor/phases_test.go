package monitor_test

import (
	"errors"
	"math"
	"testing"
	"time"

	"tracewright/models"
	"tracewright/models/numbers/spc"
	"tracewright/models/work/monitor"
	"tracewright/models/work/worktest"
)

// hundredths are run-outs about a middle, with a spread that the gauge sees.
var hundredths = []int{0, 4, -3, 1, -5, 3, 2, -2, 5, -4}

// wheels records so many about a middle.
func wheels(h *worktest.Shop, n, middle int) []models.Submission {
	var out []models.Submission
	for i := range n {
		out = append(out, wheel(h, middle+hundredths[i%len(hundredths)], "stand 1"))
	}
	return out
}

// 50 wheels about 0.30 mm, and then wheels of 0.36 mm for good: the smoothed mean
// passes its limit, and its signal names the moment of the change to within a few
// wheels. A baseline chosen from the new ones begins a phase of its own; the old
// limits stay with the old points to the last digit.
func TestAChosenBaselineBeginsAPhase(t *testing.T) {
	each(t, func(t *testing.T, h *worktest.Shop, s *monitor.Service) {
		ctx := t.Context()
		wheels(h, 50, 30)
		changed := wheels(h, 40, 40)
		q := lateral(h)
		q.Place = "stand 1"
		before, err := s.Chart(ctx, q)
		h.Must(err)
		if len(before.Phases) != 1 || before.Present().Baseline != nil || before.Present().Limits.Facts.N != 50 {
			t.Fatalf("%d phases, the first from %d points", len(before.Phases), before.Present().Limits.Facts.N)
		}
		f := before.Finding
		if f.Title.Code != "chart.drifted_high" || f.Title.Values["place"] != "stand 1" || f.Signal < 0 || f.Change == nil {
			t.Fatalf("finding %+v", f)
		}
		// The geometric mean of 0.30 with these deviations lies a little below the
		// mean: by half the variance over the mean, 0.00109/0.6 = 0.0018.
		if math.Abs(f.Change.Before-0.2983) > 0.003 || math.Abs(f.Change.After-0.3987) > 0.006 || !f.Change.HasInterval || f.Change.Low > 0.10 || f.Change.High < 0.10 || f.Change.Low < 0.07 {
			t.Errorf("change %+v", *f.Change)
		}
		g := before.Signals[f.Signal]
		if g.Point < 51 || g.First < 45 || g.First > 52 || !g.Open {
			t.Errorf("raised at %d, began at %d", g.Point, g.First)
		}

		baseline, err := s.AddBaseline(ctx, h.Owner, monitor.NewBaseline{ChartKey: q.Key(), First: changed[0].ID, Last: changed[29].ID, Note: " the new  rim ",
			Excluded: []models.ChartExclusion{{InspectionID: changed[4].ID, Reason: "dropped"}}})
		h.Must(err)
		if baseline.Note != "the new rim" {
			t.Errorf("note %q", baseline.Note)
		}
		after, err := s.Chart(ctx, q)
		h.Must(err)
		if len(after.Phases) != 2 || after.Phases[0].To != 50 || after.Phases[1].Baseline == nil || after.Phases[1].Limits.Facts.N != 29 || after.Phases[1].Changed {
			t.Fatalf("phases %+v", after.Phases)
		}
		for i, high := range after.Phases[0].Values.High {
			if high != before.Phases[0].Values.High[i] {
				t.Fatalf("the old limit moved from %v to %v", before.Phases[0].Values.High[i], high)
			}
		}
		if after.Finding.Title.Code != "chart.steady" {
			t.Errorf("finding %+v", after.Finding)
		}
		// Later points never move the limits that were chosen.
		wheels(h, 20, 60)
		later, err := s.Chart(ctx, q)
		h.Must(err)
		if later.Phases[1].Limits.Centre != after.Phases[1].Limits.Centre || later.Phases[1].Limits.Sigma != after.Phases[1].Limits.Sigma {
			t.Error("the chosen limits moved")
		}
		if later.Finding.Title.Code != "chart.drifted_high" {
			t.Errorf("finding %+v", later.Finding)
		}
		if len(later.Events) != 1 || later.Events[0].Kind != models.HappenedBaseline {
			t.Errorf("events %+v", later.Events)
		}

		// The specification's limit of this result changes: the limits stay drawn, and
		// the phase says to which revision they belong.
		family := *h.Item[models.KindWheel].FamilyID
		spec, err := h.Store.SpecificationInForce(ctx, family, nil)
		h.Must(err)
		spec.ID, spec.Revision, spec.Reason = models.NewID(), spec.Revision+1, "wider"
		for i, c := range spec.Characteristics {
			for j, l := range c.Results {
				if l.Result == "lateral_tir" {
					spec.Characteristics[i].Results[j].High = "0.90"
				}
			}
		}
		h.Must(h.Store.AddSpecification(ctx, models.NewStamp(h.Owner, h.Now), spec))
		changedSpec, err := s.Chart(ctx, q)
		h.Must(err)
		if p := changedSpec.Present(); !p.Changed || p.Revision != 1 || p.RevisionNow != 2 || p.Limits.Centre != after.Phases[1].Limits.Centre {
			t.Errorf("after a revision: changed %v, %d and %d", p.Changed, p.Revision, p.RevisionNow)
		}
	})
}

// A drift that began before the shown points began when it did and not with them, and
// so does its signal: the cause that somebody gives on such a chart stays with it,
// whatever part is looked at.
func TestADriftBeganWhenItDid(t *testing.T) {
	each(t, func(t *testing.T, h *worktest.Shop, s *monitor.Service) {
		ctx := t.Context()
		wheels(h, 50, 30)
		wheels(h, 120, 40) // More than are read before the shown ones for the smoothed mean.
		whole, err := s.Chart(ctx, lateral(h))
		h.Must(err)
		want := whole.Signals[whole.Finding.Signal]
		part := lateral(h)
		part.From = whole.Points[165].MeasuredAt
		v, err := s.Chart(ctx, part)
		h.Must(err)
		if len(v.Points) != 5 || v.Finding.Signal < 0 {
			t.Fatalf("%d points, finding %+v", len(v.Points), v.Finding)
		}
		g := v.Signals[v.Finding.Signal]
		if g.Raised.InspectionID != want.Raised.InspectionID || g.Began.InspectionID != want.Began.InspectionID || g.Point != 0 || v.Finding.Title.Values["date"] != whole.Finding.Title.Values["date"] || !v.Finding.Change.Since.Equal(whole.Finding.Change.Since) {
			t.Errorf("of a part raised at %s since %s, of the whole at %s since %s", g.Raised.Serial, g.Began.MeasuredAt, want.Raised.Serial, want.Began.MeasuredAt)
		}
		_, err = s.AddCause(ctx, h.Owner, monitor.NewCause{ChartKey: part.Key(), Rule: g.Reason.Code, Side: string(g.Side), InspectionID: g.Raised.InspectionID, Code: "tool"})
		h.Must(err)
		for _, q := range []monitor.ChartQuery{part, lateral(h)} {
			v, err := s.Chart(ctx, q)
			h.Must(err)
			for _, g := range v.Signals {
				if g.Panel == spc.PanelSmoothed && !g.Settled() {
					t.Errorf("%d points: the cause is lost: %+v", len(v.Points), g)
				}
			}
		}
	})
}

func TestBaselinesThatCannotBe(t *testing.T) {
	each(t, func(t *testing.T, h *worktest.Shop, s *monitor.Service) {
		made := wheels(h, 25, 30)
		key := lateral(h).Key()
		for _, row := range []struct {
			name string
			in   monitor.NewBaseline
			code string
		}{
			{"no points named", monitor.NewBaseline{ChartKey: key}, "missing"},
			{"a point nobody knows", monitor.NewBaseline{ChartKey: key, First: made[0].ID, Last: models.NewID()}, "no_such_point"},
			{"no id at all", monitor.NewBaseline{ChartKey: key, First: "x", Last: made[24].ID}, "no_such_point"},
			{"the end before the start", monitor.NewBaseline{ChartKey: key, First: made[24].ID, Last: made[0].ID}, "end_before_start"},
			{"one point too few", monitor.NewBaseline{ChartKey: key, First: made[0].ID, Last: made[18].ID}, "baseline_short"},
			{"too few without the excluded", monitor.NewBaseline{ChartKey: key, First: made[0].ID, Last: made[19].ID, Excluded: []models.ChartExclusion{{InspectionID: made[3].ID, Reason: "r"}}}, "baseline_short"},
			{"excluded without a reason", monitor.NewBaseline{ChartKey: key, First: made[0].ID, Last: made[24].ID, Excluded: []models.ChartExclusion{{InspectionID: made[3].ID, Reason: " "}}}, "reason_needed"},
			{"excluded from outside", monitor.NewBaseline{ChartKey: key, First: made[0].ID, Last: made[21].ID, Excluded: []models.ChartExclusion{{InspectionID: made[23].ID, Reason: "r"}}}, "outside_baseline"},
			{"a result nobody knows", monitor.NewBaseline{ChartKey: models.ChartKey{FamilyID: key.FamilyID, Result: "shine"}, First: made[0].ID, Last: made[24].ID}, "unknown_code"},
		} {
			t.Run(row.name, func(t *testing.T) {
				_, err := s.AddBaseline(t.Context(), h.Owner, row.in)
				var invalid *models.InvalidError
				if !errors.As(err, &invalid) || invalid.Problems[0].Code != row.code {
					t.Errorf("error %v, want %s", err, row.code)
				}
			})
		}
		// The 20th point is the last that is needed.
		_, err := s.AddBaseline(t.Context(), h.Owner, monitor.NewBaseline{ChartKey: key, First: made[0].ID, Last: made[19].ID})
		h.Must(err)
	})
}

// A signal asks for a cause; the second one corrects the first and both stay.
func TestACauseStaysWithItsSignal(t *testing.T) {
	each(t, func(t *testing.T, h *worktest.Shop, s *monitor.Service) {
		ctx := t.Context()
		wheels(h, 50, 30)
		odd := wheel(h, 250, "stand 1")
		key := lateral(h).Key()
		in := monitor.NewCause{ChartKey: key, Rule: spc.BeyondLimit, Side: "high", InspectionID: odd.ID}
		for _, row := range []struct {
			name   string
			change func(*monitor.NewCause)
			code   string
			err    error
		}{
			{"no code", func(*monitor.NewCause) {}, "missing", nil},
			{"a code nobody knows", func(c *monitor.NewCause) { c.Code = "moon" }, "unknown_choice", nil},
			{"another cause without words", func(c *monitor.NewCause) { c.Code = models.CauseOther }, "cause_in_words", nil},
			{"the other side", func(c *monitor.NewCause) { c.Code, c.Side = "tool", "low" }, "", models.ErrStale},
			{"another rule", func(c *monitor.NewCause) { c.Code, c.Rule = "tool", spc.EightOneSide }, "", models.ErrStale},
			{"another point", func(c *monitor.NewCause) { c.Code, c.InspectionID = "tool", models.NewID() }, "", models.ErrStale},
		} {
			t.Run(row.name, func(t *testing.T) {
				c := in
				row.change(&c)
				_, err := s.AddCause(ctx, h.Owner, c)
				var invalid *models.InvalidError
				if row.code != "" && (!errors.As(err, &invalid) || invalid.Problems[0].Code != row.code) || row.err != nil && !errors.Is(err, row.err) {
					t.Errorf("error %v, want %s %v", err, row.code, row.err)
				}
			})
		}
		in.Code = "misread"
		_, err := s.AddCause(ctx, h.Operator, in)
		h.Must(err)
		in.Code, in.Note, in.Action = "tool", "spoke key\nslipped", "key replaced"
		_, err = s.AddCause(ctx, h.Owner, in)
		h.Must(err)
		v, err := s.Chart(ctx, lateral(h))
		h.Must(err)
		for _, g := range v.Signals {
			if g.Panel != spc.PanelValues {
				continue
			}
			if len(g.Causes) != 2 || g.Causes[0].Code != "misread" || g.Causes[1].Note != "spoke key slipped" || g.Causes[1].Action != "key replaced" || g.Causes[1].MadeBy != h.Owner.PersonID {
				t.Errorf("causes %+v", g.Causes)
			}
		}
		if v.Finding.Title.Code == "chart.beyond_all" {
			t.Error("a point whose cause is known is still the finding")
		}
		signals, err := s.Signals(ctx, key)
		h.Must(err)
		if len(signals) == 0 || !signals[0].Settled {
			t.Errorf("signals %+v", signals)
		}
	})
}

func TestEventsStandBesideTheirPoints(t *testing.T) {
	each(t, func(t *testing.T, h *worktest.Shop, s *monitor.Service) {
		ctx := t.Context()
		wheels(h, 3, 30)
		family := *h.Item[models.KindWheel].FamilyID
		for _, row := range []struct {
			name string
			in   monitor.NewEvent
			code string
		}{
			{"no moment", monitor.NewEvent{Words: "w"}, "missing"},
			{"no words", monitor.NewEvent{At: h.Now, Words: " "}, "missing"},
			{"tomorrow", monitor.NewEvent{At: h.Now.AddDate(0, 0, 1), Words: "w"}, "event_in_future"},
			{"in the year 1", monitor.NewEvent{At: time.Date(1, 1, 1, 0, 0, 1, 0, time.UTC), Words: "w"}, "day_too_early"},
			{"a day before 1970", monitor.NewEvent{At: time.Date(1969, 12, 31, 12, 0, 0, 0, time.UTC), Words: "w"}, "day_too_early"},
			{"a family nobody knows", monitor.NewEvent{At: h.Now, Words: "w", FamilyID: models.NewID()}, "unknown_family"},
		} {
			t.Run(row.name, func(t *testing.T) {
				_, err := s.AddEvent(ctx, h.Owner, row.in)
				var invalid *models.InvalidError
				if !errors.As(err, &invalid) || invalid.Problems[0].Code != row.code {
					t.Errorf("error %v, want %s", err, row.code)
				}
			})
		}
		_, err := s.AddEvent(ctx, h.Owner, monitor.NewEvent{FamilyID: family, Place: "stand 1", At: h.Now.Add(-time.Minute), Words: "guide roller  replaced"})
		h.Must(err)
		_, err = s.AddEvent(ctx, h.Owner, monitor.NewEvent{Place: "stand 2", At: h.Now, Words: "elsewhere"})
		h.Must(err)
		q := lateral(h)
		q.Place = "stand 1"
		v, err := s.Chart(ctx, q)
		h.Must(err)
		if len(v.Events) != 1 || v.Events[0].Detail != "guide roller replaced" || v.Events[0].Person != h.Owner.PersonID {
			t.Errorf("events %+v", v.Events)
		}
	})
}

// What is watched: the limited numbers of a wheel, at each place where one was
// measured; and a chart with a chosen baseline, wherever.
func TestWatchedCharts(t *testing.T) {
	each(t, func(t *testing.T, h *worktest.Shop, s *monitor.Service) {
		made := wheels(h, 20, 30)
		keys, err := s.Watched(t.Context())
		h.Must(err)
		family := *h.Item[models.KindWheel].FamilyID
		spec, err := h.Store.SpecificationInForce(t.Context(), family, nil)
		h.Must(err)
		limited := 0
		for _, c := range spec.Characteristics {
			for _, l := range c.Results {
				if (c.Form == models.Measured || c.Form == models.Counted) && (l.Low != "" || l.High != "") {
					limited++
				}
			}
		}
		if len(keys) != limited || limited < 5 || keys[0].Place != "stand 1" || keys[0].FamilyID != family {
			t.Fatalf("%d charts of %d limited results: %+v", len(keys), limited, keys)
		}
		_, err = s.AddBaseline(t.Context(), h.Owner, monitor.NewBaseline{ChartKey: lateral(h).Key(), First: made[0].ID, Last: made[19].ID})
		h.Must(err)
		more, err := s.Watched(t.Context())
		h.Must(err)
		if len(more) != limited+1 || more[limited] != lateral(h).Key() {
			t.Errorf("with a chosen baseline %d charts", len(more))
		}
		for _, key := range more {
			if _, err := s.Signals(t.Context(), key); err != nil {
				t.Errorf("%+v: %v", key, err)
			}
		}
		// A budget: 20 wheels in 90 days are 20/90 x 30.44 = 6.76 a month, on each of
		// the charts.
		d, err := s.Design(t.Context())
		h.Must(err)
		if want := 6.7639 * float64(limited+1); math.Abs(d.Points-want) > 0.01 || d.Charts != limited+1 || d.Alarms != 1 {
			t.Errorf("design %+v, want %.3f points a month", d, want)
		}
	})
}

// Fewer false alarms make wider limits: of 50 wheels in 90 days on so many charts,
// one a month is the shortest run length there is, 0.1 a month ten times as long or
// more; a budget that is none is taken for the usual one.
func TestTheOwnerSetsTheBudget(t *testing.T) {
	each(t, func(t *testing.T, h *worktest.Shop, s *monitor.Service) {
		wheels(h, 50, 30)
		before, err := s.Chart(t.Context(), lateral(h))
		h.Must(err)
		h.Must(h.Store.SetSetting(t.Context(), models.NewStamp(h.Owner, h.Now), models.SettingChartAlarms, "0.1"))
		h.Now = h.Now.Add(11 * time.Minute) // What was read is kept for ten.
		after, err := s.Chart(t.Context(), lateral(h))
		h.Must(err)
		if after.Design.Alarms != 0.1 || after.Design.RunLength < 5*before.Design.RunLength || after.Present().Values.High[0] <= before.Present().Values.High[0] {
			t.Errorf("run length %v and then %v, limits %v and then %v", before.Design.RunLength, after.Design.RunLength, before.Present().Values.High[0], after.Present().Values.High[0])
		}
		h.Must(h.Store.SetSetting(t.Context(), models.NewStamp(h.Owner, h.Now), models.SettingChartAlarms, "none"))
		h.Now = h.Now.Add(11 * time.Minute)
		usual, err := s.Design(t.Context())
		h.Must(err)
		if usual.Alarms != models.UsualChartAlarms {
			t.Errorf("a budget of %v", usual.Alarms)
		}
	})
}
