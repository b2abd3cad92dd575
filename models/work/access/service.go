package access

import (
	"context"
	"crypto/rand"
	"crypto/sha256"
	"encoding/base64"
	"encoding/hex"
	"fmt"
	"time"

	"tracewright/models"
)

// Service knows people and devices.
type Service struct {
	store  Store
	now    func() time.Time
	hasher *hasher

	logins    *tries // sign-ins, per login and address
	addresses *tries // sign-ins, per address
	sightings sightings
}

// New makes the service; a zero cost means [ShopCost].
func New(store Store, now func() time.Time, cost Cost) *Service {
	if cost == (Cost{}) {
		cost = ShopCost
	}
	return &Service{
		store: store, now: now, hasher: newHasher(cost),
		logins: newTries(freeTries, firstWait, longestWait, forgetAfter, now),
		// Several people may sit behind one address and mistype.
		addresses: newTries(30, firstWait, longestWait, time.Hour, now),
	}
}

// Person finds somebody who still works here; whoever left is not found.
func (s *Service) Person(ctx context.Context, id string) (models.Person, error) {
	p, err := s.store.Person(ctx, id)
	if err != nil {
		return models.Person{}, err
	}
	if !p.Active {
		return models.Person{}, fmt.Errorf("person %s left: %w", id, models.ErrNotFound)
	}
	return p, nil
}

func (s *Service) stamp(actor models.Actor) models.Stamp { return models.NewStamp(actor, s.now()) }

// newToken makes a secret of 256 random bits and the hash it is kept under.
func newToken() (token, hash string, err error) {
	raw := make([]byte, 32)
	if _, err := rand.Read(raw); err != nil {
		return "", "", fmt.Errorf("make a random key: %w", err)
	}
	token = base64.RawURLEncoding.EncodeToString(raw)
	return token, tokenHash(token), nil
}

// tokenHash needs no salt and no cost: what it covers is random and long.
func tokenHash(token string) string {
	sum := sha256.Sum256([]byte(token))
	return hex.EncodeToString(sum[:])
}

// SecretMark changes whenever the person's password does. A session keeps the
// mark it began with, so that a new password ends the sessions of the old one.
func SecretMark(p models.Person) string {
	sum := sha256.Sum256([]byte("session of " + p.ID + "\n" + p.PasswordHash))
	return hex.EncodeToString(sum[:8])
}
