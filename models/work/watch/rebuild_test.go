package watch_test

import (
	"context"
	"reflect"
	"testing"

	"pgregory.net/rapid"

	"tracewright/models"
	"tracewright/models/work/watch"
)

// everything is what is stored of all charts, but for when.
func (h *shop) everything(s *watch.Service) map[models.ChartKey][]models.ChartSignal {
	h.Helper()
	kept, err := h.Store.KeptCharts(h.Context())
	h.Must(err)
	all := map[models.ChartKey][]models.ChartSignal{}
	for _, k := range kept {
		all[k.ChartKey], err = s.Of(h.Context(), k.ChartKey)
		h.Must(err)
	}
	return all
}

// Whatever happens in whatever order, and whenever the signals are brought up to
// date and by which of two servers in between: what is kept at the end is what a
// rebuild finds, and what the charts say.
func TestKeptIsWhatARebuildFinds(t *testing.T) {
	each(t, func(t *testing.T, h *shop) {
		servers := []*watch.Service{h.watch(), h.watch()}
		type read struct{ id, serial string }
		var standing []read // Those that the limits rest on are corrected too.
		for _, sub := range h.steady(55, "stand 1") {
			standing = append(standing, read{sub.ID, sub.Serial})
		}
		found := 0
		add := func(sub models.Submission) {
			h.MustRecord(sub)
			standing = append(standing, read{sub.ID, sub.Serial})
		}
		add(h.reads(*h.AnotherWheel().Serial, 95, "stand 1")) // Whatever comes, there is a signal to begin with.
		rapid.Check(t, func(r *rapid.T) {
			for range rapid.IntRange(1, 6).Draw(r, "steps") {
				value := rapid.SampledFrom([]int{20, 21, 23, 25, 25, 20, 3, 95}).Draw(r, "value")
				place := rapid.SampledFrom([]string{"stand 1", "stand 2", ""}).Draw(r, "place")
				what := rapid.SampledFrom([]string{"wheel", "wheel", "again", "correct", "move", "settle", "settle", "restart"}).Draw(r, "what")
				which := rapid.IntRange(0, len(standing)-1).Draw(r, "which")
				switch what {
				case "wheel":
					add(h.reads(*h.AnotherWheel().Serial, value, place))
				case "again":
					add(h.reads(standing[which].serial, value, place))
				case "correct", "move":
					serial := standing[which].serial
					if what == "move" {
						serial = *h.AnotherWheel().Serial
					}
					sub := h.reads(serial, value, place)
					sub.Corrects, sub.Reason = standing[which].id, "it was so"
					standing = append(standing[:which], standing[which+1:]...)
					add(sub)
				case "settle":
					h.catchUp(servers[which%2])
				case "restart":
					servers[which%2] = h.watch()
				}
			}
			h.catchUp(servers[0])
			kept := h.everything(servers[0])
			h.Must(servers[1].Rebuild(t.Context(), nil))
			if rebuilt := h.everything(servers[0]); !reflect.DeepEqual(kept, rebuilt) {
				r.Fatalf("kept %+v\nrebuilt %+v", kept, rebuilt)
			}
			for k := range kept {
				found += len(h.stored(servers[0], k))
			}
		})
		if found == 0 {
			t.Error("no history had a signal: nothing was compared")
		}
	})
}

func TestRebuildTellsHowFarItIs(t *testing.T) {
	each(t, func(t *testing.T, h *shop) {
		h.steady(55, "stand 1")
		h.wheel(95, "stand 1")
		h.seal()
		var done []int
		s := h.watch()
		h.Must(s.Rebuild(t.Context(), func(n, of int) {
			if of != 6 {
				t.Errorf("of %d charts, want 6", of)
			}
			done = append(done, n)
		}))
		if !reflect.DeepEqual(done, []int{1, 2, 3, 4, 5, 6}) || len(h.stored(s, h.key(""))) != 1 {
			t.Errorf("told %v", done)
		}
	})
}

// A pass that is broken off after two of six charts, while work goes on, and so is
// each that follows: three passes come round to all of them.
func TestPassesThatNeverEndComeRound(t *testing.T) {
	each(t, func(t *testing.T, h *shop) {
		seen := map[models.ChartKey]int{}
		var cut context.CancelFunc
		s := watch.New(h.Store, broken{h.charts, func(k models.ChartKey, n int) {
			if seen[k]++; n == 2 {
				cut()
			}
		}, new(int)}, watch.Options{Now: h.Clock})
		for range 3 {
			h.wheel(21, "stand 1")
			h.seal()
			ctx, cancel := context.WithCancel(h.Context())
			cut = cancel
			if err := s.CatchUp(ctx); err == nil {
				t.Error("a pass that was broken off says that it ended")
			}
			cancel()
		}
		if len(seen) != 6 {
			t.Errorf("computed %v, want each of six charts", seen)
		}
	})
}

// broken tells of each chart that is computed, and which it is since the last that
// was cut.
type broken struct {
	drawn
	tell func(k models.ChartKey, n int)
	drew *int
}

func (b broken) Signals(ctx context.Context, k models.ChartKey) ([]models.ChartSignal, error) {
	signals, err := b.drawn.Signals(ctx, k)
	*b.drew = *b.drew%2 + 1
	b.tell(k, *b.drew)
	return signals, err
}
