package sealing

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"sync"
	"time"

	"tracewright/models"
)

const (
	// mostAtOnce bounds a turn, so that whoever writes next waits a few
	// milliseconds at most.
	mostAtOnce = 500
	// betweenTurns is the least time from one turn to the next: entries that come
	// meanwhile share the next one, and its wait for the disk.
	betweenTurns = 150 * time.Millisecond
	// lookEvery is how often entries of other programs are looked for.
	lookEvery = 400 * time.Millisecond
	// checkpointEvery is how old the newest checkpoint may grow while entries come.
	checkpointEvery = time.Hour
	// turnWithin bounds one question of a turn: a database that falls silent is asked
	// anew after that, and the log does not stand still with it.
	turnWithin = 20 * time.Second
	// sealWithin is how long a certificate waits for its seal.
	sealWithin = 3 * time.Second
	// againEvery is how often what failed is tried again and written down.
	againEvery = time.Minute
	// clockMay is how far clocks of several servers may differ without a word.
	clockMay = time.Second
)

// Service seals the log and signs. A nil Keys in its options makes one that only
// tells how the log stands.
type Service struct {
	store  Store
	keys   Keys
	copies Copies
	server string
	now    func() time.Time
	log    *slog.Logger
	sealed func(count int, waited time.Duration)

	mu      sync.Mutex
	current signer        // signs now; zero before Begin
	faults  faults        // what went wrong and has not gone right since
	next    time.Time     // when a checkpoint is due at the earliest
	behind  time.Duration // how far the clock stands behind the last seal

	listeners map[chan struct{}]bool

	copying sync.Mutex // one writer of copies at a time
}

// Options are what a service works with.
type Options struct {
	Keys   Keys   // nil: nothing is sealed or signed here
	Copies Copies // nil: checkpoints stay in the database
	Server string // name of this host
	Now    func() time.Time
	Log    *slog.Logger // nil: nowhere
	// Sealed is told of each turn: how many entries, and how long the first of them
	// had waited. Nil: nobody.
	Sealed func(count int, waited time.Duration)
}

// New makes the service.
func New(store Store, o Options) *Service {
	if o.Log == nil {
		o.Log = slog.New(slog.DiscardHandler)
	}
	return &Service{store: store, keys: o.Keys, copies: o.Copies, server: o.Server, now: o.Now, log: o.Log, sealed: o.Sealed, listeners: map[chan struct{}]bool{}}
}

// Run seals until ctx ends: at once after a change of this program, shortly
// after one of another. Then it seals what is there and signs it, and returns.
func (s *Service) Run(ctx context.Context) {
	if s.keys == nil {
		return
	}
	look := time.NewTicker(lookEvery)
	defer look.Stop()
	for s.turn(ctx, true); ; s.turn(ctx, false) {
		// Whoever comes within the gap has left a word in the channel.
		if !pause(ctx, betweenTurns) {
			break
		}
		select {
		case <-s.store.Entered():
			continue
		case <-look.C:
			continue
		case <-ctx.Done():
		}
		break
	}
	ending, cancel := context.WithTimeout(context.WithoutCancel(ctx), sealWithin)
	defer cancel()
	if _, err := s.Seal(ending); err != nil {
		s.note(ending, faultSealing, err)
	}
}

// pause waits, and says whether to go on.
func pause(ctx context.Context, d time.Duration) bool {
	timer := time.NewTimer(d)
	defer timer.Stop()
	select {
	case <-timer.C:
		return true
	case <-ctx.Done():
		return false
	}
}

// turn seals what waits, writes a checkpoint when one is due, and copies what
// is not copied.
func (s *Service) turn(ctx context.Context, first bool) {
	err := s.drain(ctx)
	s.note(ctx, faultSealing, err)
	if err != nil {
		return
	}
	now := s.now()
	s.mu.Lock()
	due := !now.Before(s.next) || s.next.Sub(now) > checkpointEvery // The clock may have gone back.
	s.mu.Unlock()
	if due {
		within, cancel := context.WithTimeout(ctx, turnWithin)
		s.note(ctx, faultSigning, s.checkpointWhenDue(within, now))
		cancel()
	}
	if first || s.again(faultCopying, now) {
		within, cancel := context.WithTimeout(ctx, turnWithin)
		s.copy(within)
		cancel()
	}
}

