package monitor_test

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"slices"
	"testing"
	"time"

	"tracewright/models"
	"tracewright/models/numbers/spc"
	"tracewright/models/trade/kinds"
	"tracewright/models/work/monitor"
	"tracewright/models/work/worktest"
	"tracewright/testdata/cases"
)

// withLots answers for the values of blocks that came in by lots.
type withLots struct {
	monitor.Store
	points []models.SeriesPoint
}

func (w withLots) Series(context.Context, models.SeriesQuery) ([]models.SeriesPoint, error) {
	return w.points, nil
}

// 24 lots of four blocks each, whose means go 12.80 and 12.84 V by turns, and a 25th of
// 12.20 V; a 26th of one block has no spread and is no point. The first 25 are the
// baseline: 23 moving ranges are 0.04 V and one is 0.64, so sigma is their mean over
// d2(2) = 1.128 (table of constants, ASTM MNL 7A), 0.0576 V, the centre 12.795 V, and
// the odd lot lies more than ten sigma below it.
func TestBlocksAreChartedByLot(t *testing.T) {
	const sigma = (23*0.04 + 0.64) / 24 / 1.128
	each(t, func(t *testing.T, h *worktest.Shop, _ *monitor.Service) {
		family := blockFamily(h)
		product := models.Product{ID: models.NewID()}
		lots := withLots{Store: h.Store}
		add := func(lot string, volts float64) {
			h.Now = h.Now.Add(time.Minute)
			lots.points = append(lots.points, models.SeriesPoint{InspectionID: models.NewID(), ItemID: models.NewID(), Serial: fmt.Sprintf("B%d", len(lots.points)), MeasuredAt: h.Now,
				Value: fmt.Sprintf("%.3f", volts), ValueF: volts, ProductID: product.ID, Lot: lot})
		}
		for i := range 25 {
			mean := 12.80 + 0.04*float64(i%2)
			if i == 24 {
				mean = 12.20
			}
			for j := range 4 {
				add(fmt.Sprintf("L-%02d", i), mean+0.02*(float64(j)-1.5))
			}
		}
		add("L-25", 12.8)
		s := monitor.New(lots, h.Clock, worktest.Zone)
		v, err := s.Chart(t.Context(), monitor.ChartQuery{FamilyID: family.ID, Result: "block_ocv25"})
		h.Must(err)
		if len(v.Points) != 25 || v.Grouped != monitor.ByLot || v.Kind != "three_way" || v.Points[0].Group != "L-00" || v.Points[0].Size != 4 {
			t.Fatalf("%d points by %q, %s, the first %+v", len(v.Points), v.Grouped, v.Kind, v.Points[0])
		}
		l := v.Present().Limits
		if math.Abs(l.Sigma-sigma) > 0.001*sigma || l.Facts.NoLimits || math.Abs(v.Present().Values.Points[1]-12.84) > 1e-9 {
			t.Errorf("sigma %v, want %v; facts %+v; second point %v", l.Sigma, sigma, l.Facts, v.Present().Values.Points[1])
		}
		if len(v.Signals) != 1 || v.Signals[0].Point != 24 || v.Finding.Title.Code != "chart.beyond_all" {
			t.Errorf("finding %+v, signals %+v", v.Finding, v.Signals)
		}
	})
}

// blockFamily is a family of blocks with the shipped specification.
func blockFamily(h *worktest.Shop) models.Family {
	h.Helper()
	kind, _ := kinds.Named(models.KindBlock)
	family := models.Family{ID: models.NewID(), Kind: models.KindBlock, Name: "Blocks"}
	form, err := kinds.WithBlockDefaults(models.BlockForm{Supplier: "Halden", Model: "12-17", Chemistry: "agm", Cells: 6, Capacity: "17", Rate: "C20", ResistanceMethod: models.ResistanceAC})
	h.Must(err)
	list, err := kind.DefaultSpecification(kind.Grades[0], models.ProductForm{Block: &form})
	h.Must(err)
	h.Must(h.Store.AddFamily(h.Context(), models.NewStamp(h.Owner, h.Now), family, models.Specification{ID: models.NewID(), Revision: 1, Grade: kind.Grades[0], Rule: "simple", Characteristics: list}))
	return family
}

