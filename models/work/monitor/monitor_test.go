package monitor_test

import (
	"context"
	"errors"
	"fmt"
	"math"
	"testing"
	"time"

	"tracewright/models"
	"tracewright/models/numbers/spc"
	"tracewright/models/store/storetest"
	"tracewright/models/work/monitor"
	"tracewright/models/work/worktest"
)

func TestMain(m *testing.M) { storetest.Main(m) }

func each(t *testing.T, f func(t *testing.T, h *worktest.Shop, s *monitor.Service)) {
	t.Helper()
	worktest.Each(t, func(t *testing.T, h *worktest.Shop) { f(t, h, monitor.New(h.Store, h.Clock, worktest.Zone)) })
}

// wheel records the first set after relief of a new wheel with this lateral
// full reading, in hundredths of a millimetre, a minute after the one before.
func wheel(h *worktest.Shop, hundredths int, place string) models.Submission {
	h.Helper()
	h.Now = h.Now.Add(time.Minute)
	sub := h.Extremes()
	sub.Serial, sub.Place = *h.AnotherWheel().Serial, place
	sub.Sets[0].Values = []string{fmt.Sprintf("%d.%02d", hundredths/100, hundredths%100), "0.00"}
	h.MustRecord(sub)
	return sub
}

func lateral(h *worktest.Shop) monitor.ChartQuery {
	return monitor.ChartQuery{FamilyID: *h.Item[models.KindWheel].FamilyID, Result: "lateral_tir"}
}

// The chart of 24 wheels that read 0.20 and 0.25 mm by turns, found by hand on
// logarithms: every moving range is ln 1.25, so sigma is ln 1.25 over d2(2) =
// 1.128 (table of constants, ASTM MNL 7A), the centre the root of 0.20 x 0.25.
//
// The limits: a shop of 24 wheels in 90 days has the shortest run length there is,
// 200 points, so each side of a point has a chance of 1/400. Sigma from 23 moving
// ranges is worth 23^2 / (2 (0.5708 x 23 + 0.2557 x 22)) = 14.1 degrees of freedom,
// for which tables of Student's t give 3.33 at 0.9975 (14) and 3.32 between 14 and
// 15; one more value about a mean of 24 spreads by sqrt(1 + 1/24).
func TestChartOfFirstSets(t *testing.T) {
	const d2, quantile = 1.128, 3.32
	centre, sigma := math.Sqrt(0.20*0.25), math.Log(1.25)/d2
	away := quantile * sigma * math.Sqrt(1+1.0/24)
	each(t, func(t *testing.T, h *worktest.Shop, s *monitor.Service) {
		var last models.Submission
		for i := range 24 {
			last = wheel(h, 20+5*(i%2), "stand 1")
		}
		again := h.Extremes() // A second set of a wheel speaks for nobody.
		again.Serial = last.Serial
		again.Sets[0].Values = []string{"0.90", "0.00"}
		h.MustRecord(again)

		v, err := s.Chart(t.Context(), lateral(h))
		h.Must(err)
		if len(v.Points) != 24 || !v.FirstSets || v.Points[0].Value != "0.20" || v.Points[23].Serial != last.Serial || v.Points[23].InspectionID != last.ID {
			t.Fatalf("%d points, first %+v, last %+v", len(v.Points), v.Points[0], v.Points[len(v.Points)-1])
		}
		l := v.Present().Limits
		if v.Unit != "mm" || v.Decimals != 2 || v.Kind != "individuals_log" || v.KindReason != "skewed_one" || l.Scale != spc.Logarithmic || l.ScaleReason != spc.ScalePositiveSkewed || l.SigmaEstimator != spc.MeanMovingRange {
			t.Errorf("unit %q, decimals %d, %s because %s, scale %s because %s, sigma by %s", v.Unit, v.Decimals, v.Kind, v.KindReason, l.Scale, l.ScaleReason, l.SigmaEstimator)
		}
		values := v.Present().Values
		for _, c := range []struct {
			name      string
			got, want float64
		}{
			{"centre", values.Centre[0], centre}, {"sigma", l.Sigma, sigma},
			{"low", values.Low[0], centre * math.Exp(-away)}, {"high", values.High[0], centre * math.Exp(away)},
		} {
			// The printed d2 and t have three digits, so agreement is to about 3 in 1000.
			if math.Abs(c.got-c.want) > 0.003*c.want {
				t.Errorf("%s %.6f, want %.6f", c.name, c.got, c.want)
			}
		}
		f := l.Facts
		// By turns high and low: neighbours as contrary as can be.
		if f.N != 24 || f.Distinct != 2 || !f.Lag1Known || f.Lag1 > -0.9 || !f.Correlated || !f.Provisional || f.NoLimits || f.Resolution != 0.01 {
			t.Errorf("facts %+v", f)
		}
		if len(v.Signals) != 0 || v.Finding.Title.Code != "chart.steady_all" || v.Design.RunLength != 200 {
			t.Errorf("signals %+v, finding %+v, run length %v", v.Signals, v.Finding, v.Design.RunLength)
		}
	})
}

