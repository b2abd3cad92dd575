package store

import (
	"context"
	"errors"
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
// An inspection that may not be written stays out of its group by itself. When
// the database refuses a group, each of it is written alone, and the one to
// blame gets its own error: nobody's work is lost by another's fault.
type groups struct {
	mu      sync.Mutex
	waiting []*waitingWrite
	writing int
	most    int // groups written at once
}

// waitingWrite is an inspection in the queue. Its turn says true when it is to
// write the next group, which it belongs to, and false when it was written.
type waitingWrite struct {
	*inspectionWrite
	turn chan bool
	err  error
}

// write returns when w is written or refused. Those who wait are not many and
// not long in the queue, so the caller's context counts only for the one who
// writes, and there only with its values: it writes for others too.
func (g *groups) write(ctx context.Context, s *Store, w *inspectionWrite) error {
	q := &waitingWrite{inspectionWrite: w, turn: make(chan bool, 1)}
	if err := ctx.Err(); err != nil {
		return err
	}
	if !g.join(q) && !<-q.turn {
		return q.err
	}
	group := g.take(q)
	defer g.finish(group, q)
	within, cancel := context.WithTimeout(context.WithoutCancel(ctx), groupWithin)
	defer cancel()
	s.writeGroup(within, group)
	return q.err
}

// join says whether q writes at once; otherwise it is in the queue.
func (g *groups) join(q *waitingWrite) bool {
	g.mu.Lock()
	defer g.mu.Unlock()
	if g.writing == 0 || g.writing < g.most && len(g.waiting)+1 >= worthBeside {
		g.writing++
		return true
	}
	g.waiting = append(g.waiting, q)
	return false
}

// take forms the group of a writer from the queue: in the order of arrival, no
// two of one item or one id.
func (g *groups) take(writer *waitingWrite) []*waitingWrite {
	g.mu.Lock()
	defer g.mu.Unlock()
	group := []*waitingWrite{writer}
	taken := map[string]bool{writer.Inspection.ID: true, writer.Inspection.ItemID: true}
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

// finish tells everybody of the group, and the first of the queue to go on.
func (g *groups) finish(group []*waitingWrite, writer *waitingWrite) {
	for _, q := range group {
		if q != writer {
			q.turn <- false
		}
	}
	g.mu.Lock()
	defer g.mu.Unlock()
	if len(g.waiting) == 0 || g.writing > 1 && len(g.waiting) < worthBeside {
		g.writing-- // Whoever writes beside goes on with those who wait.
		return
	}
	next := g.waiting[0]
	g.waiting = append(g.waiting[:0], g.waiting[1:]...)
	next.turn <- true
}

// writeGroup writes a group and leaves the error of each in it.
func (s *Store) writeGroup(ctx context.Context, group []*waitingWrite) {
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
