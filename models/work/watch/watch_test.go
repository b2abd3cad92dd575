package watch_test

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"reflect"
	"slices"
	"testing"
	"time"

	"tracewright/models"
	"tracewright/models/numbers/spc"
	"tracewright/models/store/storetest"
	"tracewright/models/work/monitor"
	"tracewright/models/work/watch"
	"tracewright/models/work/worktest"
)

// A history is on four databases, and each grows with every check: fifteen are enough
// where the command line asks for no more.
func TestMain(m *testing.M) {
	if err := flag.Set("rapid.checks", "15"); err != nil {
		panic(err) // The name is the library's.
	}
	storetest.Main(m)
}

// drawn are the charts of two results of the wheels, over all stands and at each
// of two.
type drawn struct {
	*monitor.Service
	family string
	also   []models.ChartKey
}

func (d drawn) Watched(context.Context) ([]models.ChartKey, error) {
	keys := slices.Clone(d.also)
	for _, place := range []string{"", "stand 1", "stand 2"} {
		for _, result := range []string{"lateral_tir", "radial_tir"} {
			keys = append(keys, models.ChartKey{FamilyID: d.family, Place: place, Result: result})
		}
	}
	return keys, nil
}

// shop is a workshop whose charts are watched.
type shop struct {
	*worktest.Shop
	charts drawn
	sealed bool
}

// each runs f with a shop whose log is sealed, and with one where nothing is, on
// each kind of database.
func each(t *testing.T, f func(t *testing.T, h *shop)) {
	t.Helper()
	worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
		charts := drawn{Service: monitor.New(h.Store, h.Clock, worktest.Zone), family: *h.Item[models.KindWheel].FamilyID}
		t.Run("sealed", func(t *testing.T) {
			h.TB = t
			s := &shop{h, charts, true}
			h.Must(h.Store.BeginLog(t.Context(), models.NewStamp(models.Actor{}, h.Now), models.NewID(), models.ServerKey{ID: "0123456789abcdef", Public: fmt.Sprintf("%064x", 7), Server: "bench"}))
			f(t, s)
		})
	})
	worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
		charts := drawn{Service: monitor.New(h.Store, h.Clock, worktest.Zone), family: *h.Item[models.KindWheel].FamilyID}
		t.Run("unsealed", func(t *testing.T) {
			h.TB = t
			f(t, &shop{h, charts, false})
		})
	})
}

func (h *shop) watch() *watch.Service {
	return watch.New(h.Store, h.charts, watch.Options{Now: h.Clock})
}

// seal seals what waits, where the log has begun.
func (h *shop) seal() {
	h.Helper()
	if h.sealed {
		_, err := h.Store.Seal(h.Context(), h.Now, 10_000)
		h.Must(err)
	}
}

func (h *shop) catchUp(s *watch.Service) {
	h.Helper()
	h.seal()
	h.Must(s.CatchUp(h.Context()))
}

// wheel records the first set of a new wheel with this lateral full reading, in
// hundredths of a millimetre, a minute after the one before.
func (h *shop) wheel(hundredths int, place string) models.Submission {
	h.Helper()
	sub := h.reads(*h.AnotherWheel().Serial, hundredths, place)
	h.MustRecord(sub)
	return sub
}

func (h *shop) reads(serial string, hundredths int, place string) models.Submission {
	h.Now = h.Now.Add(time.Minute)
	sub := h.Extremes()
	sub.Serial, sub.Place = serial, place
	sub.Sets[0].Values = []string{fmt.Sprintf("%d.%02d", hundredths/100, hundredths%100), "0.00"}
	return sub
}

func (h *shop) key(place string) models.ChartKey {
	return models.ChartKey{FamilyID: h.charts.family, Place: place, Result: "lateral_tir"}
}

// steady records wheels that read 0.20 and 0.25 mm by turns. A chart takes its limits
// from the first fifty of them: 0.95 mm and 0.03 mm lie beyond any that these give.
func (h *shop) steady(n int, place string) (sent []models.Submission) {
	h.Helper()
	for i := range n {
		sent = append(sent, h.wheel(20+5*(i%2), place))
	}
	return sent
}

// stored are the kept signals of a chart, checked against what it would say now.
func (h *shop) stored(s *watch.Service, k models.ChartKey) []models.ChartSignal {
	h.Helper()
	got, err := s.Of(h.Context(), k)
	h.Must(err)
	want, err := h.charts.Signals(h.Context(), k)
	h.Must(err)
	if len(got)+len(want) > 0 && !reflect.DeepEqual(got, want) {
		h.Errorf("chart %+v: stored %+v\nwant %+v", k, got, want)
	}
	return got
}

