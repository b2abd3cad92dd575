package store

import (
	"context"
	"errors"
	"fmt"
	"runtime"
	"runtime/debug"
	"sync"
	"time"
)

const (
	// groupsAtOnce is how many groups PostgreSQL is given at once, so that one is
	// put together while another waits for the disk. SQLite has one writer.
	groupsAtOnce = 2
	// worthBeside is how many make it worth to write a second group beside one: its
	// statements, its locks and its wait for the disk are shared by so many at
	// least. Fewer wait for the first, which is a few milliseconds.
	worthBeside = 4
)

// groupWithin bounds the writing of a group, for a database that has fallen silent:
// otherwise whoever comes next would wait behind it for ever.
const groupWithin = 12 * time.Second

// errNotWritten stands until a group's end is known.
var errNotWritten = errors.New("the inspection was not written")

// mostTogether bounds a group, so that nobody waits long for the others.
const mostTogether = 32

// groups writes the inspections that are waiting at one moment in one
// transaction: the disk is waited for once, rows that all of them name (people,
// gauges, the specification) are locked once, and a statement carries the rows
// of all. With a single stand each inspection is a group of its own and waits
// for nobody.
//
// Whoever finds nobody writing starts a writer, which goes on with those who came
// meanwhile until nobody waits. It is nobody's request: one that hands the turn on and
// then answers its client leaves the database idle for as long.
//
// An inspection that may not be written stays out of its group by itself. When
// the database refuses a group, each of it is written alone, and the one to
// blame gets its own error: nobody's work is lost by another's fault.
type groups struct {
	mu      sync.Mutex
	waiting []*waitingWrite
	writing int
	most    int // groups written at once
}

// waitingWrite is an inspection in the queue, until it was written or refused.
type waitingWrite struct {
	*inspectionWrite
	done chan struct{}
	err  error
}

// write returns when w is written or refused. Those who wait are not many and not long
// in the queue, and who writes writes for others too: a caller who gives up does so before.
func (g *groups) write(ctx context.Context, s *Store, w *inspectionWrite) error {
	if err := ctx.Err(); err != nil {
		return err
	}
	q := &waitingWrite{inspectionWrite: w, done: make(chan struct{})}
	if g.join(q) {
		go g.run(s.writeGroup)
	}
	<-q.done
	return q.err
}

// join queues q and says whether a writer is to be started.
func (g *groups) join(q *waitingWrite) bool {
	g.mu.Lock()
	defer g.mu.Unlock()
	g.waiting = append(g.waiting, q)
	if g.writing == 0 || g.writing < g.most && len(g.waiting) >= worthBeside {
		g.writing++
		return true
	}
	return false
}

// run writes group after group until it is not worth while any more.
func (g *groups) run(write func([]*waitingWrite)) {
	for group := g.take(); group != nil; group = g.take() {
		attempt(group, write)
		for _, q := range group {
			close(q.done)
		}
		runtime.Gosched() // Those written answer first, and do not wait for a processor behind the next group.
	}
}

// attempt writes a group. What panics there ends nobody's work but the group's own, as
// it would in a request.
func attempt(group []*waitingWrite, write func([]*waitingWrite)) {
	defer func() {
		if p := recover(); p != nil {
			for _, q := range group {
				q.err = fmt.Errorf("write a group of inspections: panic: %v\n%s", p, debug.Stack())
			}
		}
	}()
	write(group)
}

// take forms the next group from the queue: in the order of arrival, no two of one
// item or one id. Without one the writer ends.
func (g *groups) take() []*waitingWrite {
	g.mu.Lock()
	defer g.mu.Unlock()
	if len(g.waiting) == 0 || g.writing > 1 && len(g.waiting) < worthBeside {
		g.writing-- // Whoever writes beside goes on with those who wait.
		return nil
	}
	group := make([]*waitingWrite, 0, min(len(g.waiting), mostTogether))
	taken := make(map[string]bool, 2*cap(group))
	rest := g.waiting[:0]
	for _, q := range g.waiting {
		if len(group) == mostTogether || taken[q.Inspection.ID] || taken[q.Inspection.ItemID] {
			rest = append(rest, q)
			continue
		}
		taken[q.Inspection.ID], taken[q.Inspection.ItemID] = true, true
		group = append(group, q)
	}
	clear(g.waiting[len(rest):])
	g.waiting = rest
	return group
}

// writeGroup writes a group, for nobody's request alone, and leaves the error of each in it.
func (s *Store) writeGroup(group []*waitingWrite) {
	ctx, cancel := context.WithTimeout(context.Background(), groupWithin)
	defer cancel()
	writes := make([]*inspectionWrite, len(group))
	for i, q := range group {
		writes[i], q.err = q.inspectionWrite, errNotWritten
	}
	err := s.transact(ctx, func(p pipeline) error { return s.writeInspections(ctx, p, writes) })
	for _, q := range group {
		switch {
		case err == nil:
			q.err = q.refused
		case len(group) == 1:
			q.err = q.explain(err)
		default:
			q.err = s.writeInspection(ctx, q.inspectionWrite)
		}
	}
}
