package access

import (
	"context"
	"crypto/rand"
	"crypto/subtle"
	"errors"
	"fmt"
	"strings"

	"golang.org/x/crypto/argon2"

	"tracewright/models"
)

// Recovery codes let somebody in who has lost their authenticator: ten of them,
// each once, of 50 random bits (OWASP ASVS 5.0, 6.5.4 asks for 20). So few bits
// are kept by the slow hash (6.5.2). All of one person share a salt, so that a
// typed one is hashed once and held against each.
const (
	recoveryCodes  = 10
	recoveryLength = 10
	// recoverySigns are those that nobody takes for another.
	recoverySigns = "ABCDEFGHJKMNPQRSTVWXYZ0123456789"
)

// newRecoveryCodes makes them as they are shown, and their hashes.
func (s *Service) newRecoveryCodes(ctx context.Context) (shown, hashes []string, err error) {
	salt := make([]byte, saltBytes)
	if _, err := rand.Read(salt); err != nil {
		return nil, nil, fmt.Errorf("make a salt: %w", err)
	}
	for range recoveryCodes {
		raw := make([]byte, recoveryLength)
		if _, err := rand.Read(raw); err != nil {
			return nil, nil, fmt.Errorf("make a recovery code: %w", err)
		}
		var code strings.Builder
		for _, b := range raw {
			code.WriteByte(recoverySigns[b&31]) // 32 signs: every one as likely.
		}
		hash, err := s.hasher.hashSalted(ctx, s.hasher.cost, salt, code.String())
		if err != nil {
			return nil, nil, err
		}
		shown, hashes = append(shown, code.String()[:5]+"-"+code.String()[5:]), append(hashes, hash)
	}
	return shown, hashes, nil
}

// useRecoveryCode says whether a person has this code, and uses it up;
// [models.ErrConflict] where it was used before.
func (s *Service) useRecoveryCode(ctx context.Context, person models.Person, typed string) (bool, error) {
	codes, err := s.store.RecoveryCodes(ctx, person.ID)
	if err != nil || len(codes) == 0 {
		return false, err
	}
	cost, salt, _, err := parseHash(codes[0].CodeHash)
	if err != nil {
		return false, err
	}
	// What is easily mistaken for another sign stands for it.
	typed = strings.NewReplacer("O", "0", "I", "1", "L", "1", "U", "V").Replace(typed)
	hash, err := s.hasher.hashSalted(ctx, cost, salt, typed)
	if err != nil {
		return false, err
	}
	for _, c := range codes {
		if subtle.ConstantTimeCompare([]byte(c.CodeHash), []byte(hash)) == 1 {
			return true, s.store.UseRecoveryCode(ctx, s.stamp(actorOf(person)), person.ID, c.CodeHash)
		}
	}
	return false, nil
}

// RenewRecoveryCodes gives the actor other recovery codes in place of all before;
// a code of the authenticator is asked for.
func (s *Service) RenewRecoveryCodes(ctx context.Context, actor models.Actor, code string) ([]string, error) {
	person, err := s.ownAtOffice(ctx, actor)
	if err != nil {
		return nil, err
	}
	if err := s.CheckCode(ctx, person, code, ""); err != nil {
		if errors.Is(err, models.ErrNotFound) {
			return nil, fmt.Errorf("recovery codes without a second factor: %w", err)
		}
		return nil, err
	}
	shown, hashes, err := s.newRecoveryCodes(ctx)
	if err != nil {
		return nil, err
	}
	return shown, s.store.SetRecoveryCodes(ctx, s.stamp(actor), person.ID, hashes)
}

// hashSalted is hash with a salt that is given.
func (h *hasher) hashSalted(ctx context.Context, cost Cost, salt []byte, secret string) (string, error) {
	if err := h.enter(ctx); err != nil {
		return "", err
	}
	defer h.leave()
	return hashText(cost, salt, argon2.IDKey([]byte(secret), salt, cost.Passes, cost.MemoryKiB, cost.Lanes, tagBytes)), nil
}