func TestSignalsAreStoredAsTheChartHasThem(t *testing.T) {
	each(t, func(t *testing.T, h *shop) {
		s := h.watch()
		h.steady(55, "stand 1")
		h.catchUp(s)
		if n := len(h.stored(s, h.key(""))); n != 0 {
			t.Errorf("%d signals of a steady process", n)
		}
		high := h.wheel(95, "stand 1")
		h.catchUp(s)
		for _, place := range []string{"", "stand 1"} {
			got := h.stored(s, h.key(place))
			if len(got) != 1 || got[0].InspectionID != high.ID || got[0].Rule != spc.BeyondLimit || got[0].Side != string(spc.SideHigh) || got[0].Reason.Values["value"] != "0.95" {
				t.Errorf("at %q: %+v", place, got)
			}
		}
		if got := h.stored(s, h.key("stand 2")); len(got) != 0 {
			t.Errorf("at stand 2: %+v", got)
		}
		h.Now = h.Now.Add(time.Hour)
		low := h.wheel(3, "stand 1")
		h.catchUp(s)
		open, err := s.Open(t.Context())
		h.Must(err)
		// Each on the chart of its stand and on that of all of them, newest first.
		if len(open) != 4 || open[0].InspectionID != low.ID || open[3].InspectionID != high.ID {
			t.Errorf("open %+v", open)
		}
		measured := open[0].MeasuredAt
		between, err := s.Between(t.Context(), measured, measured.Add(time.Millisecond))
		h.Must(err)
		before, err := s.Between(t.Context(), measured.Add(-time.Minute), measured)
		h.Must(err)
		if len(between) != 2 || len(before) != 0 {
			t.Errorf("%d from its moment on, want 2; %d before it, want none", len(between), len(before))
		}
	})
}

// A correction of the value takes a signal away; one that moves the inspection to
// another wheel takes it along, and the wheel that it leaves has no first set.
func TestACorrectionMovesSignals(t *testing.T) {
	each(t, func(t *testing.T, h *shop) {
		s := h.watch()
		h.steady(55, "stand 1")
		wrong := h.wheel(95, "stand 1")
		h.catchUp(s)
		if n := len(h.stored(s, h.key("stand 1"))); n != 1 {
			t.Fatalf("%d signals, want 1", n)
		}
		other := *h.AnotherWheel().Serial
		moved := h.reads(other, 95, "stand 2")
		moved.Corrects, moved.Reason = wrong.ID, "it was another wheel"
		h.MustRecord(moved)
		h.catchUp(s)
		got := h.stored(s, h.key(""))
		if len(got) != 1 || got[0].InspectionID != moved.ID || got[0].Serial != other {
			t.Errorf("moved: %+v", got)
		}
		if n := len(h.stored(s, h.key("stand 1"))); n != 0 {
			t.Errorf("%d signals at the stand that it left", n)
		}
		right := h.reads(other, 21, "stand 2")
		right.Corrects, right.Reason = moved.ID, "read from the wrong scale"
		h.MustRecord(right)
		h.catchUp(s)
		if got := h.stored(s, h.key("")); len(got) != 0 {
			t.Errorf("corrected: %+v", got)
		}
	})
}

// A set that is entered late and was measured before becomes the first of its
// wheel: the one that signalled is a second round now.
func TestALateSetTakesTheFirstSetsPlace(t *testing.T) {
	each(t, func(t *testing.T, h *shop) {
		s := h.watch()
		h.steady(55, "stand 1")
		serial := *h.AnotherWheel().Serial
		late := h.reads(serial, 22, "stand 2")
		high := h.reads(serial, 95, "stand 1")
		h.MustRecord(high)
		h.catchUp(s)
		if n := len(h.stored(s, h.key("stand 1"))); n != 1 {
			t.Fatalf("%d signals, want 1", n)
		}
		h.MustRecord(late)
		h.catchUp(s)
		if n := len(h.stored(s, h.key("stand 1"))); n != 0 {
			t.Errorf("%d signals of what is no first set any more", n)
		}
	})
}

