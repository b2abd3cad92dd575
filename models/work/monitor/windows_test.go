package monitor_test

import (
	"context"
	"errors"
	"fmt"
	"math"
	"slices"
	"testing"
	"time"

	"pgregory.net/rapid"

	"tracewright/models"
	"tracewright/models/numbers/spc"
	"tracewright/models/numbers/stats"
	"tracewright/models/work/monitor"
	"tracewright/models/work/worktest"
)

// history answers for a long series that is made up, and keeps what is written about
// it; the shop behind it has the family and its specification.
type history struct {
	monitor.Store
	points    []models.SeriesPoint // in the order of their moments and ids
	causes    []models.SignalCause
	baselines []models.ChartBaseline
	volume    []models.ChartVolume
}

func (s *history) Series(_ context.Context, q models.SeriesQuery) ([]models.SeriesPoint, error) {
	in := slices.DeleteFunc(slices.Clone(s.points), func(p models.SeriesPoint) bool {
		return !q.From.IsZero() && p.MeasuredAt.Before(q.From) || !q.To.IsZero() && !p.MeasuredAt.Before(q.To)
	})
	n := min(len(in), q.Limit)
	if q.Oldest {
		return in[:n], nil
	}
	return in[len(in)-n:], nil
}

func (s *history) Inspection(_ context.Context, id string) (models.Inspection, error) {
	for _, p := range s.points {
		if p.InspectionID == id {
			return models.Inspection{ID: id, MeasuredAt: p.MeasuredAt}, nil
		}
	}
	return models.Inspection{}, models.ErrNotFound
}

func (s *history) ChartBaselines(context.Context, models.ChartKey) ([]models.ChartBaseline, error) {
	return s.baselines, nil
}

func (s *history) ChartVolumes(context.Context, time.Time) ([]models.ChartVolume, error) {
	return s.volume, nil
}

func (s *history) ChartsWithBaseline(context.Context) ([]models.ChartKey, error) {
	var keys []models.ChartKey
	for _, b := range s.baselines {
		keys = append(keys, b.Key())
	}
	return keys, nil
}

func (s *history) SignalCauses(context.Context, models.ChartKey) ([]models.SignalCause, error) {
	return s.causes, nil
}

func (s *history) AddSignalCause(_ context.Context, _ models.Stamp, c models.SignalCause) error {
	s.causes = append(s.causes, c)
	return nil
}

func (s *history) AddChartBaseline(_ context.Context, _ models.Stamp, b models.ChartBaseline) error {
	s.baselines = append(s.baselines, b)
	slices.SortFunc(s.baselines, func(a, b models.ChartBaseline) int { return a.HoldsFrom.Compare(b.HoldsFrom) })
	return nil
}

// madeUp is a history of run-outs: level gives the middle of each point in hundredths
// of a millimetre, sameMoment says which have the moment of the one before, as an import
// gives them.
func madeUp(h *worktest.Shop, seed uint64, n int, level func(i int) float64, sameMoment func(i int) bool) (*history, *monitor.Service) {
	s := &history{Store: h.Store}
	chance, at := stats.NewRandom(seed), h.Now.AddDate(-4, 0, 0)
	for i := range n {
		if !sameMoment(i) {
			at = at.Add(7 * time.Minute)
		}
		x := math.Round(level(i)*math.Exp(0.25*chance.Normal())) / 100
		s.points = append(s.points, models.SeriesPoint{InspectionID: fmt.Sprintf("%08x-0000-7000-8000-%012x", 1<<30+i, i), ItemID: fmt.Sprintf("item %d", i), Serial: fmt.Sprintf("W%05d", i),
			MeasuredAt: at, Value: fmt.Sprintf("%.2f", x), ValueF: max(x, 0.01), ProductID: *h.Item[models.KindWheel].ProductID})
	}
	return s, monitor.New(s, h.Clock, worktest.Zone)
}

func never(int) bool { return false }

