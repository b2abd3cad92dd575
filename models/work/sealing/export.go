package sealing

import (
	"context"
	"errors"
	"fmt"
	"io"
	"time"

	"tracewright/models"
	"tracewright/models/trail"
)

// exportedAtOnce is how many entries are read at a time.
const exportedAtOnce = 1000

// Export writes the sealed entries that were sealed in from <= t < to as a trail
// file (package trail), with the checkpoints behind the last entry they cover. A
// file that begins with the first entry can be verified alone; zero times leave
// nothing out.
//
// What the log once held and holds no more is told by the file: the end counts
// what the head of the chain says is there, and a checkpoint that covers more
// stands before it.
func (s *Service) Export(ctx context.Context, from, to time.Time, out io.Writer) error {
	if err := s.export(ctx, from, to, trail.NewWriter(out)); err != nil {
		return fmt.Errorf("export the log: %w", err)
	}
	return nil
}

func (s *Service) export(ctx context.Context, from, to time.Time, w *trail.Writer) error {
	// In this order: what a checkpoint covers is in the chain before it is written.
	newest, err := s.store.NewestCheckpoint(ctx)
	if err != nil && !errors.Is(err, models.ErrNotFound) {
		return err
	}
	head, err := s.store.TrailHead(ctx)
	if err != nil && !errors.Is(err, models.ErrNotFound) {
		return err
	}
	waiting, err := s.store.UnsealedCount(ctx)
	if err != nil {
		return err
	}
	next := int64(0)
	if !from.IsZero() {
		if next, err = s.store.FirstSealed(ctx, from); err != nil {
			return err
		}
	}
	points := &ahead{store: s.store, above: next}
	for {
		entries, err := s.store.SealedEntries(ctx, next, exportedAtOnce)
		if err != nil {
			return err
		}
		if len(entries) == 0 {
			break
		}
		for _, e := range entries {
			if !to.IsZero() && !e.SealedAt.Before(to) {
				return w.Close(0, int64(waiting))
			}
			chained, err := e.Sealed()
			if err != nil {
				return err
			}
			w.Entry(chained)
			next = chained.Seq + 1
			if err := points.upTo(ctx, next, w); err != nil {
				return err
			}
		}
	}
	if newest.Size > next {
		w.Checkpoint(newest.Signed())
	}
	return w.Close(max(0, head.Size-next), int64(waiting))
}

// ahead reads checkpoints along with the entries they cover.
type ahead struct {
	store Store
	above int64 // read up to here
	list  []models.Checkpoint
	done  bool
}

func (a *ahead) upTo(ctx context.Context, size int64, w *trail.Writer) error {
	for {
		if len(a.list) == 0 && !a.done {
			list, err := a.store.CheckpointsAbove(ctx, a.above, exportedAtOnce)
			if err != nil {
				return err
			}
			a.list, a.done = list, len(list) == 0
			if !a.done {
				a.above = list[len(list)-1].Size
			}
		}
		if len(a.list) == 0 || a.list[0].Size > size {
			return nil
		}
		w.Checkpoint(a.list[0].Signed())
		a.list = a.list[1:]
	}
}