// What is not watched any more is forgotten with its signals; a chart that cannot
// be drawn has none, and does not keep the others from theirs.
func TestChartsComeAndGo(t *testing.T) {
	each(t, func(t *testing.T, h *shop) {
		h.charts.also = []models.ChartKey{{FamilyID: h.charts.family, Result: "no_such_result"}, {FamilyID: h.charts.family, Place: "stand 3", Result: "lateral_tir"}}
		s := h.watch()
		h.steady(55, "stand 3")
		h.wheel(95, "stand 3")
		h.catchUp(s)
		if n, err := s.Count(t.Context()); err != nil || n != 8 || len(h.stored(s, h.key("stand 3"))) != 1 {
			t.Errorf("%d charts, %v; want 8, and a signal at stand 3", n, err)
		}
		h.charts.also = nil
		s = h.watch()
		h.wheel(21, "stand 1")
		h.catchUp(s)
		gone, err := s.Of(t.Context(), h.key("stand 3"))
		if n, counted := s.Count(t.Context()); counted != nil || n != 6 || err != nil || len(gone) != 0 {
			t.Errorf("%d charts, %v; %d signals of a chart that is not watched, %v", n, counted, len(gone), err)
		}
	})
}

// What computes of an older log than is stored leaves it alone.
func TestTheLongerLogWins(t *testing.T) {
	worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
		k := models.ChartKey{FamilyID: *h.Item[models.KindWheel].FamilyID, Result: "lateral_tir"}
		out := h.MustRecord(h.Extremes())
		signal := models.ChartSignal{ChartKey: k, Rule: spc.BeyondLimit, Side: "high", InspectionID: out.Inspection.ID, ItemID: out.Inspection.ItemID, Serial: "x", MeasuredAt: h.Now, Since: h.Now}
		keep := func(seen int64, signals ...models.ChartSignal) {
			t.Helper()
			h.Must(h.Store.KeepSignals(t.Context(), []models.ChartSignals{{KeptChart: models.KeptChart{ChartKey: k, Seen: seen, ComputedAt: h.Now}, Signals: signals}}))
		}
		want := func(name string, n int) {
			t.Helper()
			if got, err := h.Store.SignalsOf(t.Context(), k); err != nil || len(got) != n {
				t.Errorf("%s: %d signals, %v; want %d", name, len(got), err, n)
			}
		}
		keep(10)
		keep(9, signal)
		want("of an older log", 0)
		keep(10, signal)
		want("of the same log", 1)
		keep(11)
		want("of a longer log", 0)
		keep(11, signal)
		h.Must(h.Store.DoubtCharts(t.Context()))
		want("doubted", 1)
		keep(3)
		want("of whatever log, once doubted", 0)
		h.Must(h.Store.MarkCharts(t.Context(), models.ChartMark{Seen: 7, Rules: "a"}))
		h.Must(h.Store.MarkCharts(t.Context(), models.ChartMark{Seen: 5, Rules: "b"}))
		if mark, err := h.Store.ChartMark(t.Context()); err != nil || mark != (models.ChartMark{Seen: 7, Rules: "b"}) {
			t.Errorf("mark %+v, %v; it never goes back from 7", mark, err)
		}
	})
}

func TestPagesAreToldWhatTheyAskedAbout(t *testing.T) {
	each(t, func(t *testing.T, h *shop) {
		s := h.watch()
		h.wheel(20, "stand 1")
		h.catchUp(s)
		here, err := s.Listen(h.key("stand 1"))
		h.Must(err)
		elsewhere, err := s.Listen(h.key("stand 2"))
		h.Must(err)
		all, err := s.Listen(models.ChartKey{})
		h.Must(err)
		sub := h.wheel(21, "stand 1")
		h.catchUp(s)
		select {
		case k := <-here.Changes:
			item := h.Item[models.KindWheel]
			if k != (models.ChartKey{FamilyID: h.charts.family, ProductID: *item.ProductID, Place: "stand 1", Result: "lateral_tir"}) {
				t.Errorf("told of %+v", k)
			}
		default:
			t.Errorf("not told of inspection %s", sub.ID)
		}
		if len(here.Changes) != 0 || len(elsewhere.Changes) != 0 || len(all.Changes) < 5 {
			t.Errorf("%d more to the page of its chart, %d to that of another stand, %d of all results", len(here.Changes), len(elsewhere.Changes), len(all.Changes))
		}
		elsewhere.Leave()
		elsewhere.Leave()
		if _, open := <-elsewhere.Changes; open {
			t.Error("a page that left is told on")
		}
		s.Close()
		if _, err := s.Listen(models.ChartKey{}); !errors.Is(err, watch.ErrClosed) {
			t.Errorf("listen to a closed one: %v", err)
		}
	})
}

