package sealing

import (
	"context"
	"fmt"
	"io"
	"time"

	"tracewright/models"
	"tracewright/models/trail"
)

// Change is an entry of the log with what its record is about.
type Change struct {
	Entry models.TrailEntry
	About *models.ChangeSubject // nil where the record is gone, or is the log itself
}

// Changes are found ones, newest first.
type Changes struct {
	List []Change
	Next models.ChangeKey // where the search goes on; zero at the end
	Cut  bool             // it stopped there because it had looked at enough
}

// Changes lists what was changed, newest first.
func (s *Service) Changes(ctx context.Context, q models.ChangeQuery) (Changes, error) {
	page, err := s.store.Changes(ctx, q)
	if err != nil {
		return Changes{}, fmt.Errorf("changes: %w", err)
	}
	about, err := s.store.ChangeSubjects(ctx, page.Entries)
	if err != nil {
		return Changes{}, fmt.Errorf("changes: %w", err)
	}
	found := Changes{List: make([]Change, len(page.Entries)), Next: page.Next, Cut: page.Cut}
	for i, e := range page.Entries {
		found.List[i].Entry = e
		if a, known := about[e.ID]; known {
			found.List[i].About = &a
		}
	}
	return found, nil
}

// ChangeKinds lists the kinds of record that can be asked for.
func (s *Service) ChangeKinds() []string { return s.store.ChangeKinds() }

// exportedAtOnce is how many entries are read at a time.
const exportedAtOnce = 1000

// Export writes the sealed entries that were sealed in from <= t < to as a trail
// file (package trail), with the checkpoints behind the last entry they cover. A
// file that begins with the first entry can be verified alone; zero times leave
// nothing out.
func (s *Service) Export(ctx context.Context, from, to time.Time, out io.Writer) error {
	w := trail.NewWriter(out)
	first, err := s.store.FirstSealed(ctx, from)
	if err != nil {
		return fmt.Errorf("export the log: %w", err)
	}
	points := &ahead{store: s.store, above: first}
	for next, more := first, true; more; {
		entries, err := s.store.SealedEntries(ctx, next, exportedAtOnce)
		if err != nil {
			return fmt.Errorf("export the log: %w", err)
		}
		more = len(entries) == exportedAtOnce
		for _, e := range entries {
			if !to.IsZero() && !e.SealedAt.Before(to) {
				more = false
				break
			}
			chained, err := e.Sealed()
			if err != nil {
				return fmt.Errorf("export the log: %w", err)
			}
			w.Entry(chained)
			next = chained.Seq + 1
			if err := points.upTo(ctx, next, w); err != nil {
				return fmt.Errorf("export the log: %w", err)
			}
		}
	}
	waiting, err := s.store.UnsealedCount(ctx)
	if err != nil {
		return fmt.Errorf("export the log: %w", err)
	}
	if err := w.Close(int64(waiting)); err != nil {
		return fmt.Errorf("export the log: %w", err)
	}
	return nil
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