// drain seals until nothing waits, turn by turn: whoever writes comes in between.
func (s *Service) drain(ctx context.Context) error {
	waits, err := s.unsealed(ctx)
	for waits && err == nil {
		var done models.SealedBatch
		if done, err = s.sealSome(ctx); err != nil {
			break
		}
		if done.Count > 0 {
			s.tellSealed()
			if s.sealed != nil {
				s.sealed(done.Count, max(0, s.now().Sub(done.Oldest)))
			}
		}
		s.clock(done.ClockBack)
		waits = done.Count == mostAtOnce
	}
	return err
}

func (s *Service) unsealed(ctx context.Context) (bool, error) {
	within, cancel := context.WithTimeout(ctx, turnWithin)
	defer cancel()
	return s.store.Unsealed(within)
}

func (s *Service) sealSome(ctx context.Context) (models.SealedBatch, error) {
	within, cancel := context.WithTimeout(ctx, turnWithin)
	defer cancel()
	return s.store.Seal(within, s.now(), mostAtOnce)
}

// checkpointWhenDue writes one where the newest, of whichever server, is old
// and does not cover everything.
func (s *Service) checkpointWhenDue(ctx context.Context, now time.Time) error {
	newest, err := s.store.NewestCheckpoint(ctx)
	if err != nil && !errors.Is(err, models.ErrNotFound) {
		return fmt.Errorf("write a checkpoint when due: %w", err)
	}
	next := newest.At.Add(checkpointEvery)
	if err != nil || !now.Before(next) || newest.At.Sub(now) > clockMay {
		head, err := s.store.TrailHead(ctx)
		if err != nil {
			return fmt.Errorf("write a checkpoint when due: %w", err)
		}
		next = now.Add(againEvery) // Something will come.
		if head.Size > newest.Size {
			if _, err := s.checkpoint(ctx); err != nil {
				return err
			}
			next = now.Add(checkpointEvery)
		}
	}
	s.mu.Lock()
	s.next = next
	s.mu.Unlock()
	return nil
}

// Seal seals every entry so far and gives the newest checkpoint, which covers
// them all. It waits three seconds at most; then what comes back is the newest
// there is, Waiting.
func (s *Service) Seal(ctx context.Context) (models.SealedLog, error) {
	within, cancel := context.WithTimeout(ctx, sealWithin)
	defer cancel()
	c, err := s.seal(within)
	if err == nil {
		return models.SealedLog{LogID: c.Log, Size: c.Size, Root: c.Root}, nil
	}
	if ctx.Err() != nil {
		return models.SealedLog{}, fmt.Errorf("seal the log: %w", ctx.Err())
	}
	s.note(ctx, faultSealing, err)
	head, err := s.store.TrailHead(ctx)
	if err != nil {
		return models.SealedLog{}, fmt.Errorf("seal the log: %w", err)
	}
	newest, err := s.store.NewestCheckpoint(ctx)
	if err != nil && !errors.Is(err, models.ErrNotFound) {
		return models.SealedLog{}, fmt.Errorf("seal the log: %w", err)
	}
	return models.SealedLog{LogID: head.Log, Size: newest.Size, Root: newest.Root, Waiting: true}, nil
}

func (s *Service) seal(ctx context.Context) (models.Checkpoint, error) {
	if s.keys == nil {
		return models.Checkpoint{}, models.ErrNoKey
	}
	if err := s.drain(ctx); err != nil {
		return models.Checkpoint{}, err
	}
	newest, err := s.store.NewestCheckpoint(ctx)
	if err != nil && !errors.Is(err, models.ErrNotFound) {
		return models.Checkpoint{}, err
	}
	head, err := s.store.TrailHead(ctx)
	if err != nil || newest.Size == head.Size {
		return newest, err
	}
	return s.checkpoint(ctx)
}