// A record that is dated in the future, or long before all that was looked at, hides
// neither from a page nor from the stored signals what comes after it: so tablets whose
// clocks are wrong, and what is entered late, take nothing from the live stream.
func TestWrongClocksHideNothing(t *testing.T) {
	each(t, func(t *testing.T, h *shop) {
		right := h.Now
		h.Now = right.AddDate(9, 0, 0)
		h.steady(30, "stand 1")
		h.Now = right
		h.steady(25, "stand 1")
		s := h.watch()
		h.catchUp(s)
		page, err := s.Listen(h.key("stand 1"))
		h.Must(err)
		for _, c := range []struct {
			name string
			at   time.Time
		}{{"after records of the future", right.Add(time.Hour)}, {"dated three days before", right.AddDate(0, 0, -3)}, {"a clock set back", right.Add(-time.Hour)}, {"right again", right.Add(2 * time.Hour)}} {
			h.Now = c.at
			h.wheel(21, "stand 1")
			h.catchUp(s)
			if len(page.Changes) != 1 {
				t.Errorf("%s: told %d times", c.name, len(page.Changes))
			}
			for len(page.Changes) > 0 {
				if k := <-page.Changes; k.Place != "stand 1" {
					t.Errorf("%s: told of %+v", c.name, k)
				}
			}
			h.stored(s, h.key("stand 1"))
		}
	})
}

// behind hides entries from whoever looks for them by their ids, as those of a server
// whose clock is behind are.
type behind struct {
	watch.Store
	hides bool
}

func (b *behind) UnsealedSince(ctx context.Context, after string, limit int) ([]models.TrailEntry, error) {
	if b.hides {
		return nil, nil
	}
	return b.Store.UnsealedSince(ctx, after, limit)
}

// What another server writes whose own clock is behind cannot be told by its chart: pages
// are told that anything may have changed, once, and every chart is computed.
func TestAServerWhoseClockIsBehind(t *testing.T) {
	each(t, func(t *testing.T, h *shop) {
		if h.sealed {
			return // A sealed log has numbers.
		}
		store := &behind{Store: h.Store}
		s := watch.New(store, h.charts, watch.Options{Now: h.Clock})
		h.steady(55, "stand 1")
		h.catchUp(s)
		page, err := s.Listen(h.key("stand 1"))
		h.Must(err)
		store.hides = true
		high := h.wheel(95, "stand 1")
		h.catchUp(s)
		if n := len(page.Changes); n != 1 || <-page.Changes != (models.ChartKey{}) {
			t.Errorf("told %d times", n)
		}
		if got := h.stored(s, h.key("stand 1")); len(got) != 1 || got[0].InspectionID != high.ID {
			t.Errorf("stored %+v", got)
		}
		h.catchUp(s)
		if n := len(page.Changes); n != 0 {
			t.Errorf("told %d times when nothing came", n)
		}
	})
}

// Other rules, of the budget of false alarms or of a later program, have every
// chart computed anew; the same rules have none that nothing touched.
func TestOtherRulesComputeEveryChart(t *testing.T) {
	each(t, func(t *testing.T, h *shop) {
		rules, drawnTimes := "one", 0
		counted := counting{h.charts, &drawnTimes}
		start := func() *watch.Service {
			return watch.New(h.Store, counted, watch.Options{Now: h.Clock, Rules: func(context.Context) (string, error) { return rules, nil }})
		}
		s := start()
		h.steady(20, "stand 1")
		drew := func(name string, want int) {
			t.Helper()
			drawnTimes = 0
			h.catchUp(s)
			if drawnTimes != want {
				t.Errorf("%s: %d charts drawn, want %d", name, drawnTimes, want)
			}
		}
		drew("at the first start", 6)
		drew("nothing happened", 0)
		h.wheel(21, "stand 2") // Of all stands and of this one, two results each.
		drew("a wheel", 4)
		rules = "two"
		drew("other rules", 6)
		drew("the same rules", 0)
		if h.sealed { // Without a log there is no knowing what another start has seen.
			s = start()
			drew("another start", 0)
		}
		h.Now = h.Now.Add(25 * time.Hour)
		drew("a day later", 6)
	})
}

type counting struct {
	drawn
	times *int
}

func (c counting) Signals(ctx context.Context, k models.ChartKey) ([]models.ChartSignal, error) {
	*c.times++
	return c.drawn.Signals(ctx, k)
}
