package finder

import (
	"context"
	"errors"
	"fmt"
	"runtime/debug"
	"slices"
	"sync"
	"time"

	"tracewright/models"
)

// Store is what a search reads.
type Store interface {
	Families(ctx context.Context) ([]models.Family, error)
	Products(ctx context.Context, familyID string) ([]models.Product, error)
	People(ctx context.Context) ([]models.Person, error)
	// SpecificationInForce gives that of a product, or of the family where the
	// product is nil or has none of its own.
	SpecificationInForce(ctx context.Context, familyID string, productID *string) (models.Specification, error)
	Searched(ctx context.Context, q models.SearchQuery) (models.Searched, error)
	ServiceLives(ctx context.Context, familyID string) ([]models.ServiceLife, error)
	LotsInto(ctx context.Context, itemIDs []string) (map[string][]models.SearchedLot, error)
	// SearchState is another text as soon as a search would see something new.
	SearchState(ctx context.Context) (string, error)
}

const (
	// lookBack is how far back a search goes, and mostInspections of a family at
	// the most, the newest: with their later rounds some 10,000 first sets.
	lookBack        = 365 * 24 * time.Hour
	mostInspections = 25_000
	// rate of false discoveries.
	rate = 0.05
	// seed of the shuffling: the same records give the same answer.
	seed = 20310514
)

// Service searches, and keeps what it found until something new has come.
type Service struct {
	store Store
	now   func() time.Time
	zone  func(context.Context) *time.Location

	mutex   sync.Mutex
	last    *Answer
	state   string        // of the records when last was found
	running chan struct{} // closed when the search that runs is over; nil: none runs
	failed  error         // of the last search
	cancel  context.CancelFunc
	closed  bool
}

// errClosed: somebody asks while the server ends.
var errClosed = errors.New("the search for differences has ended")

// New makes the service. Nothing is searched before somebody asks.
func New(store Store, now func() time.Time, zone func(context.Context) *time.Location) *Service {
	return &Service{store: store, now: now, zone: zone}
}

// Answer is what a search found, the largest difference first.
type Answer struct {
	At       time.Time // when it was begun
	From     time.Time // what was measured since
	Took     time.Duration
	Findings []Finding
	// Questions were asked of so many Cuts; Small cuts had too few values or days
	// to be compared.
	Questions, Cuts, Small int
	// Hidden findings are about other builders, and not for who asks: see For.
	Hidden int
}

// For is the answer as somebody may see it: who does not decide about the work is
// told of no other builder, neither by a finding nor as what another may be.
func (a *Answer) For(actor models.Actor) *Answer {
	if a == nil || actor.SeesBuilders() {
		return a
	}
	other := func(c Cut) bool { return c.Factor == ByBuilder && c.Key != actor.PersonID }
	seen := *a
	seen.Findings = nil
	for _, f := range a.Findings {
		if other(f.Cut) {
			seen.Hidden++
			continue
		}
		f.Same = slices.DeleteFunc(slices.Clone(f.Same), func(s Said) bool { return other(s.Cut) })
		seen.Findings = append(seen.Findings, f)
	}
	return &seen
}

// Look gives the last answer at once, and says whether a search is under way
// that sees more: it begins one where something new has come. Before the first
// is over there is no answer, and the pointer is nil. The error is that of the
// last search, or of the store.
func (s *Service) Look(ctx context.Context) (answer *Answer, searching bool, err error) {
	state, err := s.store.SearchState(ctx)
	if err != nil {
		return nil, false, fmt.Errorf("look for differences: %w", err)
	}
	s.mutex.Lock()
	defer s.mutex.Unlock()
	if s.closed {
		return s.last, false, errClosed
	}
	if err := s.told(); err != nil {
		return s.last, false, err
	}
	if s.running == nil && (s.last == nil || s.state != state) {
		s.begin(ctx, state)
	}
	return s.last, s.running != nil, nil
}

// Find waits for an answer that sees all that has come, or for the error of the
// search for it.
func (s *Service) Find(ctx context.Context) (*Answer, error) {
	for {
		answer, searching, err := s.Look(ctx)
		if err != nil || !searching {
			return answer, err
		}
		s.mutex.Lock()
		running := s.running
		s.mutex.Unlock()
		if running == nil { // It ended meanwhile; what it found is there.
			continue
		}
		select {
		case <-running:
		case <-ctx.Done():
			return nil, ctx.Err()
		}
		s.mutex.Lock()
		err = s.told()
		s.mutex.Unlock()
		if err != nil {
			return nil, err
		}
	}
}

// told gives the error of the last search once: whoever asks after that has it tried
// again. The lock is held.
func (s *Service) told() error {
	err := s.failed
	s.failed = nil
	return err
}

// searchWithin ends a search that a database which fell silent would never end.
const searchWithin = 15 * time.Minute

// begin searches beside whoever asked; the lock is held.
func (s *Service) begin(ctx context.Context, state string) {
	ctx, s.cancel = context.WithTimeout(context.WithoutCancel(ctx), searchWithin)
	done := make(chan struct{})
	s.running, s.failed = done, nil
	cancel := s.cancel
	go func() {
		defer close(done) // After what was found is kept: whoever waits for it reads that.
		defer cancel()
		answer, err := s.search(ctx)
		s.mutex.Lock()
		defer s.mutex.Unlock()
		s.running, s.failed = nil, err
		if err == nil { // Else whoever asks next has it tried again.
			s.last, s.state = answer, state
		}
	}()
}

// Close ends a search that runs, and waits for it: the database is about to be
// closed.
func (s *Service) Close() {
	s.mutex.Lock()
	s.closed = true
	running := s.running
	if s.cancel != nil {
		s.cancel()
	}
	s.mutex.Unlock()
	if running != nil {
		<-running
	}
}

// search is one search from its reading to its sentences.
func (s *Service) search(ctx context.Context) (_ *Answer, err error) {
	// It runs beside whoever asked: nobody above would catch a panic, and it would end
	// the program.
	defer func() {
		if cause := recover(); cause != nil {
			err = fmt.Errorf("search for differences: panic: %v\n%s", cause, debug.Stack())
		}
	}()
	begun, now := time.Now(), s.now()
	all, err := s.gather(ctx, now.Add(-lookBack), now)
	if err != nil {
		return nil, fmt.Errorf("search for differences: %w", err)
	}
	a := &Answer{At: now, From: now.Add(-lookBack)}
	if err := a.find(ctx, all); err != nil {
		return nil, fmt.Errorf("search for differences: %w", err)
	}
	a.Took = time.Since(begun)
	return a, nil
}
