package lists

import (
	"context"
	"errors"
	"fmt"

	"tracewright/models"
)

// Try looks at a list and says everything that is wrong with it. Nothing is
// stored.
func (s *Service) Try(ctx context.Context, actor models.Actor, kind string, raw []byte) (Report, error) {
	l, _, err := s.look(ctx, actor, kind, raw)
	if err != nil {
		return Report{}, err
	}
	return *l.Report, nil
}

// TakeIn takes a list in that has nothing wrong with it; looked is the digest that
// Try gave, empty where nobody looked at it before. Errors: an InvalidError with
// every problem of every row; a RefusedError where it is another list than was
// looked at; models.ErrStale where the records changed meanwhile. Nothing is stored
// then.
func (s *Service) TakeIn(ctx context.Context, actor models.Actor, kind string, raw []byte, looked string) (Report, error) {
	// Between the look and what is stored comes no other list: a button that was
	// pressed twice brings the rows once.
	select {
	case s.taking <- struct{}{}:
		defer func() { <-s.taking }()
	case <-ctx.Done():
		return Report{}, fmt.Errorf("wait for another list: %w", ctx.Err())
	}
	l, keep, err := s.look(ctx, actor, kind, raw)
	if err != nil {
		return Report{}, err
	}
	if looked != "" && looked != l.Digest {
		return *l.Report, &models.RefusedError{Reasons: []models.Remark{models.NewRemark("list_is_another")}}
	}
	if err := l.Err(); err != nil {
		return *l.Report, err
	}
	if l.New == 0 {
		return *l.Report, nil
	}
	if err := keep(ctx); err != nil {
		if errors.Is(err, models.ErrConflict) && !errors.Is(err, models.ErrStale) { // Somebody was quicker with one of them.
			err = models.ErrStale
		}
		return *l.Report, fmt.Errorf("take in a list of %s: %w", kind, err)
	}
	return *l.Report, nil
}

func (s *Service) look(ctx context.Context, actor models.Actor, name string, raw []byte) (*list, keep, error) {
	kind, ok := Named(name)
	if !ok || kind.In == "" {
		return nil, nil, fmt.Errorf("lists of %.40q: %w", name, models.ErrNotFound)
	}
	l, err := s.read(ctx, actor, kind, raw)
	if err != nil || len(l.rows) == 0 {
		return l, nil, err
	}
	keep, err := kind.plan(ctx, s, l)
	if err != nil {
		return nil, nil, fmt.Errorf("look at a list of %s: %w", name, err)
	}
	l.sort()
	return l, keep, nil
}
