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

// A server that was started eight times has left eight links for a first owner.
// Whoever is first becomes the owner; the other links are worth nothing, also
// at the same moment.
func TestThereIsOneFirstOwner(t *testing.T) {
	storetest.Each(t, func(t *testing.T, s *store.Store) {
		ctx, stamp := t.Context(), models.NewStamp(models.Actor{}, moment)
		for n := range 8 {
			if err := s.AddLink(ctx, models.OneTimeLink{TokenHash: fmt.Sprint(n), Purpose: "first_owner", Expires: moment.AddDate(0, 0, 1)}); err != nil {
				t.Fatal(err)
			}
		}
		var (
			wait sync.WaitGroup
			in   atomic.Int32
		)
		for n := range 8 {
			wait.Go(func() {
				err := s.UseLink(ctx, stamp, fmt.Sprint(n), models.Person{ID: models.NewID(), Name: fmt.Sprint("owner ", n), Role: models.Owner, Active: true})
				switch {
				case err == nil:
					in.Add(1)
				case !errors.Is(err, models.ErrNotFound):
					t.Error(err)
				}
			})
		}
		wait.Wait()
		if people := must(s.People(ctx)); in.Load() != 1 || len(people) != 1 {
			t.Errorf("%d were let in and there are %d people, want one", in.Load(), len(people))
		}
	})
}