// A wheel of 2.5 mm among wheels of 0.2 lies beyond its limit, and says so with
// its value; nobody gave a cause.
func TestSignalNamesItsPoint(t *testing.T) {
	each(t, func(t *testing.T, h *worktest.Shop, s *monitor.Service) {
		for i := range 50 {
			wheel(h, 20+5*(i%2), "stand 1")
		}
		odd := wheel(h, 250, "stand 1")
		v, err := s.Chart(t.Context(), lateral(h))
		h.Must(err)
		var found bool
		for _, g := range v.Signals {
			if g.Panel == spc.PanelValues {
				found = true
				if v.Points[g.Point].InspectionID != odd.ID || g.Side != spc.SideHigh || g.Reason.Code != spc.BeyondLimit || g.Reason.Values["value"] != "2.5000" || g.Settled() {
					t.Errorf("signal %+v", g)
				}
			}
		}
		if !found {
			t.Errorf("no signal for 2.5 mm among %d points of 0.2", len(v.Points))
		}
		signals, err := s.Signals(t.Context(), lateral(h).Key())
		h.Must(err)
		if len(signals) == 0 || signals[0].InspectionID != odd.ID || signals[0].Settled || signals[0].Reason.Code != "beyond_limit_high" || signals[0].Reason.Values["unit"] != "mm" {
			t.Errorf("signals for those who watch: %+v", signals)
		}
	})
}

func TestChartAdmitsWhyItHasNoLimits(t *testing.T) {
	each(t, func(t *testing.T, h *worktest.Shop, s *monitor.Service) {
		facts := func() (monitor.ChartView, spc.Facts) {
			v, err := s.Chart(t.Context(), lateral(h))
			h.Must(err)
			return v, v.Present().Limits.Facts
		}
		for n, title := range []string{"chart.nothing_all", "chart.few_points_all", "chart.few_points_all"} {
			v, f := facts()
			if f.N != n || !f.NoLimits || f.NoLimitsReason != spc.NoLimitsFewPoints || v.Needed != spc.FewestForLimits || v.Finding.Title.Code != title || len(v.Points) != n {
				t.Errorf("%d points: %+v, %+v", n, f, v.Finding)
			}
			wheel(h, 20, "stand 1")
		}
		for range 20 {
			wheel(h, 20, "stand 1")
		}
		if v, f := facts(); f.NoLimitsReason != spc.NoLimitsNoSpread || v.Present().Values.High != nil || len(v.Present().Smoothed.Points) > 0 {
			t.Errorf("equal values: %+v", f)
		}
		for i := range 20 {
			wheel(h, 20+i%2, "stand 1")
		}
		coarse := models.Instrument{ID: models.NewID(), Code: "D-9", Kind: "dial", Name: "coarse", Unit: "in", Resolution: "0.01", State: models.InstrumentInUse}
		h.Must(h.Store.AddInstrument(t.Context(), models.NewStamp(h.Owner, h.Now), coarse))
		// A hundredth of an inch is 0.254 mm by definition.
		if _, f := facts(); f.Resolution != 0.254 || f.NoLimitsReason != spc.NoLimitsResolution {
			t.Errorf("a coarse gauge: %+v", f)
		}
	})
}

func TestChartIsNarrowed(t *testing.T) {
	each(t, func(t *testing.T, h *worktest.Shop, s *monitor.Service) {
		start := h.Now
		wheel(h, 20, "stand 1")
		wheel(h, 21, "stand 2")
		h.Now = start.AddDate(0, 0, 2)
		wheel(h, 22, "stand 1")
		for _, row := range []struct {
			name   string
			change func(*monitor.ChartQuery)
			want   int
			err    error
			code   string
		}{
			{"all", func(*monitor.ChartQuery) {}, 3, nil, ""},
			{"one stand", func(q *monitor.ChartQuery) { q.Place = "stand 2" }, 1, nil, ""},
			{"one product", func(q *monitor.ChartQuery) { q.ProductID = *h.Item[models.KindWheel].ProductID }, 3, nil, ""},
			{"from the next day", func(q *monitor.ChartQuery) { q.From = start.AddDate(0, 0, 1) }, 1, nil, ""},
			{"up to the next day", func(q *monitor.ChartQuery) { q.To = start.AddDate(0, 0, 1) }, 2, nil, ""},
			{"the end before the start", func(q *monitor.ChartQuery) { q.From, q.To = start, start.AddDate(0, 0, -1) }, 0, nil, "end_before_start"},
			{"a product of another family", func(q *monitor.ChartQuery) { q.ProductID = *h.Item[models.KindPack].ProductID }, 0, nil, "unknown_product"},
			{"a result nobody knows", func(q *monitor.ChartQuery) { q.Result = "shine" }, 0, nil, "unknown_code"},
			{"many of one item", func(q *monitor.ChartQuery) { q.FamilyID, q.Result = *h.Item[models.KindPack].FamilyID, "block_ocv25" }, 0, nil, "many_on_one_item"},
			{"a rule nobody knows", func(q *monitor.ChartQuery) { q.Rules = []string{"moon"} }, 0, nil, "unknown_choice"},
			{"a characteristic never measured", func(q *monitor.ChartQuery) { q.Result = "adjacent_diff_pct_a" }, 0, nil, ""},
			{"a place where nothing was measured", func(q *monitor.ChartQuery) { q.Place = "stand 9" }, 0, nil, ""},
			{"a tick is charted by week", func(q *monitor.ChartQuery) { q.Result = "cable_sound" }, 1, nil, ""},
			{"no family", func(q *monitor.ChartQuery) { q.FamilyID = "" }, 0, nil, "missing"},
			{"a family nobody knows", func(q *monitor.ChartQuery) { q.FamilyID = models.NewID() }, 0, models.ErrNotFound, ""},
		} {
			t.Run(row.name, func(t *testing.T) {
				q := lateral(h)
				row.change(&q)
				v, err := s.Chart(t.Context(), q)
				var invalid *models.InvalidError
				switch {
				case row.code != "":
					if !errors.As(err, &invalid) || invalid.Problems[0].Code != row.code {
						t.Errorf("error %v, want %s", err, row.code)
					}
				case !errors.Is(err, row.err):
					t.Errorf("error %v, want %v", err, row.err)
				case err == nil && len(v.Points) != row.want:
					t.Errorf("%d points, want %d", len(v.Points), row.want)
				}
			})
		}
	})
}