// lotsOf is a family of blocks with these readings, lot by lot, a minute each, and a
// service that charts them.
func lotsOf(t *testing.T, h *worktest.Shop, lots [][]float64) (*history, *monitor.Service, monitor.ChartQuery) {
	t.Helper()
	family := blockFamily(h)
	s := &history{Store: h.Store}
	at := h.Now.AddDate(0, 0, -60)
	for i, lot := range lots {
		for _, x := range lot {
			at = at.Add(time.Minute)
			s.points = append(s.points, models.SeriesPoint{InspectionID: fmt.Sprintf("%08x-0000-7000-8000-%012x", 1<<30+len(s.points), i), ItemID: models.NewID(), Serial: fmt.Sprintf("B%d", len(s.points)), MeasuredAt: at,
				Value: fmt.Sprint(x), ValueF: x, ProductID: "model", Lot: fmt.Sprintf("L-%02d", i)})
		}
	}
	return s, monitor.New(s, h.Clock, worktest.Zone), monitor.ChartQuery{FamilyID: family.ID, Result: "block_ocv25"}
}

// Five lots of five: the certified analysis of variance of NIST StRD SiRstv gives the
// spread within, its residual standard deviation. Five lots are too few for limits, and
// the chart says so and shows the means.
func TestTheSpreadWithinLotsIsThatOfAPublishedAnalysis(t *testing.T) {
	h := worktest.New(t)
	for _, c := range cases.OfKind(t, "oneway_anova") {
		if c.ID != "strd_SiRstv" {
			continue
		}
		var in struct {
			Groups [][]float64 `json:"groups"`
		}
		var want struct {
			ResidualSD float64 `json:"residual_sd"`
		}
		h.Must(errors.Join(json.Unmarshal(c.Input, &in), json.Unmarshal(c.Expected, &want)))
		_, charts, q := lotsOf(t, h, in.Groups)
		v, err := charts.Chart(t.Context(), q)
		h.Must(err)
		l := v.Present().Limits
		if len(v.Points) != 5 || math.Abs(l.Within/want.ResidualSD-1) > 1e-9 || !l.Facts.NoLimits || l.Facts.NoLimitsReason != spc.NoLimitsFewPoints || len(v.Present().Within.Points) != 5 || v.Present().Within.High != nil || v.Present().Within.Centre != nil || v.Finding.Title.Code != "chart.few_points_all" {
			t.Errorf("within %v, want %v; %d points, %+v", l.Within, want.ResidualSD, len(v.Points), v.Finding.Title)
		}
		return
	}
	t.Fatal("the case is gone")
}

