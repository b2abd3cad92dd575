package backup

import (
	"context"
	"fmt"
	"slices"
	"time"

	"tracewright/models"
)

// State is how the shop's backups stand.
type State struct {
	Kept     bool      // this program makes them by itself
	LastGood time.Time // when it began; zero: never
	LastFile string    // where it was made; empty: never
	Trouble  []string  // codes, the worst first
	Since    time.Time // of the first trouble; zero where nobody can tell
	Folder   string
	Key      string // public half of the recovery key; empty: there is none
	Clear    bool   // without a key they are made in the clear, and not left out
	// Restored is a restoration of late, and Labels the last printed ones that were
	// given for it; none of them is a trouble.
	Restored *models.Restoration
	Labels   []models.RestoredLabel
}

// State tells how they stand.
func (s *Service) State(ctx context.Context) (State, error) {
	now := s.now()
	good, tried, err := s.last(ctx, now)
	if err != nil {
		return State{}, fmt.Errorf("state of the backups: %w", err)
	}
	v := State{Kept: s.place != nil, LastGood: good.BegunAt, LastFile: good.File}
	s.mu.Lock()
	gone := s.gone
	s.mu.Unlock()
	if v.Key, err = s.recipient(ctx); err != nil {
		return State{}, fmt.Errorf("state of the backups: %w", err)
	}
	if s.place != nil {
		v.Folder, v.Clear = s.place.Path(), s.place.Clear()
	}
	if tried.Trouble == NoKey && v.Key != "" {
		tried.Trouble = "" // The next one is made.
	}
	if ofPlace := slices.Contains([]string{NoFolder, DiskFull, NoKeys, Failed}, tried.Trouble); ofPlace && s.place != nil && tried.Kind == models.BackupAsked {
		tried.Trouble = ByHand // Its folder is not this one, nor does this program's log know of it.
	}
	switch {
	case gone != "" && s.place != nil:
		v.Trouble = append(v.Trouble, gone)
	case tried.Trouble != "":
		v.Trouble, v.Since = append(v.Trouble, tried.Trouble), tried.BegunAt
	case s.place != nil && v.Key == "" && !v.Clear: // Before the first is tried.
		v.Trouble = append(v.Trouble, NoKey)
	}
	// One by hand does not make a program late that is told to make none.
	if v.Kept && !v.LastGood.IsZero() && now.Sub(v.LastGood) > Late {
		v.Trouble = append(v.Trouble, TooOld)
	}
	if good.ID != "" && !good.Sealed && v.Key == "" {
		v.Trouble = append(v.Trouble, NotSealed)
	}
	v.Restored, v.Labels, err = s.restored(ctx, now)
	if v.Restored != nil && len(v.Labels) == 0 {
		v.Trouble = append([]string{LabelAsked}, v.Trouble...)
	}
	return v, err
}

// LastGood is when the last good backup was made, zero before the first, and
// what is wrong with backups now, a code; empty: nothing.
func (s *Service) LastGood(ctx context.Context) (last time.Time, trouble string, err error) {
	v, err := s.State(ctx)
	for _, code := range v.Trouble {
		if code != LabelAsked && code != NotSealed {
			trouble = code
			break
		}
	}
	return v.LastGood, trouble, err
}
