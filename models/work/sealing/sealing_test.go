package sealing_test

import (
	"context"
	"errors"
	"log/slog"
	"strings"
	"sync"
	"testing"
	"time"

	"tracewright/models"
	"tracewright/models/store"
	"tracewright/models/store/storetest"
	"tracewright/models/trail"
	"tracewright/models/work/sealing"
)

var moment = time.Date(2031, 3, 4, 5, 6, 7, 0, time.UTC)

// clock is a clock that is set by hand.
type clock struct {
	mu sync.Mutex
	at time.Time
}

func (c *clock) now() time.Time { c.mu.Lock(); defer c.mu.Unlock(); return c.at }

func (c *clock) set(at time.Time) { c.mu.Lock(); defer c.mu.Unlock(); c.at = at }

func service(s *store.Store, keys sealing.Keys, c *clock) *sealing.Service {
	return sealing.New(s, sealing.Options{Keys: keys, Server: "bench", Now: c.now, Log: quiet})
}

// change leaves one entry.
func change(t *testing.T, s *store.Store, at time.Time, value string) {
	t.Helper()
	if err := s.SetSetting(t.Context(), models.NewStamp(models.Actor{}, at), models.SettingShopName, value); err != nil {
		t.Fatal(err)
	}
}

// A new database gets a log with its first key; a later start finds both. The
// keys of another log, and keys that the log does not know, are refused.
func TestBegin(t *testing.T) {
	storetest.Each(t, func(t *testing.T, s *store.Store) {
		ctx, c := t.Context(), &clock{at: moment}
		own := newRing(1)
		if err := service(s, own, c).Begin(ctx); err != nil {
			t.Fatal(err)
		}
		if err := service(s, own, c).Begin(ctx); err != nil {
			t.Fatalf("a second start: %v", err)
		}
		log := must[models.TrailHead](t)(s.TrailHead(ctx)).Log
		if own.log != log || len(own.keys) != 1 {
			t.Errorf("the keys are for %q, %d of them; want one for %s", own.log, len(own.keys), log)
		}
		other := newRing(50)
		other.log = models.NewID()
		if err := service(s, other, c).Begin(ctx); !errors.Is(err, sealing.ErrOtherLog) {
			t.Errorf("keys of another log: %v", err)
		}
		lost := newRing(100)
		var unknown *sealing.NotEnrolledError
		if err := service(s, lost, c).Begin(ctx); !errors.As(err, &unknown) || len(lost.keys) != 1 || unknown.KeyID != trail.KeyID(publicOf(lost.keys[0])) {
			t.Errorf("no keys at hand: %v and %d keys, want one that is not enrolled", err, len(lost.keys))
		}
		if err := service(s, lost, c).Begin(ctx); !errors.As(err, &unknown) || len(lost.keys) != 1 {
			t.Errorf("again: %v and %d keys, want the same one", err, len(lost.keys))
		}
		r := verify(t, s, publicOf(own.keys[0]))
		if r.Log != log || r.Entries != 1 {
			t.Errorf("the chain: %+v, want the first entry of %s", r, log)
		}
	})
	t.Run("a folder of a log beside a database without one", func(t *testing.T) {
		s := storetest.New(t)
		old := newRing(1)
		must[any](t)(old.Make())
		old.log = models.NewID()
		if err := service(s, old, &clock{at: moment}).Begin(t.Context()); !errors.Is(err, sealing.ErrOtherLog) {
			t.Errorf("got %v", err)
		}
	})
	t.Run("a start that was broken off before the log was kept", func(t *testing.T) {
		s := storetest.New(t)
		half := newRing(1)
		must[any](t)(half.Make())
		if err := service(s, half, &clock{at: moment}).Begin(t.Context()); err != nil || len(half.keys) != 1 || half.log == "" {
			t.Errorf("%v, %d keys for %q; want the key that was there", err, len(half.keys), half.log)
		}
	})
}

// adopted is how many records come with the schema, of which the log's beginning
// makes entries.
const adopted = 5

