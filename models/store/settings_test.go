package store_test

import (
	"errors"
	"fmt"
	"sync"
	"sync/atomic"
	"testing"

	"tracewright/models"
	"tracewright/models/store"
	"tracewright/models/store/storetest"
)

// Of several who replace one setting at once, each knowing of the same, one does, and
// the others learn that they did not.
func TestReplaceSetting(t *testing.T) {
	storetest.Each(t, func(t *testing.T, s *store.Store) {
		const name, writers = "backup_key", 8
		before := ""
		for _, then := range []string{"first", "second", "", "third"} {
			var (
				all  sync.WaitGroup
				done atomic.Int64
				won  atomic.Value
			)
			for i := range writers {
				all.Go(func() {
					value := then
					if then != "" {
						value = fmt.Sprint(then, i)
					}
					switch err := s.ReplaceSetting(t.Context(), models.NewStamp(models.Actor{}, moment), name, before, value); {
					case err == nil:
						done.Add(1)
						won.Store(value)
					case !errors.Is(err, models.ErrConflict):
						t.Error(err)
					}
				})
			}
			all.Wait()
			if got := must(s.Setting(t.Context(), name)); done.Load() != 1 || got != won.Load() {
				t.Fatalf("in place of %q: %d replaced it, the last by %v; it is %q", before, done.Load(), won.Load(), got)
			}
			before = must(s.Setting(t.Context(), name))
		}
		if err := s.ReplaceSetting(t.Context(), models.NewStamp(models.Actor{}, moment), "never set", "something", "else"); !errors.Is(err, models.ErrConflict) {
			t.Errorf("in place of what was never set: %v, want a conflict", err)
		}
	})
}