// named is what tells one signal from another, with when it began.
func named(rule string, side spc.Side, raised, began string) string {
	return rule + " " + string(side) + " at " + raised + " since " + began
}

// Whatever part of a chart is looked at, each of its signals is raised by the same point
// and began with the same as where all of the history is judged in one go: so the cause
// that somebody gives on one view stays on every other. Histories drift, come back, stay
// away for two thousand points, and have many points of one moment.
func TestASignalIsTheSameInEveryWindow(t *testing.T) {
	h := worktest.New(t)
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(60, 3200).Draw(t, "points")
		var moves []int
		levels := []float64{30}
		for at := rapid.IntRange(50, 600).Draw(t, "first move"); at < n; at += rapid.IntRange(20, 2200).Draw(t, "stay") {
			moves = append(moves, at)
			levels = append(levels, float64(rapid.SampledFrom([]int{24, 27, 30, 30, 33, 38, 60}).Draw(t, "level")))
		}
		tied := rapid.SampledFrom([]int{1, 1, 5, 40}).Draw(t, "points of one moment")
		s, charts := madeUp(h, rapid.Uint64().Draw(t, "seed"), n, func(i int) float64 {
			at, _ := slices.BinarySearch(moves, i+1)
			return levels[at]
		}, func(i int) bool { return i%tied != 0 })
		ctx := context.Background()
		q := lateral(h)
		view := func(q monitor.ChartQuery) monitor.ChartView {
			v, err := charts.Chart(ctx, q)
			if err != nil {
				t.Fatal(err)
			}
			return v
		}
		newest := view(q)
		if newest.Present().Limits.Facts.NoLimits {
			return
		}
		values := make([]float64, n)
		for i, p := range s.points {
			values[i] = p.ValueF
		}
		// All in one go, by the arithmetic alone.
		for range 6 {
			from := rapid.IntRange(0, n-1).Draw(t, "from")
			to := min(n, from+rapid.IntRange(1, 900).Draw(t, "so many"))
			q := lateral(h)
			q.From, q.To = s.points[from].MeasuredAt, s.points[to-1].MeasuredAt.Add(time.Millisecond)
			if rapid.Bool().Draw(t, "the newest of them") {
				q.From, q.Points = time.Time{}, to-from
			}
			v := view(q)
			if len(v.Points) == 0 {
				t.Fatalf("no points from %d to %d", from, to)
			}
			first := slices.IndexFunc(s.points, func(p models.SeriesPoint) bool { return p.InspectionID == v.Points[0].InspectionID })
			last := first + len(v.Points) // Points of one moment come together.
			chart, err := newest.Design.Watch.Judge(newest.Present().Limits, spc.Data{Values: values[:last]})
			if err != nil {
				t.Fatal(err)
			}
			want := map[string]bool{}
			for _, panel := range chart.Panels {
				for _, g := range panel.Signals {
					if g.Last >= first {
						want[named(g.Rule, g.Side, s.points[g.Index].InspectionID, s.points[g.First].InspectionID)] = true
					}
				}
			}
			for _, g := range v.Signals {
				name := named(g.Reason.Code, g.Side, g.Raised.InspectionID, g.Began.InspectionID)
				if !want[name] {
					t.Errorf("points %d to %d of %d: %s is no signal of the whole, which has %v", first, last, n, name, want)
				}
				delete(want, name)
			}
			if len(want) > 0 {
				t.Errorf("points %d to %d of %d lack %v", first, last, n, want)
			}
		}
	})
}