// What waits is sealed and signed before a certificate; the same again needs no
// other checkpoint. The certificate is signed by the same key.
func TestSealForACertificate(t *testing.T) {
	storetest.Each(t, func(t *testing.T, s *store.Store) {
		ctx, c, own := t.Context(), &clock{at: moment}, newRing(1)
		seals := service(s, own, c)
		if err := seals.Begin(ctx); err != nil {
			t.Fatal(err)
		}
		for i := range 1200 { // more than one turn takes
			change(t, s, moment, strings.Repeat("x", i%9+1))
		}
		sealed := must[models.SealedLog](t)(seals.Seal(ctx))
		if sealed.Waiting || sealed.Size != adopted+1201 || sealed.LogID != own.log {
			t.Errorf("sealed %+v, want all %d entries", sealed, adopted+1201)
		}
		if again := must[models.SealedLog](t)(seals.Seal(ctx)); again != sealed {
			t.Errorf("again: %+v, want the same", again)
		}
		r := verify(t, s, publicOf(own.keys[0]))
		if r.Checkpoints != 1 || r.Newest == nil || r.Newest.Root != sealed.Root || r.Uncheckpointed != 0 {
			t.Errorf("verified %+v, want one checkpoint of that root over everything", r)
		}
		signature := must[models.Signature](t)(seals.Sign(ctx, []byte("{}")))
		if signature.KeyID != trail.KeyID(publicOf(own.keys[0])) || len(signature.Value) != 128 {
			t.Errorf("signature %+v", signature)
		}
	})
}

// stuck is a store in which nothing can be sealed.
type stuck struct{ *store.Store }

func (stuck) Seal(ctx context.Context, _ time.Time, _ int) (models.SealedBatch, error) {
	<-ctx.Done()
	return models.SealedBatch{}, ctx.Err()
}

// A certificate does not wait for ever: after three seconds it has the newest
// checkpoint there is, and says that it waits.
func TestSealWaitsThreeSecondsAtMost(t *testing.T) {
	s, c, own := storetest.New(t), &clock{at: moment}, newRing(1)
	seals := service(s, own, c)
	if err := seals.Begin(t.Context()); err != nil {
		t.Fatal(err)
	}
	before := must[models.SealedLog](t)(seals.Seal(t.Context()))
	change(t, s, moment, "a")
	began := time.Now()
	waiting, err := sealing.New(stuck{s}, sealing.Options{Keys: own, Now: c.now, Log: quiet}).Seal(t.Context())
	if took := time.Since(began); took < 2900*time.Millisecond || took > 6*time.Second {
		t.Errorf("waited %v, want three seconds", took)
	}
	before.Waiting = true
	if err != nil || waiting != before {
		t.Errorf("got %+v, %v; want %+v", waiting, err, before)
	}
}

// Without keys nothing is sealed, and nothing signed.
func TestNoKeys(t *testing.T) {
	s := storetest.New(t)
	seals := sealing.New(s, sealing.Options{Now: time.Now, Log: quiet})
	if _, err := seals.Sign(t.Context(), []byte("{}")); !errors.Is(err, models.ErrNoKey) {
		t.Errorf("sign: %v, want no key", err)
	}
	change(t, s, moment, "a")
	if state := must[sealing.State](t)(seals.State(t.Context())); state.Begun || state.Waiting != 1 || state.KeyID != "" {
		t.Errorf("state %+v", state)
	}
}

// A new key is vouched for by the old one and signs from the next checkpoint
// on; the old one may be retired, the last one may not. Whoever trusts the first
// key alone follows all of it.
func TestRotate(t *testing.T) {
	storetest.Each(t, func(t *testing.T, s *store.Store) {
		ctx, c, own := t.Context(), &clock{at: moment}, newRing(1)
		seals := service(s, own, c)
		if err := seals.Begin(ctx); err != nil {
			t.Fatal(err)
		}
		must[models.SealedLog](t)(seals.Seal(ctx))
		first := trail.KeyID(publicOf(own.keys[0]))
		var refused *models.RefusedError
		if err := seals.Retire(ctx, first); !errors.As(err, &refused) {
			t.Errorf("retiring the only key: %v, want a refusal", err)
		}
		// Another program does it, as the command does beside a running server.
		c.set(moment.Add(time.Minute))
		made := must[models.ServerKey](t)(service(s, own, c).Rotate(ctx))
		if made.VouchedBy == nil || *made.VouchedBy != first {
			t.Errorf("vouched for by %v, want %s", made.VouchedBy, first)
		}
		must[models.SealedLog](t)(seals.Seal(ctx))
		if newest := must[models.Checkpoint](t)(s.NewestCheckpoint(ctx)); newest.KeyID != made.ID {
			t.Errorf("the next checkpoint is signed by %s, want the new key %s", newest.KeyID, made.ID)
		}
		if err := seals.Retire(ctx, first); err != nil {
			t.Fatal(err)
		}
		if err := seals.Retire(ctx, first); !errors.Is(err, models.ErrNotFound) {
			t.Errorf("retired twice: %v", err)
		}
		must[models.SealedLog](t)(seals.Seal(ctx))
		if r := verify(t, s, publicOf(own.keys[0])); r.Checkpoints != 3 {
			t.Errorf("%d checkpoints hold, want 3", r.Checkpoints)
		}
	})
}

