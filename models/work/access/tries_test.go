package access

import (
	"context"
	"errors"
	"fmt"
	"strings"
	"testing"
	"time"

	"tracewright/models"
)

func TestTriesGrowSlower(t *testing.T) {
	at := time.Date(2027, 5, 24, 8, 0, 0, 0, time.UTC)
	tr := newTries(5, 30*time.Second, 15*time.Minute, 24*time.Hour, func() time.Time { return at })
	for i := range 5 {
		if left, err := tr.begin("k"); err != nil || left != 4-i {
			t.Fatalf("try %d: left %d, %v; want %d free tries left", i+1, left, err, 4-i)
		}
	}
	for _, wait := range []time.Duration{30 * time.Second, time.Minute, 2 * time.Minute, 4 * time.Minute, 8 * time.Minute, 15 * time.Minute, 15 * time.Minute} {
		_, err := tr.begin("k")
		var w *WaitError
		if !errors.As(err, &w) || w.Wait != wait {
			t.Fatalf("begin = %v, want a wait of %s", err, wait)
		}
		at = at.Add(wait - time.Millisecond)
		if _, err := tr.begin("k"); !errors.As(err, &w) || w.Wait != time.Millisecond {
			t.Fatalf("a moment before the end of %s: %v, want 1 ms more", wait, err)
		}
		at = at.Add(time.Millisecond)
		if _, err := tr.begin("k"); err != nil {
			t.Fatalf("after %s: %v, want a try", wait, err)
		}
	}
	if _, err := tr.begin("another"); err != nil {
		t.Errorf("another key waits too: %v", err)
	}
}

func TestTriesForget(t *testing.T) {
	for _, test := range []struct {
		name  string
		after func(tr *tries, at *time.Time)
		want  int
	}{
		{"success begins anew", func(tr *tries, at *time.Time) { tr.success("k") }, 4},
		{"a day without a try begins anew", func(tr *tries, at *time.Time) { *at = at.Add(24*time.Hour + time.Second) }, 4},
		{"half a day does not", func(tr *tries, at *time.Time) { *at = at.Add(12 * time.Hour) }, 2},
	} {
		t.Run(test.name, func(t *testing.T) {
			at := time.Date(2027, 5, 24, 8, 0, 0, 0, time.UTC)
			tr := newTries(5, 30*time.Second, 15*time.Minute, 24*time.Hour, func() time.Time { return at })
			tr.begin("k")
			tr.begin("k")
			test.after(tr, &at)
			if left, err := tr.begin("k"); err != nil || left != test.want {
				t.Errorf("left = %d, %v, want %d", left, err, test.want)
			}
		})
	}
}

// Strangers with many names use no more memory than that, and do not wash away
// a key that waits.
func TestTriesAreBounded(t *testing.T) {
	at := time.Date(2027, 5, 24, 8, 0, 0, 0, time.UTC)
	tr := newTries(5, 30*time.Second, 15*time.Minute, 24*time.Hour, func() time.Time { return at })
	for range 5 {
		tr.begin("held back")
	}
	for i := range 2*maxKeys + 10 {
		tr.begin(fmt.Sprint("stranger ", i))
	}
	if len(tr.keys) > maxKeys {
		t.Errorf("%d keys are kept, want at most %d", len(tr.keys), maxKeys)
	}
	if _, err := tr.begin("held back"); err == nil {
		t.Error("a key that waited was washed away by others")
	}
}

// nobodyThere is a store that knows no login.
type nobodyThere struct{ Store }

func (nobodyThere) PersonByLogin(context.Context, string) (models.Person, error) {
	return models.Person{}, models.ErrNotFound
}

// A login may be as long as a request: what is remembered of it is not.
func TestALongLoginTakesNoMemory(t *testing.T) {
	s := New(nobodyThere{}, time.Now, Cost{MemoryKiB: 8, Passes: 1, Lanes: 1})
	if _, err := s.SignIn(t.Context(), strings.Repeat("a", 1<<20), "wrong", "192.0.2.7"); !errors.Is(err, models.ErrUnauthenticated) {
		t.Fatal(err)
	}
	for _, t2 := range []*tries{s.logins, s.addresses} {
		for key := range t2.keys {
			if len(key) > 100 {
				t.Errorf("a key of %d bytes is remembered", len(key))
			}
		}
	}
	if len(s.logins.keys) != 1 {
		t.Errorf("%d logins are remembered, want 1", len(s.logins.keys))
	}
}