// The published chart of individual values of NIST/SEMATECH e-Handbook 6.3.2.2 (flow
// rate), twice over so that there are limits: each value is the mean of a lot of two
// that lie 0.3 to either side. Worked from what is printed there: centre 50.81; mean
// moving range (2 x 16.9 + |49.6 - 52.1|)/19 = 1.910526, over 2/sqrt(pi). Within each
// lot s is 0.6/sqrt(2); B6 for 2 is 2.606 (ASTM MNL 7A), c4 0.7979. The eleventh lot,
// with blocks 1.5 apart, lies beyond that alone.
func TestAThreeWayChartOfLotsByPublishedNumbers(t *testing.T) {
	h := worktest.New(t)
	var lots [][]float64
	for range 2 {
		for _, x := range []float64{49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4, 53.6, 52.1} {
			lots = append(lots, []float64{x - 0.3, x + 0.3})
		}
	}
	s, charts, q := lotsOf(t, h, lots)
	chosen, err := charts.AddBaseline(t.Context(), h.Owner, monitor.NewBaseline{ChartKey: q.Key(), First: s.points[1].InspectionID, Last: s.points[38].InspectionID, Note: "all of them"})
	h.Must(err)
	if chosen.FirstInspection != s.points[0].InspectionID || !chosen.HoldsFrom.Equal(s.points[0].MeasuredAt) {
		t.Errorf("it holds from %s, %s", chosen.FirstInspection, chosen.HoldsFrom)
	}
	last := s.points[len(s.points)-1]
	for i, x := range []float64{50.06, 51.56} {
		p := last
		p.InspectionID, p.Lot, p.ValueF, p.MeasuredAt = fmt.Sprintf("7fffffff-0000-7000-8000-%012x", i), "L-20", x, last.MeasuredAt.Add(time.Duration(i+1)*time.Minute)
		s.points = append(s.points, p)
	}
	v, err := charts.Chart(t.Context(), q)
	h.Must(err)
	ph := v.Present()
	near := func(name string, got, want, within float64) {
		t.Helper()
		if !(math.Abs(got-want) <= within) {
			t.Errorf("%s %v, want %v", name, got, want)
		}
	}
	near("centre", ph.Limits.Centre, 50.81, 1e-9)
	near("sigma", ph.Limits.Sigma, (2*16.9+2.5)/19*math.Sqrt(math.Pi)/2, 1e-9)
	if len(v.Phases) != 1 || len(v.Points) != 21 || len(ph.Within.Points) != 21 || ph.Baseline == nil {
		t.Fatalf("%d phases, %d points, %d within", len(v.Phases), len(v.Points), len(ph.Within.Points))
	}
	near("spread of the first lot", ph.Within.Points[0], 0.6/math.Sqrt2, 1e-9)
	near("middle of the spread", ph.Within.Centre[0], 0.7979*0.6/math.Sqrt2, 1e-4)
	near("limit of the spread", ph.Within.High[0], 2.606*0.6/math.Sqrt2, 3e-4)
	near("spread of the odd lot", ph.Within.Points[20], 1.5/math.Sqrt2, 1e-9)
	if len(v.Signals) != 0 { // 1.06 is below 1.1057.
		t.Errorf("signals %+v", v.Signals)
	}
	s.points[41].ValueF = 51.96 // 1.9 apart: 1.3435.
	v, err = charts.Chart(t.Context(), q)
	h.Must(err)
	if len(v.Signals) != 1 || v.Signals[0].Reason.Code != monitor.SpreadWithin || v.Signals[0].Side != spc.SideHigh || v.Signals[0].Point != 20 || v.Signals[0].Panel != spc.PanelWithinItems {
		t.Fatalf("signals %+v", v.Signals)
	}
	if said := v.Said(v.Signals[0]); said.Code != "spread_within_high" || said.Values["value"] == said.Values["limit"] {
		t.Errorf("said %+v", said)
	}
	_, err = charts.AddCause(t.Context(), h.Owner, monitor.NewCause{ChartKey: q.Key(), Rule: monitor.SpreadWithin, Side: "high", InspectionID: v.Signals[0].Raised.InspectionID, Code: "material"})
	h.Must(err)
	// Another block of that lot makes no other signal of it: its cause stays.
	more := s.points[41]
	more.InspectionID, more.ValueF, more.MeasuredAt = "7fffffff-0000-7000-8000-00000000000f", 49.9, more.MeasuredAt.Add(time.Hour)
	s.points = append(s.points, more)
	v, err = charts.Chart(t.Context(), q)
	h.Must(err)
	if len(v.Signals) != 1 || !v.Signals[0].Settled() {
		t.Errorf("signals %+v", v.Signals)
	}
	// A chart with a chosen baseline is watched, and counts by its lots: 20 and one more
	// in the last 90 days.
	d, err := charts.Design(t.Context())
	h.Must(err)
	if d.Charts != 1 || math.Abs(d.Points-21/90.*365.25/12) > 1e-6 {
		t.Errorf("design %+v", d)
	}
}

