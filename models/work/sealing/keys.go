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

// ServerKeys lists every public key of the log, oldest first, and which of them
// are at hand.
func (s *Service) ServerKeys(ctx context.Context) (known []models.ServerKey, here map[string]bool, err error) {
	hand, err := s.atHand()
	if err != nil && !errors.Is(err, models.ErrNoKey) {
		return nil, nil, err
	}
	if known, err = s.store.ServerKeys(ctx); err != nil {
		return nil, nil, fmt.Errorf("keys of the log: %w", err)
	}
	here = map[string]bool{}
	for id := range hand {
		here[id] = true
	}
	return known, here, nil
}

// Rotate makes another key, which the one that signs now vouches for. A running
// server signs with the new one from its next checkpoint on; what the old one
// signed stays good, and so does what it signs until it is retired.
func (s *Service) Rotate(ctx context.Context) (models.ServerKey, error) {
	by, log, err := s.voucher(ctx)
	if err != nil {
		return models.ServerKey{}, err
	}
	key, err := s.keys.Make()
	if err != nil {
		return models.ServerKey{}, fmt.Errorf("make another key: %w", err)
	}
	return s.enrol(ctx, by, log, key.Public().(ed25519.PublicKey), s.server)
}

// Enrol vouches for the key of another server by the one that signs here.
func (s *Service) Enrol(ctx context.Context, public ed25519.PublicKey, server string) (models.ServerKey, error) {
	by, log, err := s.voucher(ctx)
	if err != nil {
		return models.ServerKey{}, err
	}
	return s.enrol(ctx, by, log, public, server)
}

// EnrolAlone lets the key at hand sign although no older one vouches for it: for
// a log whose keys are lost. Its entry says so for ever, and who verifies the
// log must be told to trust the key.
func (s *Service) EnrolAlone(ctx context.Context) (models.ServerKey, error) {
	head, err := s.store.TrailHead(ctx)
	if err != nil {
		return models.ServerKey{}, fmt.Errorf("enrol a key alone: %w", err)
	}
	key, err := s.anyKey()
	if err != nil {
		return models.ServerKey{}, err
	}
	made, err := s.enrol(ctx, signer{}, head.Log, key.Public().(ed25519.PublicKey), s.server)
	if err != nil {
		return models.ServerKey{}, err
	}
	return made, s.keys.For(head.Log)
}

// Retire ends a key: what it signs from then on is worthless, and this server
// signs nothing by it any more. The last one that signs cannot be retired.
func (s *Service) Retire(ctx context.Context, id string) error {
	keys, err := s.store.ServerKeys(ctx)
	if err != nil {
		return fmt.Errorf("retire a key: %w", err)
	}
	others := 0
	for _, k := range keys {
		if k.ID != id && k.Signs() {
			others++
		}
	}
	if others == 0 {
		return &models.RefusedError{Reasons: []models.Remark{models.NewRemark("last_signing_key")}}
	}
	if err := s.store.RetireKey(ctx, models.NewStamp(models.Actor{}, s.now()), id); err != nil {
		return fmt.Errorf("retire a key: %w", err)
	}
	// Another server's key may be the one that is left: then none signs here.
	if err := s.choose(ctx); err != nil && !errors.Is(err, models.ErrNoKey) {
		return fmt.Errorf("retire a key: %w", err)
	}
	return s.drain(ctx)
}

// voucher is the key that signs here, and the log.
func (s *Service) voucher(ctx context.Context) (signer, string, error) {
	head, err := s.store.TrailHead(ctx)
	if err == nil {
		err = s.choose(ctx)
	}
	if err != nil {
		return signer{}, "", fmt.Errorf("find a key that may vouch: %w", err)
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.current, head.Log, nil
}

// enrol seals the key's entry at once: before that nobody could follow what the
// key signs.
func (s *Service) enrol(ctx context.Context, by signer, log string, public ed25519.PublicKey, server string) (models.ServerKey, error) {
	key := models.ServerKey{ID: trail.KeyID(public), Public: hex.EncodeToString(public), Server: server}
	says := trail.Enrolment{Key: key.Public}
	if by.key != nil {
		var err error
		if says, err = trail.Enrol(by.key, log, public); err != nil {
			return models.ServerKey{}, err
		}
		key.VouchedBy = &by.id
	}
	if err := s.store.EnrolKey(ctx, models.NewStamp(models.Actor{}, s.now()), key, says); err != nil {
		return models.ServerKey{}, err
	}
	return key, s.drain(ctx)
}
