package store_test

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"tracewright/models"
	"tracewright/models/store"
	"tracewright/models/store/storetest"
	"tracewright/models/work/worktest"
)

// Parts that are asked together get what each would get by itself, also parts of
// parts, and what several ask is asked once.
func TestTogether(t *testing.T) {
	storetest.Each(t, func(t *testing.T, s *store.Store) {
		h := worktest.On(t, s)
		wheel, pack := h.Item[models.KindWheel], h.Item[models.KindPack]
		var got [5]models.Item
		var settings map[string]string
		var asked []string
		watched := s.Watched(func(x string) { asked = append(asked, x) })
		find := func(to *models.Item, id string) func(context.Context) error {
			return func(ctx context.Context) (err error) {
				*to, err = watched.Item(ctx, id)
				return err
			}
		}
		h.Must(watched.Together(t.Context(), func(ctx context.Context) error {
			return watched.Together(ctx, find(&got[0], wheel.ID), find(&got[1], pack.ID))
		}, func(context.Context) error { return nil }, func(ctx context.Context) (err error) {
			if err := find(&got[2], wheel.ID)(ctx); err != nil {
				return err
			}
			settings, err = watched.Settings(ctx)
			return err
		}, find(&got[3], pack.ID)))
		got[4] = must(s.Item(t.Context(), wheel.ID))
		same(t, "items", got[:], []models.Item{wheel, pack, wheel, pack, wheel})
		if settings[models.SettingShopName] == "" {
			t.Errorf("settings: %v", settings)
		}
		if len(asked) != 3 {
			t.Errorf("two items and the settings were asked for by %q", asked)
		}
	})
}

// A part of a part waits for what a part beside its own has asked already, and one
// beside it for what it asked.
func TestPartsOfPartsWaitForOthers(t *testing.T) {
	storetest.Each(t, func(t *testing.T, s *store.Store) {
		h := worktest.On(t, s)
		wheel, pack := h.Item[models.KindWheel], h.Item[models.KindPack]
		var asked []string
		watched := s.Watched(func(x string) { asked = append(asked, x) })
		var got [4]models.Item
		find := func(to *models.Item, id string) func(context.Context) error {
			return func(ctx context.Context) (err error) {
				*to, err = watched.Item(ctx, id)
				return err
			}
		}
		nothing := func(context.Context) error { return nil }
		ended := make(chan error, 1)
		go func() {
			ended <- watched.Together(t.Context(), find(&got[0], wheel.ID),
				func(ctx context.Context) error { return watched.Together(ctx, find(&got[1], wheel.ID), nothing) },
				func(ctx context.Context) error { return watched.Together(ctx, nothing, find(&got[2], pack.ID)) },
				find(&got[3], pack.ID))
		}()
		select {
		case err := <-ended:
			h.Must(err)
		case <-time.After(20 * time.Second):
			t.Fatal("they wait for one another for ever")
		}
		same(t, "items", got[:], []models.Item{wheel, wheel, pack, pack})
		if len(asked) != 2 {
			t.Errorf("two items were asked for by %q", asked)
		}
	})
}

// What several parts ask is asked once, and each has a list of its own; asked in
// another go, it is asked anew.
func TestTheSameQuestionIsAskedOnce(t *testing.T) {
	storetest.Each(t, func(t *testing.T, s *store.Store) {
		h := worktest.On(t, s)
		var asked []string
		watched := s.Watched(func(x string) { asked = append(asked, x) })
		var lists [3][]models.Person
		parts := make([]func(context.Context) error, len(lists))
		for i := range lists {
			parts[i] = func(ctx context.Context) (err error) {
				lists[i], err = watched.People(ctx)
				slices.Reverse(lists[i])
				return err
			}
		}
		h.Must(watched.Together(t.Context(), parts...))
		if len(asked) != 1 {
			t.Errorf("asked %d times: %q", len(asked), asked)
		}
		people := must(s.People(t.Context()))
		slices.Reverse(people)
		for _, list := range lists {
			same(t, "people", list, people)
		}
		h.Must(watched.Together(t.Context(), parts...))
		if len(asked) != 2 {
			t.Errorf("asked %d times in two goes", len(asked))
		}
	})
}

// A question that breaks off takes no other with it that does not mind; an error
// ends all of them.
func TestTogetherWhereOneFails(t *testing.T) {
	storetest.Each(t, func(t *testing.T, s *store.Store) {
		h := worktest.On(t, s)
		wheel := h.Item[models.KindWheel]
		find := func(ctx context.Context, id string) error {
			item, err := s.Item(ctx, id)
			if err == nil && item.ID != id {
				err = fmt.Errorf("found %s", item.ID)
			}
			return err
		}
		good := 0
		part := func(ctx context.Context) error {
			if err := find(ctx, wheel.ID); err != nil {
				return err
			}
			good++
			_, err := s.Parts(ctx, wheel.ID)
			return err
		}
		h.Must(s.Together(t.Context(), part, func(ctx context.Context) error {
			if err := find(ctx, "no key"); !errors.Is(err, models.ErrNotFound) { // PostgreSQL breaks off at it.
				return fmt.Errorf("a key that is none: %w", err)
			}
			return find(ctx, wheel.ID)
		}, part, part))
		if good != 3 {
			t.Errorf("%d of 3 others were answered", good)
		}
		broken := errors.New("broken")
		err := s.Together(t.Context(), part, func(context.Context) error { return broken }, part)
		if !errors.Is(err, broken) {
			t.Errorf("one failed: %v", err)
		}
		ctx, cancel := context.WithCancel(t.Context())
		cancel()
		if err := s.Together(ctx, part, part); !errors.Is(err, context.Canceled) {
			t.Errorf("nobody waits any more: %v", err)
		}
		defer func() {
			if cause := recover(); fmt.Sprint(cause) != "oh" {
				t.Errorf("a panic became %v", cause)
			}
		}()
		t.Errorf("after a panic: %v", s.Together(t.Context(), part, func(context.Context) error { panic("oh") }))
	})
}

// Each column that may be empty goes into a field that can hold that: a pointer, a
// text, or JSON.
func TestFieldsOfColumnsThatMayBeEmpty(t *testing.T) {
	tables := store.MayBeEmpty()
	for name, needed := range columns(t, storetest.SQLite(t)) {
		table, column, _ := strings.Cut(name, ".")
		if needed {
			continue
		}
		fields, known := tables[table]
		if !known {
			t.Errorf("%s may be empty: its record belongs into the list of this test", name)
		}
		if holds, is := fields[column]; is && !holds {
			t.Errorf("%s may be empty, and its field cannot hold that", name)
		}
	}
}
