package store

import (
	"context"
	"errors"
	"iter"
	"strings"
)

// Together has parts of one question read at the same time: each goes on until it
// asks something, then all that they ask goes to PostgreSQL in one round trip. What
// several of them ask, or one of them twice, is asked once: within one answer the
// same question has the same answer. On SQLite, which has no way to go, one part
// follows the other.
//
// Only one part runs at a time, so that they may write to what is beside them; but
// none may wait for another, hold a lock while it asks, ask from a goroutine of its
// own, or write to the database. Parts may have parts. The first error ends all of
// them.
func (s *Store) Together(ctx context.Context, parts ...func(context.Context) error) error {
	if ctx.Value(memoryKey{}) == nil {
		ctx = context.WithValue(ctx, memoryKey{}, memory{})
	}
	if s.dialect == Postgres && len(parts) > 1 {
		return s.inRounds(ctx, parts)
	}
	for _, part := range parts {
		if err := part(ctx); err != nil {
			return err
		}
	}
	return nil
}

// asker is a part that runs, with what it waits for.
type asker struct {
	questions []question
	answered  int // of them, when it goes on
	err       error
	wait      func(struct{}) bool
	part      func() (struct{}, bool)
	done      bool
}

type askerKey struct{}

// errEnded ends a part whose answer nobody waits for any more.
var errEnded = errors.New("another part of the question failed")

// ask waits until the round has brought the answers, and says how many there are.
func (a *asker) ask(questions []question) (answered int, err error) {
	a.questions = questions
	if !a.wait(struct{}{}) {
		return 0, errEnded
	}
	return a.answered, a.err
}

func (s *Store) inRounds(ctx context.Context, parts []func(context.Context) error) error {
	askers, waiting := make([]asker, len(parts)), make([]*asker, 0, len(parts))
	ends := make([]error, len(parts))
	for i, part := range parts {
		a := &askers[i]
		var stop func()
		a.part, stop = iter.Pull(func(wait func(struct{}) bool) {
			a.wait = wait
			ends[i] = part(context.WithValue(ctx, askerKey{}, a))
		})
		defer stop()
	}
	for {
		waiting = waiting[:0]
		for i := range askers {
			a := &askers[i]
			if a.done {
				continue
			}
			if _, waits := a.part(); waits {
				waiting = append(waiting, a)
				continue
			}
			if a.done = true; ends[i] != nil {
				return ends[i]
			}
		}
		if len(waiting) == 0 {
			return nil
		}
		s.round(ctx, waiting)
	}
}

// round puts what all of them ask at once. The one at which it breaks off gets its
// error, as it would have by itself; those behind it ask again, each for itself.
func (s *Store) round(ctx context.Context, waiting []*asker) {
	var all []question
	for _, a := range waiting {
		all = append(all, a.questions...)
	}
	if len(all) == 0 { // They wait for what another part asked, and so let it go on.
		s.giveWay(ctx, waiting)
		return
	}
	answered, err := s.put(ctx, all)
	broken := false
	for _, a := range waiting {
		a.answered, a.err = min(answered, len(a.questions)), nil
		answered -= a.answered
		switch {
		case a.answered == len(a.questions):
		case !broken:
			broken, a.err = true, err
		default:
			a.answered, a.err = s.put(ctx, a.questions)
		}
	}
}

// giveWay lets the parts go on beside which these are parts of a part. Where there
// are none, the one that asked is among these.
func (s *Store) giveWay(ctx context.Context, waiting []*asker) {
	outer, within := ctx.Value(askerKey{}).(*asker)
	var err error
	if within {
		_, err = outer.ask(nil)
	}
	for _, a := range waiting {
		a.answered, a.err = 0, err
	}
}

// memory is what was asked so far by the parts of one question.
type memory map[string]*remembered

type memoryKey struct{}

type remembered struct {
	records any
	err     error
	there   bool
}

// recalled asks by itself, or takes what was asked before by parts of the same
// question: shared says that others may get it too.
func recalled(ctx context.Context, q question, ask func() (any, error)) (records any, shared bool, err error) {
	known, _ := ctx.Value(memoryKey{}).(memory)
	key, simple := q.key()
	if known == nil || !simple {
		records, err = ask()
		return records, false, err
	}
	if before := known[key]; before != nil && before.awaited(ctx) {
		return before.records, true, before.err
	}
	now := &remembered{err: errEnded}
	known[key] = now
	defer func() { now.there = true }() // Also when it panics.
	now.records, now.err = ask()
	return now.records, true, now.err
}

// awaited waits until another part has its answer, and says whether it got one.
func (r *remembered) awaited(ctx context.Context) bool {
	a, _ := ctx.Value(askerKey{}).(*asker)
	for !r.there && a != nil {
		if _, err := a.ask(nil); err != nil {
			return false
		}
	}
	return r.there && !errors.Is(r.err, errEnded)
}

// key tells a question from others; simple, whether it can be told by texts.
func (q question) key() (key string, simple bool) {
	var b strings.Builder
	b.Grow(len(q.text) + 64*len(q.args)) // A key with its mark.
	b.WriteString(q.text)
	for _, arg := range q.args {
		text, ok := arg.(string)
		if !ok {
			return "", false
		}
		b.WriteByte(0)
		b.WriteString(text)
	}
	return b.String(), true
}
