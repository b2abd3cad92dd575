package sealing

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"time"

	"tracewright/models"
)

// fault is a kind of thing that can go wrong while the shop works on.
type fault int

// The faults.
const (
	faultSealing fault = iota
	faultSigning
	faultCopying
	countOfFaults
)

var faultSays = [countOfFaults]string{"changes are not sealed", "no checkpoint can be written", "checkpoints cannot be copied"}

// faults remembers what went wrong and was not put right since.
type faults [countOfFaults]struct {
	err  error
	told time.Time
}

// note keeps how an attempt ended. What goes wrong is written down, and again
// each minute; that it is well again, once.
func (s *Service) note(ctx context.Context, f fault, err error) {
	if err != nil && ctx.Err() != nil {
		return // told to stop
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	was := &s.faults[f]
	switch now := s.now(); {
	case err != nil && now.Sub(was.told) >= againEvery:
		s.log.Error(faultSays[f], "cause", err)
		was.told = now
	case err == nil && was.err != nil:
		s.log.Info("it is well again: " + faultSays[f])
		was.told = time.Time{}
	}
	was.err = err
}

// again says whether something that went wrong is to be tried again.
func (s *Service) again(f fault, now time.Time) bool {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.faults[f].err != nil && now.Sub(s.faults[f].told) >= againEvery
}

// clock keeps how far the clock stands behind the last seal, and writes down
// when it falls behind.
func (s *Service) clock(behind time.Duration) {
	if behind < clockMay {
		behind = 0
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	if behind > 0 && s.behind == 0 {
		s.log.Warn("the clock stands behind the last seal: new seals are dated like it until the clock has caught up", "behind", behind.Round(time.Second))
	}
	s.behind = behind
}

// State is how the log stands.
type State struct {
	Begun   bool
	Log     string
	Sealed  int64 // entries in the chain
	Waiting int   // entries that are not
	Newest  *models.Checkpoint
	Keys    []models.ServerKey // oldest first
	KeyID   string             // that signs here; empty when none does
	CopyTo  string             // folder outside the database; empty when there is none
	KeysIn  string             // folder of the private keys

	// What went wrong and was not put right since.
	NotSealed, NotSigned, NotCopied error
	ClockBehind                     time.Duration
}

// Unwell says whether somebody should look.
func (s State) Unwell() bool {
	return s.NotSealed != nil || s.NotSigned != nil || s.NotCopied != nil || s.ClockBehind > 0
}

// State tells how the log stands.
func (s *Service) State(ctx context.Context) (State, error) {
	v := s.Troubles()
	head, err := s.store.TrailHead(ctx)
	if err == nil {
		v.Begun, v.Log, v.Sealed = true, head.Log, head.Size
	} else if !errors.Is(err, models.ErrNotFound) {
		return State{}, fmt.Errorf("state of the log: %w", err)
	}
	if v.Waiting, err = s.store.UnsealedCount(ctx); err != nil {
		return State{}, fmt.Errorf("state of the log: %w", err)
	}
	newest, err := s.store.NewestCheckpoint(ctx)
	if err == nil {
		v.Newest = &newest
	} else if !errors.Is(err, models.ErrNotFound) {
		return State{}, fmt.Errorf("state of the log: %w", err)
	}
	if v.Keys, err = s.store.ServerKeys(ctx); err != nil {
		return State{}, fmt.Errorf("state of the log: %w", err)
	}
	return v, nil
}

// Troubles is the part of the state that asks no database.
func (s *Service) Troubles() State {
	s.mu.Lock()
	defer s.mu.Unlock()
	v := State{KeyID: s.current.id, ClockBehind: s.behind, NotSealed: s.faults[faultSealing].err, NotSigned: s.faults[faultSigning].err, NotCopied: s.faults[faultCopying].err}
	if s.copies != nil {
		v.CopyTo = s.copies.Place()
	}
	if s.keys != nil {
		v.KeysIn = s.keys.Place()
	}
	return v
}

// Checkpoints lists them, newest first, at most limit, below a size where it is
// not zero.
func (s *Service) Checkpoints(ctx context.Context, below int64, limit int) ([]models.Checkpoint, error) {
	list, err := s.store.Checkpoints(ctx, below, limit)
	if err != nil {
		return nil, fmt.Errorf("checkpoints: %w", err)
	}
	return slices.Clip(list), nil
}
