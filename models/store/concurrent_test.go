package store_test

import (
	"errors"
	"slices"
	"sync"
	"sync/atomic"
	"testing"

	"tracewright/models"
	"tracewright/models/work/worktest"
)

// Eight people measure one wheel at the same moment: every inspection is kept,
// one of them is the first set, and the rounds count on without a gap.
func TestManyAtTheSameWheel(t *testing.T) {
	worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
		var wait sync.WaitGroup
		for range 8 {
			sub := h.Extremes()
			wait.Go(func() {
				if _, err := h.Record(sub); err != nil {
					t.Error(err)
				}
			})
		}
		wait.Wait()
		list, err := h.Store.InspectionsOf(t.Context(), h.Item[models.KindWheel].ID)
		h.Must(err)
		var rounds []int
		first := 0
		for _, i := range list {
			rounds = append(rounds, i.Round)
			if i.FirstSet {
				first++
			}
		}
		slices.Sort(rounds)
		if first != 1 || !slices.Equal(rounds, []int{1, 2, 3, 4, 5, 6, 7, 8}) {
			t.Errorf("%d first sets, rounds %v", first, rounds)
		}
	})
}

// The same inspection sent by a tablet that lost its answers: stored once.
func TestTheSameInspectionAtTheSameMoment(t *testing.T) {
	worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
		sub := h.Extremes()
		var wait sync.WaitGroup
		var created atomic.Int32
		for range 6 {
			wait.Go(func() {
				out, err := h.Record(sub)
				if err != nil {
					t.Error(err)
				}
				if out.Created {
					created.Add(1)
				}
			})
		}
		wait.Wait()
		if n := h.Count(h.Item[models.KindWheel].ID); n != 1 || created.Load() != 1 {
			t.Errorf("%d inspections, created %d times; want one of each", n, created.Load())
		}
	})
}

// The same, of a wheel that is conforming before and after: nothing but the key
// tells that the inspection was on its way twice.
func TestARepeatThatChangesNoState(t *testing.T) {
	worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
		h.MustRecord(h.Extremes())
		for range 5 {
			sub := h.Extremes()
			var wait sync.WaitGroup
			var created atomic.Int32
			for range 6 {
				wait.Go(func() {
					out, err := h.Record(sub)
					if err != nil {
						t.Error(err)
					}
					if out.Created {
						created.Add(1)
					}
				})
			}
			wait.Wait()
			if created.Load() != 1 {
				t.Errorf("created %d times, want once", created.Load())
			}
		}
	})
}

func TestSerialsAreGivenOnce(t *testing.T) {
	worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
		var (
			wait sync.WaitGroup
			mu   sync.Mutex
			seen = map[string]bool{}
		)
		w := h.Item[models.KindWheel]
		for range 8 {
			wait.Go(func() {
				for range 5 {
					item, err := h.Store.AddItemWithSerial(t.Context(), models.NewStamp(h.Owner, h.Now), models.Item{Kind: models.KindWheel, FamilyID: w.FamilyID, ProductID: w.ProductID, Origin: "made"}, "W", 31, nil)
					if err != nil {
						t.Error(err)
						return
					}
					mu.Lock()
					if seen[*item.Serial] {
						t.Errorf("%s was given twice", *item.Serial)
					}
					seen[*item.Serial] = true
					mu.Unlock()
				}
			})
		}
		wait.Wait()
		if len(seen) != 40 {
			t.Errorf("%d serials, want 40", len(seen))
		}
	})
}

func TestALinkLetsInOnce(t *testing.T) {
	worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
		login := "late"
		person := models.Person{ID: models.NewID(), Name: "late", Login: &login, Role: models.Desk, PasswordHash: "hash", Active: true}
		stamp := models.NewStamp(h.Owner, h.Now)
		h.Must(h.Store.AddPerson(t.Context(), stamp, person))
		h.Must(h.Store.AddLink(t.Context(), models.OneTimeLink{TokenHash: "x", Purpose: "set_password", PersonID: &person.ID, Expires: h.Now.AddDate(0, 0, 1)}))
		var wait sync.WaitGroup
		var in, refused atomic.Int32
		for range 6 {
			wait.Go(func() {
				switch err := h.Store.UseLink(t.Context(), stamp, "x", person); {
				case err == nil:
					in.Add(1)
				case errors.Is(err, models.ErrNotFound):
					refused.Add(1)
				default:
					t.Error(err)
				}
			})
		}
		wait.Wait()
		if in.Load() != 1 || refused.Load() != 5 {
			t.Errorf("let in %d times, refused %d", in.Load(), refused.Load())
		}
	})
}