// A second server on the same database has a key of its own, enrolled by the
// first; a key that nobody vouches for signs too, and nobody who trusts the
// first alone believes it.
func TestSecondServer(t *testing.T) {
	storetest.Each(t, func(t *testing.T, s *store.Store) {
		ctx, c, one, two := t.Context(), &clock{at: moment}, newRing(1), newRing(100)
		first, second := service(s, one, c), service(s, two, c)
		if err := first.Begin(ctx); err != nil {
			t.Fatal(err)
		}
		if err := second.Begin(ctx); err == nil {
			t.Fatal("the second server begins unasked")
		}
		if _, err := second.Rotate(ctx); !errors.Is(err, models.ErrNoKey) {
			t.Errorf("a key that may not sign vouches: %v", err)
		}
		must[models.ServerKey](t)(first.Enrol(ctx, publicOf(two.keys[0]), "two"))
		if _, err := first.Enrol(ctx, publicOf(two.keys[0]), "two"); !errors.Is(err, models.ErrConflict) {
			t.Errorf("enrolled twice: %v", err)
		}
		if err := second.Begin(ctx); err != nil {
			t.Fatalf("the second server, enrolled: %v", err)
		}
		change(t, s, moment, "a")
		must[models.SealedLog](t)(second.Seal(ctx))
		change(t, s, moment, "b")
		must[models.SealedLog](t)(first.Seal(ctx))
		if r := verify(t, s, publicOf(one.keys[0])); r.Checkpoints != 2 {
			t.Errorf("%d checkpoints hold, want one of each server", r.Checkpoints)
		}

		alone := service(s, newRing(200), c)
		must[models.ServerKey](t)(alone.EnrolAlone(ctx))
		if err := alone.Begin(ctx); err != nil {
			t.Fatal(err)
		}
		must[models.SealedLog](t)(alone.Seal(ctx))
		v := trail.NewVerifier(trail.Keys{trail.KeyID(publicOf(one.keys[0])): publicOf(one.keys[0])})
		v.Checkpoint(must[models.Checkpoint](t)(s.NewestCheckpoint(ctx)).Signed())
		for _, e := range must[[]models.TrailEntry](t)(s.SealedEntries(ctx, 0, 100)) {
			if err := v.Entry(must[trail.Entry](t)(e.Sealed())); err != nil {
				t.Fatal(err)
			}
		}
		if r := v.Report(); r.Problem == nil || r.Problem.Code != trail.CodeKey {
			t.Errorf("a checkpoint by a key that nobody vouches for: %+v, want %s", r.Problem, trail.CodeKey)
		}
	})
}

// A running sealer writes a checkpoint each hour while entries come, none while
// nothing happens, and one at its end.
func TestRunWritesCheckpoints(t *testing.T) {
	storetest.Each(t, func(t *testing.T, s *store.Store) {
		c := &clock{at: moment}
		seals := service(s, newRing(1), c)
		if err := seals.Begin(t.Context()); err != nil {
			t.Fatal(err)
		}
		ctx, stop := context.WithCancel(t.Context())
		ended := make(chan struct{})
		go func() { seals.Run(ctx); close(ended) }()
		count := func() int { return len(must[[]models.Checkpoint](t)(s.Checkpoints(t.Context(), 0, 100))) }
		await := func(what string, met func() bool) {
			t.Helper()
			for range 500 {
				if met() {
					return
				}
				time.Sleep(20 * time.Millisecond)
			}
			t.Errorf("ten seconds, and not yet %s; %d checkpoints", what, count())
		}
		await("a first checkpoint", func() bool { return count() == 1 })
		change(t, s, moment, "a")
		await("the change sealed", func() bool { return !must[bool](t)(s.Unsealed(t.Context())) })
		if n := count(); n != 1 {
			t.Errorf("%d checkpoints within the hour, want 1", n)
		}
		c.set(moment.Add(time.Hour))
		await("a second checkpoint", func() bool { return count() == 2 })
		c.set(moment.Add(3 * time.Hour))
		time.Sleep(time.Second)
		if n := count(); n != 2 {
			t.Errorf("%d checkpoints after hours in which nothing happened, want 2", n)
		}
		c.set(moment.AddDate(0, 0, -1)) // The hour is over by no clock for a day.
		change(t, s, moment, "b")
		await("one by the clock that went back", func() bool { return count() == 3 })
		c.set(moment.Add(3*time.Hour + time.Second))
		change(t, s, moment, "c")
		stop()
		<-ended
		if newest := must[models.Checkpoint](t)(s.NewestCheckpoint(t.Context())); newest.Size != adopted+4 || must[bool](t)(s.Unsealed(t.Context())) {
			t.Errorf("after its end the newest covers %d, want all %d", newest.Size, adopted+4)
		}
	})
}

