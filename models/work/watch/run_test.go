package watch_test

import (
	"context"
	"sync"
	"testing"
	"time"

	"tracewright/models/work/watch"
)

// Two servers follow one log while wheels come: neither disturbs the other, each
// tells its pages, and at the end all is stored as the charts say.
func TestTwoServersWatchOneDatabase(t *testing.T) {
	each(t, func(t *testing.T, h *shop) {
		h.steady(50, "stand 1")
		h.seal()
		ctx, stop := context.WithCancel(t.Context())
		var ended sync.WaitGroup
		servers := []*watch.Service{h.watch(), h.watch()}
		for _, s := range servers {
			ended.Go(func() { s.Run(ctx) })
		}
		defer ended.Wait()
		defer stop()
		for deadline := time.Now().Add(20 * time.Second); ; time.Sleep(50 * time.Millisecond) {
			if n, err := servers[0].Count(t.Context()); err != nil || n == 6 {
				h.Must(err)
				break
			} else if time.Now().After(deadline) {
				t.Fatalf("%d charts after 20 s, want 6", n)
			}
		}
		var pages []*watch.Page
		for _, s := range servers {
			page, err := s.Listen(h.key("stand 2"))
			h.Must(err)
			pages = append(pages, page)
		}
		time.Sleep(1500 * time.Millisecond) // Both have looked at what was there.
		for i := range 8 {
			h.wheel([]int{22, 95}[i%2], "stand 2")
			h.seal()
			time.Sleep(50 * time.Millisecond)
		}
		for n, page := range pages {
			select { // Several wheels of one look are one change.
			case k := <-page.Changes:
				if k.Place != "stand 2" || k.Result != "lateral_tir" {
					t.Errorf("server %d tells of %+v", n, k)
				}
			case <-time.After(10 * time.Second):
				t.Errorf("server %d tells of nothing", n)
			}
		}
		for deadline := time.Now().Add(20 * time.Second); ; time.Sleep(100 * time.Millisecond) {
			stored, err := servers[1].Of(t.Context(), h.key(""))
			h.Must(err)
			want, err := h.charts.Signals(t.Context(), h.key(""))
			h.Must(err)
			if len(stored) == len(want) && len(want) > 0 {
				break
			}
			if time.Now().After(deadline) {
				t.Fatalf("%d signals stored after 20 s, want %d", len(stored), len(want))
			}
		}
		stop()
		ended.Wait()
		h.catchUp(servers[0])
		for k := range h.everything(servers[0]) {
			h.stored(servers[0], k)
		}
	})
}
