package sealing

import (
	"context"
	"crypto/ed25519"
	"encoding/hex"
	"errors"
	"fmt"

	"tracewright/models"
	"tracewright/models/trail"
)

// ErrOtherLog says that the keys at hand were made for another log than the
// database holds.
var ErrOtherLog = errors.New("the keys belong to another log")

// NotEnrolledError says that no key at hand may sign this log: an older one has
// to vouch for that of KeyID first.
type NotEnrolledError struct {
	KeyID string
	Place string // of the keys
}

// Error implements error.
func (e *NotEnrolledError) Error() string {
	return fmt.Sprintf("no key in %s is known to the log of this database", e.Place)
}

// Begin finds the key that signs here, and makes what is missing: the log of a
// database that has none, with its first key. In a log that has begun, a server
// without a key makes one and answers with a *NotEnrolledError; so it does for
// keys that the log does not know. Keys of another log are [ErrOtherLog].
func (s *Service) Begin(ctx context.Context) error {
	marked, err := s.keys.Log()
	if err != nil {
		return fmt.Errorf("find out which log the keys are for: %w", err)
	}
	head, err := s.store.TrailHead(ctx)
	if errors.Is(err, models.ErrNotFound) {
		if marked != "" {
			return fmt.Errorf("%s is for the log %s, and this database has none yet: %w", s.keys.Place(), marked, ErrOtherLog)
		}
		head.Log, err = s.beginLog(ctx)
		if errors.Is(err, models.ErrConflict) { // Another server was faster.
			head, err = s.store.TrailHead(ctx)
		}
	}
	if err != nil {
		return fmt.Errorf("begin to seal: %w", err)
	}
	if marked != "" && marked != head.Log {
		return fmt.Errorf("%s is for the log %s, and this database holds %s: %w", s.keys.Place(), marked, head.Log, ErrOtherLog)
	}
	if err := s.choose(ctx); err != nil {
		if errors.Is(err, models.ErrNoKey) {
			return s.introduce()
		}
		return err
	}
	if marked == "" {
		if err := s.keys.For(head.Log); err != nil {
			return fmt.Errorf("begin to seal: %w", err)
		}
	}
	return nil
}

// beginLog makes the log's first entry. The keys are marked only after it is
// kept: a start that is broken off between leaves a key that fits.
func (s *Service) beginLog(ctx context.Context) (log string, err error) {
	key, err := s.anyKey()
	if err != nil {
		return "", err
	}
	log = models.NewID()
	return log, s.store.BeginLog(ctx, models.NewStamp(models.Actor{}, s.now()), log, s.record(key.Public().(ed25519.PublicKey)))
}

// anyKey is a key at hand, made where there is none.
func (s *Service) anyKey() (ed25519.PrivateKey, error) {
	all, err := s.keys.All()
	if err != nil {
		return nil, err
	}
	if len(all) > 0 {
		return all[0], nil
	}
	return s.keys.Make()
}

// introduce names the key that somebody has to vouch for.
func (s *Service) introduce() error {
	key, err := s.anyKey()
	if err != nil {
		return err
	}
	return &NotEnrolledError{KeyID: trail.KeyID(key.Public().(ed25519.PublicKey)), Place: s.keys.Place()}
}

func (s *Service) record(public ed25519.PublicKey) models.ServerKey {
	return models.ServerKey{ID: trail.KeyID(public), Public: hex.EncodeToString(public), Server: s.server}
}