// A clock that went back is written down once and told until it has caught up.
func TestClockThatWentBack(t *testing.T) {
	s, c := storetest.New(t), &clock{at: moment}
	var written strings.Builder
	seals := sealing.New(s, sealing.Options{Keys: newRing(1), Now: c.now, Server: "bench", Log: slog.New(slog.NewTextHandler(&written, nil))})
	if err := seals.Begin(t.Context()); err != nil {
		t.Fatal(err)
	}
	c.set(moment.Add(-time.Hour))
	for _, value := range []string{"a", "b"} {
		change(t, s, moment, value)
		must[models.SealedLog](t)(seals.Seal(t.Context()))
	}
	if state := seals.Troubles(); state.ClockBehind != time.Hour || strings.Count(written.String(), "the clock stands behind") != 1 {
		t.Errorf("%v behind, written %q; want an hour, once", state.ClockBehind, &written)
	}
	c.set(moment.Add(time.Second))
	change(t, s, moment, "c")
	must[models.SealedLog](t)(seals.Seal(t.Context()))
	if state := seals.Troubles(); state.Unwell() {
		t.Errorf("state %+v, want the clock well again", state)
	}
	for i, e := range must[[]models.TrailEntry](t)(s.SealedEntries(t.Context(), adopted+1, 10)) {
		if want := moment.Add(time.Duration(i/2) * time.Second); !e.SealedAt.Equal(want) {
			t.Errorf("entry %d sealed at %v, want %v", *e.Seq, e.SealedAt, want)
		}
	}
}

// A key that was retired signs nothing more: neither where it was retired, nor
// where another program did that and sealed the log meanwhile, so that nothing
// here had a reason to choose anew.
func TestARetiredKeySignsNothing(t *testing.T) {
	storetest.Each(t, func(t *testing.T, s *store.Store) {
		ctx, c, own, other := t.Context(), &clock{at: moment}, newRing(1), newRing(100)
		seals, beside, second := service(s, own, c), service(s, own, c), service(s, other, c)
		if err := seals.Begin(ctx); err != nil {
			t.Fatal(err)
		}
		must[any](t)(other.Make())
		must[models.ServerKey](t)(seals.Enrol(ctx, publicOf(other.keys[0]), "two"))
		first := must[string](t)(seals.SignsBy(ctx))
		if first != trail.KeyID(publicOf(own.keys[0])) {
			t.Fatalf("%s signs, want the first key", first)
		}
		c.set(moment.Add(time.Minute))
		made := must[models.ServerKey](t)(beside.Rotate(ctx))
		if err := beside.Retire(ctx, first); err != nil {
			t.Fatal(err)
		}
		must[models.SealedLog](t)(beside.Seal(ctx))
		must[models.SealedLog](t)(seals.Seal(ctx)) // Everything is sealed and signed already.
		if by := must[string](t)(seals.SignsBy(ctx)); by != made.ID {
			t.Errorf("after another program retired it, %s signs; want %s", by, made.ID)
		}
		if signed := must[models.Signature](t)(seals.Sign(ctx, []byte("{}"))); signed.KeyID != made.ID {
			t.Errorf("signed by %s, want %s", signed.KeyID, made.ID)
		}

		// The other server's key is left, and none here.
		if err := second.Begin(ctx); err != nil {
			t.Fatal(err)
		}
		if err := seals.Retire(ctx, made.ID); err != nil {
			t.Fatal(err)
		}
		if signed, err := seals.Sign(ctx, []byte("{}")); !errors.Is(err, models.ErrNoKey) {
			t.Errorf("retired here: signed by %q, %v; want no key", signed.KeyID, err)
		}
		if by, err := beside.SignsBy(ctx); !errors.Is(err, models.ErrNoKey) {
			t.Errorf("retired by another program: %q signs, %v; want no key", by, err)
		}
	})
}
