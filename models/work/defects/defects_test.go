package defects

import (
	"context"
	"errors"
	"sync"
	"testing"
	"testing/synctest"
	"time"

	"tracewright/models"
)

// silent answers nothing until whoever asks has waited long enough.
type silent struct{ Store }

func (silent) Defects(ctx context.Context) (models.Defects, error) {
	<-ctx.Done()
	return models.Defects{}, ctx.Err()
}

func TestASilentDatabaseIsWaitedForOnce(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		s := New(silent{}, time.Now)
		began := time.Now()
		var all sync.WaitGroup
		for range 4 {
			all.Go(func() {
				if _, err := s.Book(t.Context()); !errors.Is(err, context.DeadlineExceeded) {
					t.Errorf("a silent database gave %v", err)
				}
			})
		}
		all.Wait()
		if took := time.Since(began); took != askWithin {
			t.Errorf("four who asked at once waited %v, want %v", took, askWithin)
		}
		book, err := s.Book(t.Context())
		if took := time.Since(began); took != askWithin || !errors.Is(err, errUnread) {
			t.Errorf("who asks again at once waited until %v and got %v", took, err)
		}
		if len(book.Choices("")) == 0 {
			t.Error("no shipped codes where those of the shop cannot be read")
		}
		time.Sleep(askAgain)
		if _, err = s.Book(t.Context()); !errors.Is(err, context.DeadlineExceeded) {
			t.Errorf("later it was not asked for again: %v", err)
		}
	})
}

// fails gives an error or what the shop has.
type fails struct {
	Store
	err error
}

func (f *fails) Defects(context.Context) (models.Defects, error) {
	return models.NewDefects(nil), f.err
}

func (*fails) AddDefectRevision(context.Context, models.Stamp, models.DefectRevision) error {
	return nil
}

// A revision made right after a read that failed is read at once.
func TestARevisionIsReadAfterALapse(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		store := &fails{}
		s := New(store, time.Now)
		_, err := s.Book(t.Context())
		if err != nil {
			t.Fatal(err)
		}
		time.Sleep(kept)
		store.err = errors.New("away")
		if _, err := s.Book(t.Context()); err != nil {
			t.Fatalf("codes that were read once are gone: %v", err)
		}
		store.err = nil
		if err := s.Revise(t.Context(), models.Actor{}, Change{Code: "W01", Name: "Swings", Severity: models.Critical, Reason: "our word"}); err != nil {
			t.Fatal(err)
		}
		if _, err := s.Book(t.Context()); err != nil {
			t.Errorf("right after the revision: %v", err)
		}
	})
}

func TestWhoeverGoesAwaySaysNothingOfTheDatabase(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		s := New(silent{}, time.Now)
		gone, leave := context.WithCancel(t.Context())
		leave()
		if _, err := s.Book(gone); !errors.Is(err, context.Canceled) {
			t.Fatalf("got %v", err)
		}
		if _, err := s.Book(t.Context()); errors.Is(err, errUnread) {
			t.Error("the next was told that the codes cannot be read")
		}
	})
}
