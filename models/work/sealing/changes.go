package sealing

import (
	"context"
	"fmt"

	"tracewright/models"
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