// Shops with hardly a lot: the chart says what it lacks, and no baseline can be chosen.
func TestFewLots(t *testing.T) {
	twenty := make([][]float64, 20)
	for i := range twenty {
		twenty[i] = []float64{12.8 + 0.01*float64(i%3)}
	}
	for _, c := range []struct {
		name   string
		lots   [][]float64
		points int
		title  string
	}{
		{"no lot", nil, 0, "chart.nothing_all"},
		{"one lot", [][]float64{{12.80, 12.81, 12.83}}, 1, "chart.few_points_all"},
		{"two lots", [][]float64{{12.80, 12.81, 12.83}, {12.79, 12.80}}, 2, "chart.few_points_all"},
		{"two lots all alike", [][]float64{{12.8, 12.8}, {12.8, 12.8}}, 2, "chart.few_points_all"},
		{"lots of one block", twenty, 0, "chart.nothing_all"},
		{"one lot of two among lots of one block", append([][]float64{{12.8, 12.9}}, twenty...), 1, "chart.few_points_all"},
	} {
		t.Run(c.name, func(t *testing.T) {
			h := worktest.New(t)
			s, charts, q := lotsOf(t, h, c.lots)
			v, err := charts.Chart(t.Context(), q)
			h.Must(err)
			if len(v.Points) != c.points || v.Finding.Title.Code != c.title || len(v.Signals) != 0 {
				t.Errorf("%d points, %+v, %d signals", len(v.Points), v.Finding.Title, len(v.Signals))
			}
			if len(s.points) == 0 {
				return
			}
			_, err = charts.AddBaseline(t.Context(), h.Owner, monitor.NewBaseline{ChartKey: q.Key(), First: s.points[0].InspectionID, Last: s.points[len(s.points)-1].InspectionID})
			var invalid *models.InvalidError
			if !errors.As(err, &invalid) || invalid.Problems[0].Code != "baseline_short" && invalid.Problems[0].Code != "no_such_point" {
				t.Errorf("a baseline: %v", err)
			}
		})
	}
}

// Of lots whose blocks are measured by turns each is one point, in the phase in which it
// began; a period cuts no lot in two.
func TestLotsThatOverlap(t *testing.T) {
	h := worktest.New(t)
	lots := make([][]float64, 44)
	for i := range lots {
		mean := 12.80 + 0.04*float64(i%2)
		if i >= 22 {
			mean += 0.2
		}
		lots[i] = []float64{mean - 0.01, mean, mean + 0.01}
	}
	s, charts, q := lotsOf(t, h, lots)
	// The last block of each lot is measured after the first two of the next one.
	for i := 2; i+3 < len(s.points); i += 3 {
		s.points[i].MeasuredAt = s.points[i+2].MeasuredAt.Add(30 * time.Second)
	}
	slices.SortFunc(s.points, func(a, b models.SeriesPoint) int { return a.MeasuredAt.Compare(b.MeasuredAt) })
	begun := func(lot int) models.SeriesPoint {
		return s.points[slices.IndexFunc(s.points, func(p models.SeriesPoint) bool { return p.Lot == fmt.Sprintf("L-%02d", lot) })]
	}
	_, err := charts.AddBaseline(t.Context(), h.Owner, monitor.NewBaseline{ChartKey: q.Key(), First: begun(22).InspectionID, Last: begun(43).InspectionID,
		Excluded: []models.ChartExclusion{{InspectionID: begun(30).InspectionID, Reason: "dropped"}}})
	h.Must(err)
	v, err := charts.Chart(t.Context(), q)
	h.Must(err)
	if len(v.Phases) != 2 || v.Phases[1].From != 22 || v.Phases[1].Limits.Facts.N != 21 || len(v.Points) != 44 || v.Points[22].Size != 3 || math.Abs(v.Phases[0].Limits.Centre-12.82) > 0.001 || len(v.Signals) != 0 || v.Phases[1].Limits.Excluded[0].Name != "L-30" {
		t.Fatalf("%d phases, %d points, signals %+v", len(v.Phases), len(v.Points), v.Signals)
	}
	q.From = begun(31).MeasuredAt
	part, err := charts.Chart(t.Context(), q)
	h.Must(err)
	if part.Points[0].Group != "L-30" || part.Points[0].Size != 3 || part.Present().Smoothed.Points[len(part.Points)-1] != v.Present().Smoothed.Points[21] {
		t.Errorf("the first lot of a part is %s of %d; its smoothed mean ends at %v, of all at %v", part.Points[0].Group, part.Points[0].Size, part.Present().Smoothed.Points[len(part.Points)-1], v.Present().Smoothed.Points[21])
	}
}
