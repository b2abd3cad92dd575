package access

import (
	"context"
	"fmt"
	"strconv"

	"tracewright/models"
)

// Secret is what confirms a release, a void or a disposition: the PIN at an
// enrolled device, the password elsewhere. JSON as the API takes it.
type Secret struct {
	PIN      string `json:"pin,omitempty"`
	Password string `json:"password,omitempty"`
}

// Confirm checks the actor's own secret. A PIN counts at an enrolled device
// only, a password elsewhere only. A missing or wrong one is a
// [*models.InvalidError] on "confirm.pin" or "confirm.password" that says how
// many tries are left; after five at this device, or of this person, a
// [*WaitError] that grows with each.
func (s *Service) Confirm(ctx context.Context, actor models.Actor, secret Secret) error {
	person, err := s.Person(ctx, actor.PersonID)
	if err != nil {
		return fmt.Errorf("confirm: %w", err)
	}
	if actor.DeviceID != "" {
		return s.check(ctx, pinTries(person.ID, actor.DeviceID), "confirm.pin", person.PINHash, secret.PIN)
	}
	return s.check(ctx, passwordTries(person.ID), "confirm.password", person.PasswordHash, normalPassword(secret.Password))
}

func (s *Service) check(ctx context.Context, about []string, field, hash, typed string) error {
	switch {
	case typed == "":
		return models.Invalid(field, "required")
	case hash == "":
		return models.Invalid(field, "secret_not_set")
	}
	left, err := s.beginTry(ctx, about)
	if err != nil {
		return err
	}
	right, err := s.hasher.verify(ctx, hash, typed)
	if err != nil {
		return fmt.Errorf("check %s: %w", field, err)
	}
	if !right {
		return models.Invalid(field, "secret_wrong", "left", strconv.Itoa(left))
	}
	return s.endTry(ctx, about)
}
