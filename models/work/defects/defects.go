// Package defects keeps the codes of what can be wrong with an item. The program
// brings a list along; the shop changes wording and severity, retires codes and
// adds its own. Whatever was said under a code keeps the words of its time.
package defects

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"
	"sync"
	"time"

	"tracewright/models"
)

const (
	longestName   = 60
	longestReason = 200
)

// Store is what the package asks of the database.
type Store interface {
	Defects(ctx context.Context) (models.Defects, error)
	// AddDefectRevision adds the next revision; models.ErrConflict when another came
	// first.
	AddDefectRevision(ctx context.Context, s models.Stamp, r models.DefectRevision) error
}

// Service reads and revises the codes.
type Service struct {
	store Store
	now   func() time.Time

	mu    sync.Mutex
	book  *models.Defects
	read  time.Time
	tried time.Time // when they could not be read
	set   int       // how often they were revised here: what was asked for before is not kept
}

// New makes the service; now is the clock.
func New(store Store, now func() time.Time) *Service { return &Service{store: store, now: now} }

// kept is how long codes that were read are taken as they are: several servers may
// share a database.
const kept = time.Minute

const (
	// askAgain is when codes that could not be read are asked for again, and askWithin
	// how long every page that names a defect waits for that.
	askAgain  = 2 * time.Second
	askWithin = 3 * time.Second
)

// errUnread says that the codes could not be read a moment ago.
var errUnread = errors.New("the codes of defects could not be read a moment ago")

// Book is every code as the shop says it, the shipped ones with an error where
// they cannot be read. It is asked for with each page that names a defect, and
// kept for a minute. Nothing is locked while the database is asked: whoever comes
// meanwhile waits as long as the first, and not once more for each before them.
func (s *Service) Book(ctx context.Context) (models.Defects, error) {
	s.mu.Lock()
	known, now, set := s.book, s.now(), s.set
	fresh, tried := now.Sub(s.read).Abs() < kept, now.Sub(s.tried).Abs() < askAgain
	s.mu.Unlock()
	switch {
	case known != nil && (fresh || tried): // Codes that were read once stay, where they cannot be read again for now.
		return *known, nil
	case tried:
		return models.NewDefects(nil), errUnread
	}
	within, cancel := context.WithTimeout(ctx, askWithin)
	defer cancel()
	book, err := s.store.Defects(within)
	s.mu.Lock()
	defer s.mu.Unlock()
	if err != nil {
		if ctx.Err() == nil { // Whoever goes away while it is asked for says nothing of the database.
			s.tried = s.now()
		}
		if s.book != nil {
			return *s.book, nil
		}
		return models.NewDefects(nil), fmt.Errorf("codes of defects: %w", err)
	}
	if set == s.set {
		s.book, s.read, s.tried = &book, s.now(), time.Time{}
	}
	return book, nil
}

// Change is a code as the shop wants it said from now on.
type Change struct {
	Code     string
	From     int // the revision that was changed; 0 for what is shipped, or new
	Name     string
	Severity models.Severity
	Retired  bool
	Reason   string
}

// Revise adds a revision of a code, or a code of the shop's own. Errors: an
// InvalidError with every problem; models.ErrStale when somebody changed it
// meanwhile.
func (s *Service) Revise(ctx context.Context, actor models.Actor, in Change) error {
	book, err := s.store.Defects(ctx)
	if err != nil {
		return fmt.Errorf("codes of defects: %w", err)
	}
	in.Code, in.Name, in.Reason = strings.ToUpper(models.OneLine(in.Code)), models.OneLine(in.Name), models.OneLine(in.Reason)
	revisions := book.Revisions(in.Code)
	if len(revisions) != in.From {
		return fmt.Errorf("defect %.10q: %w", in.Code, models.ErrStale)
	}
	invalid := &models.InvalidError{}
	if !book.Known(in.Code) && !models.IsDefectCode(in.Code) {
		invalid.Add("code", "not_a_defect_code")
	}
	if in.Name == "" && !models.ShippedDefect(in.Code) {
		invalid.Add("name", "missing")
	}
	if !slices.Contains(models.Severities, in.Severity) {
		invalid.Add("severity", "unknown_choice", "typed", models.Shortened(string(in.Severity)))
	}
	if in.Reason == "" {
		invalid.Add("reason", "reason_needed")
	}
	invalid.Line("name", in.Name, longestName)
	invalid.Line("reason", in.Reason, longestReason)
	if now := book.Now(in.Code); book.Known(in.Code) && now.Name == in.Name && now.Severity == in.Severity && now.Retired == in.Retired {
		invalid.Add("name", "nothing_changed")
	}
	if err := invalid.OrNil(); err != nil {
		return err
	}
	err = s.store.AddDefectRevision(ctx, models.NewStamp(actor, s.now()), models.DefectRevision{Code: in.Code, Revision: in.From + 1, Name: in.Name, Severity: in.Severity, Retired: in.Retired, Reason: in.Reason})
	if errors.Is(err, models.ErrConflict) {
		return fmt.Errorf("defect %s: %w", in.Code, models.ErrStale)
	}
	if err != nil {
		return fmt.Errorf("revise defect %s: %w", in.Code, err)
	}
	s.mu.Lock()
	s.book, s.tried, s.set = nil, time.Time{}, s.set+1
	s.mu.Unlock()
	return nil
}
