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

// signer is a key that signs, with its id.
type signer struct {
	id  string
	key ed25519.PrivateKey
}

// choose finds the key that signs from now on.
func (s *Service) choose(ctx context.Context) error {
	hand, err := s.atHand()
	if err != nil {
		return err
	}
	known, err := s.store.ServerKeys(ctx)
	if err != nil {
		return err
	}
	_, err = s.signerAmong(known, hand)
	return err
}

// atHand reads the private keys of this server, by id. They are read anew each
// time: one may have come since.
func (s *Service) atHand() (map[string]ed25519.PrivateKey, error) {
	if s.keys == nil {
		return nil, models.ErrNoKey
	}
	all, err := s.keys.All()
	if err != nil {
		return nil, fmt.Errorf("read the keys: %w", err)
	}
	hand := make(map[string]ed25519.PrivateKey, len(all))
	for _, key := range all {
		hand[trail.KeyID(key.Public().(ed25519.PublicKey))] = key
	}
	return hand, nil
}

// signerAmong chooses, of the keys at hand, the one that the log came to know
// last, and keeps the choice. None is models.ErrNoKey.
func (s *Service) signerAmong(known []models.ServerKey, hand map[string]ed25519.PrivateKey) (signer, error) {
	var chosen signer
	for _, k := range known { // oldest first
		if key, here := hand[k.ID]; here && k.Signs() {
			chosen = signer{k.ID, key}
		}
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	s.current = chosen
	if chosen.key == nil {
		return signer{}, models.ErrNoKey
	}
	return chosen, nil
}

// SignsBy chooses anew, of what the log knows now, the key that signs, and gives its
// id: one that was retired since, here or by another program, signs no more.
// Without one at hand it is models.ErrNoKey.
func (s *Service) SignsBy(ctx context.Context) (string, error) {
	if err := s.choose(ctx); err != nil {
		return "", fmt.Errorf("choose the key that signs: %w", err)
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.current.id, nil
}

// Sign signs the canonical content of a certificate by the key that was chosen
// last. It asks nobody, so that it may be called while the database is busy with
// that certificate, whose transaction refuses a key that was retired after the
// choice.
func (s *Service) Sign(_ context.Context, canonical []byte) (models.Signature, error) {
	s.mu.Lock()
	by := s.current
	s.mu.Unlock()
	if by.key == nil {
		return models.Signature{}, models.ErrNoKey
	}
	return models.Signature{KeyID: by.id, Value: hex.EncodeToString(trail.SignCertificate(by.key, canonical))}, nil
}

// checkpoint signs the chain as it stands. One that this key has signed for the
// same size is there already, and given.
func (s *Service) checkpoint(ctx context.Context) (models.Checkpoint, error) {
	hand, err := s.atHand()
	if err != nil {
		return models.Checkpoint{}, err
	}
	now := s.now()
	made, err := s.store.AddCheckpoint(ctx, func(head models.TrailHead, keys []models.ServerKey) (models.Checkpoint, error) {
		by, err := s.signerAmong(keys, hand)
		if err != nil {
			return models.Checkpoint{}, err
		}
		tree, err := head.Tree()
		if err != nil {
			return models.Checkpoint{}, err
		}
		body := trail.Checkpoint{V: trail.CheckpointVersion, Log: head.Log, Size: head.Size, Head: head.Hash, Root: tree.Root().String(), TS: trail.Timestamp(now)}
		signed, err := body.Sign(by.key)
		return models.CheckpointOf(signed, now), err
	})
	if errors.Is(err, models.ErrConflict) {
		return s.store.NewestCheckpoint(ctx)
	}
	if err != nil {
		return models.Checkpoint{}, err
	}
	s.mu.Lock()
	s.next = now.Add(checkpointEvery)
	s.mu.Unlock()
	s.copy(ctx)
	return made, nil
}

// LostError says that a checkpoint which was copied is not in the database:
// entries were taken away or written anew, or an older database was put back.
type LostError struct {
	Place string // of the copies
	Size  int64  // that the checkpoint covers
	Held  int64  // entries of the log
}

// Error implements error.
func (e *LostError) Error() string {
	return fmt.Sprintf("the database holds %d entries, and not the checkpoint over %d that is in %s", e.Held, e.Size, e.Place)
}

// mostCopied bounds how many checkpoints are copied in one go.
const mostCopied = 1000

// copy takes outside what this server's key has signed since it last did.
func (s *Service) copy(ctx context.Context) {
	if s.copies == nil {
		return
	}
	s.note(ctx, faultCopying, s.copyOut(ctx))
}

func (s *Service) copyOut(ctx context.Context) error {
	s.copying.Lock()
	defer s.copying.Unlock()
	hand, err := s.atHand()
	if err != nil {
		return err
	}
	known, err := s.store.ServerKeys(ctx)
	if err != nil {
		return err
	}
	head, err := s.store.TrailHead(ctx)
	if err != nil {
		return err
	}
	for _, k := range known {
		if _, here := hand[k.ID]; !here {
			continue // Another server copies its own.
		}
		if err := s.copyOf(ctx, head, k.ID, known); err != nil {
			return err
		}
	}
	return nil
}

func (s *Service) copyOf(ctx context.Context, head models.TrailHead, keyID string, known []models.ServerKey) error {
	last, err := s.copies.Newest(head.Log, keyID)
	if err != nil {
		return err
	}
	newest := last.Body.Size
	if newest > 0 {
		// It was in the database before it was copied.
		there, err := s.store.CheckpointsBy(ctx, keyID, newest-1, 1)
		if err != nil {
			return err
		}
		if len(there) == 0 || there[0].Signed() != last {
			return &LostError{Place: s.copies.Place(), Size: newest, Held: head.Size}
		}
	}
	for {
		list, err := s.store.CheckpointsBy(ctx, keyID, newest, mostCopied)
		if err != nil {
			return err
		}
		signed := make([]trail.SignedCheckpoint, len(list))
		for i, c := range list {
			signed[i], newest = c.Signed(), c.Size
		}
		if err := s.copies.Keep(head.Log, signed, known); err != nil || len(list) < mostCopied {
			return err
		}
	}
}
