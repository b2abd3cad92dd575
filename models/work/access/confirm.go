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
// many tries are left; after five a [*WaitError] that grows, per person and
// device.
func (s *Service) Confirm(ctx context.Context, actor models.Actor, secret Secret) error {
	person, err := s.Person(ctx, actor.PersonID)
	if err != nil {
		return fmt.Errorf("confirm: %w", err)
	}
	if actor.DeviceID != "" {
		return s.check(ctx, s.pins, person.ID+" "+actor.DeviceID, "confirm.pin", person.PINHash, secret.PIN)
	}
	return s.check(ctx, s.passwords, person.ID, "confirm.password", person.PasswordHash, normalPassword(secret.Password))
}

func (s *Service) check(ctx context.Context, t *tries, key, field, hash, typed string) error {
	switch {
	case typed == "":
		return models.Invalid(field, "required")
	case hash == "":
		return models.Invalid(field, "secret_not_set")
	}
	left, err := t.begin(key)
	if err != nil {
		return err
	}
	right, err := s.hasher.verify(ctx, hash, typed)
	if err != nil {
		return fmt.Errorf("check %s of %s: %w", field, key, err)
	}
	if !right {
		return models.Invalid(field, "secret_wrong", "left", strconv.Itoa(left))
	}
	t.success(key)
	return nil
}