func TestToday(t *testing.T) {
	each(t, func(t *testing.T, h *worktest.Shop, s *monitor.Service) {
		ctx := t.Context()
		wheel(h, 20, "stand 1")
		wheel(h, 95, "stand 1") // Above every limit.
		pack := h.Pack()
		h.MustRecord(pack)
		draft := h.Extremes()
		_, err := h.Capture.SaveDraft(ctx, h.Operator, draft, 0)
		h.Must(err)
		item := h.Item[models.KindPack].ID
		_, err = h.Store.AddHold(ctx, models.NewStamp(h.Operator, h.Now), models.Hold{ItemID: &item, Code: "P02", Reason: "spread"})
		h.Must(err)

		today, err := s.Today(ctx)
		h.Must(err)
		counts := map[string]int{}
		for _, c := range today.Counts {
			counts[c.Kind+" "+c.Verdict] += c.Count
		}
		if today.Day != "2031-05-12" || counts["wheel pass"] != 1 || counts["wheel fail"] != 1 || counts["pack pass"] != 1 {
			t.Errorf("day %s, counts %v", today.Day, counts)
		}
		if len(today.Recent) != 3 || today.Recent[0].InspectionID != pack.ID || today.Recent[0].Person != h.Operator.Name {
			t.Errorf("recent %+v", today.Recent)
		}
		if len(today.Drafts) != 1 || today.Drafts[0].ID != draft.ID || len(today.Holds) != 1 || len(today.Unplaced) != 0 {
			t.Errorf("%d drafts, %d holds, %d unplaced", len(today.Drafts), len(today.Holds), len(today.Unplaced))
		}
		// D-2 was due the day before; the others are due in December.
		if len(today.Due) != 1 || today.Due[0].Instrument.Code != "D-2" || !today.Due[0].Overdue || today.Due[0].Days != -1 {
			t.Errorf("due %+v", today.Due)
		}

		// The day is the shop's: a little after noon in UTC it is already the
		// 13th fourteen hours ahead.
		far := time.FixedZone("far", 14*3600)
		elsewhere, err := monitor.New(h.Store, h.Clock, func(context.Context) *time.Location { return far }).Today(ctx)
		h.Must(err)
		if elsewhere.Day != "2031-05-13" || len(elsewhere.Counts) == 0 {
			t.Errorf("day %s with %d counts, want the 13th and its readings", elsewhere.Day, len(elsewhere.Counts))
		}
	})
}

// A point that comes late lies before the newest one, and one of a clock that was ahead
// stays the newest for good: the mark changes with every one that comes all the same.
func TestAMarkChangesWithPointsThatAreNotTheNewest(t *testing.T) {
	each(t, func(t *testing.T, h *worktest.Shop, s *monitor.Service) {
		mark := func() string {
			t.Helper()
			m, err := s.Mark(t.Context(), lateral(h).Key())
			h.Must(err)
			return m
		}
		wheel(h, 20, "stand 1")
		right := h.Now
		h.Now = h.Now.AddDate(5, 0, 0)
		wheel(h, 21, "stand 1")
		h.Now = right
		first := mark()
		if again := mark(); again != first {
			t.Error("another mark of the same chart")
		}
		wheel(h, 22, "stand 1")
		second := mark()
		if second == first {
			t.Error("the same mark after another wheel")
		}
		_, err := s.AddEvent(t.Context(), h.Owner, monitor.NewEvent{At: h.Now, Words: "guide roller replaced"})
		h.Must(err)
		if mark() == second {
			t.Error("the same mark after something that is shown beside the points")
		}
	})
}