// A drift of three thousand points: its cause can be given on every view, and stays on
// every other, also when another limit has another of its points raise it.
func TestTheCauseOfALongDriftStays(t *testing.T) {
	h := worktest.New(t)
	ctx := t.Context()
	s, charts := madeUp(h, 3, 3600, func(i int) float64 {
		if i < 500 {
			return 30
		}
		return 36
	}, never)
	drift := func(q monitor.ChartQuery) monitor.Signal {
		t.Helper()
		v, err := charts.Chart(ctx, q)
		h.Must(err)
		at := slices.IndexFunc(v.Signals, func(g monitor.Signal) bool { return g.Panel == spc.PanelSmoothed && g.Open })
		if at < 0 {
			t.Fatalf("no drift among %d points", len(v.Points))
		}
		return v.Signals[at]
	}
	part := lateral(h)
	part.From, part.To = s.points[900].MeasuredAt, s.points[1000].MeasuredAt
	g := drift(part)
	_, err := charts.AddCause(ctx, h.Owner, monitor.NewCause{ChartKey: part.Key(), Rule: g.Reason.Code, Side: string(g.Side), InspectionID: g.Raised.InspectionID, Code: "tool"})
	h.Must(err)
	if now := drift(lateral(h)); now.Raised.InspectionID != g.Raised.InspectionID || !now.Settled() {
		t.Errorf("raised at %s, then at %s, settled %v", g.Raised.Serial, now.Raised.Serial, now.Settled())
	}
	s.volume = []models.ChartVolume{{FamilyID: *h.Item[models.KindWheel].FamilyID, Place: "stand 1", Items: 50_000}} // The limits move out.
	charts.Reconsider()
	wider := drift(lateral(h))
	if wider.Raised.InspectionID == g.Raised.InspectionID {
		t.Fatal("the other limit has the same point raise it: nothing is tried")
	}
	if !wider.Settled() {
		t.Error("the cause is lost with another volume of the shop")
	}
	// And what was raised elsewhere, or on the other side, is another one's.
	for _, c := range []monitor.NewCause{{Rule: g.Reason.Code, Side: "low", InspectionID: g.Raised.InspectionID}, {Rule: g.Reason.Code, Side: string(g.Side), InspectionID: s.points[20].InspectionID}} {
		c.ChartKey, c.Code = part.Key(), "tool"
		if _, err := charts.AddCause(ctx, h.Owner, c); !errors.Is(err, models.ErrStale) {
			t.Errorf("a cause of %s %s: %v", c.Side, c.InspectionID, err)
		}
	}
}

// A result that the shop made itself gets its chart from its first values, so that it is
// the same chart in every window: here some of the later ones alone are zero.
func TestAWindowDoesNotChooseTheChart(t *testing.T) {
	h := worktest.New(t)
	spec, err := h.Store.SpecificationInForce(t.Context(), *h.Item[models.KindWheel].FamilyID, nil)
	h.Must(err)
	spec.ID, spec.Revision, spec.Reason = models.NewID(), spec.Revision+1, "our own"
	for i, c := range spec.Characteristics {
		for j, l := range c.Results {
			if l.Result == "lateral_tir" {
				spec.Characteristics[i].Results[j].Result = "own_result"
			}
		}
	}
	s, _ := madeUp(h, 5, 900, func(int) float64 { return 30 }, never)
	own := ownResult{s, spec}
	charts := monitor.New(own, h.Clock, worktest.Zone)
	for i := 700; i < 710; i++ {
		s.points[i].ValueF, s.points[i].Value = 0, "0.00"
	}
	kinds := map[string]bool{}
	for _, q := range []monitor.ChartQuery{{}, {Points: 100}, {From: s.points[650].MeasuredAt, To: s.points[750].MeasuredAt}} {
		q.FamilyID, q.Result = *h.Item[models.KindWheel].FamilyID, "own_result"
		v, err := charts.Chart(t.Context(), q)
		h.Must(err)
		kinds[v.Kind] = true
	}
	if len(kinds) != 1 {
		t.Errorf("the chart is %v, by what is looked at", kinds)
	}
}

// ownResult has a specification with a result of the shop's own.
type ownResult struct {
	*history
	spec models.Specification
}

func (o ownResult) SpecificationInForce(context.Context, string, *string) (models.Specification, error) {
	return o.spec, nil
}
