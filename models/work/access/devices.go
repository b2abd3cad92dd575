package access

import (
	"context"
	"errors"
	"fmt"

	"tracewright/models"
)

// Devices lists every device ever enrolled, by name.
func (s *Service) Devices(ctx context.Context) ([]models.Device, error) { return s.store.Devices(ctx) }

// Device is one of them.
func (s *Service) Device(ctx context.Context, id string) (models.Device, error) {
	return s.store.Device(ctx, id)
}

// Enrol makes a tablet and its key. The key is given out this once; only its
// hash is kept.
func (s *Service) Enrol(ctx context.Context, actor models.Actor, name, place string) (key string, device models.Device, err error) {
	return s.enrol(ctx, actor, name, place, false)
}

// EnrolProgram is Enrol for the program that reads a gauge: its key makes no tablet of
// a browser, and nobody is chosen at it.
func (s *Service) EnrolProgram(ctx context.Context, actor models.Actor, name, place string) (key string, device models.Device, err error) {
	return s.enrol(ctx, actor, name, place, true)
}

func (s *Service) enrol(ctx context.Context, actor models.Actor, name, place string, program bool) (key string, device models.Device, err error) {
	name, place = models.Trimmed(name), models.Trimmed(place)
	problems := &models.InvalidError{}
	checkName(problems, "name", name)
	checkName(problems, "place", place)
	if err := problems.OrNil(); err != nil {
		return "", models.Device{}, err
	}
	key, hash, err := newToken()
	if err != nil {
		return "", models.Device{}, err
	}
	stamp := s.stamp(actor)
	device = models.Device{ID: models.NewID(), Name: name, Place: place, KeyHash: hash, Program: program, EnrolledBy: actor.String(), EnrolledAt: stamp.At}
	if err := s.store.AddDevice(ctx, stamp, device); err != nil {
		return "", models.Device{}, fmt.Errorf("enrol device %q: %w", name, err)
	}
	return key, device, nil
}

// Revoke ends a device: its key opens nothing from the next request on.
func (s *Service) Revoke(ctx context.Context, actor models.Actor, id string) error {
	if err := s.store.RevokeDevice(ctx, s.stamp(actor), id); err != nil {
		return fmt.Errorf("revoke device %s: %w", id, err)
	}
	return nil
}

// DeviceByKey finds the device that holds this key; [models.ErrNotFound] for
// an unknown key and for a revoked device alike.
func (s *Service) DeviceByKey(ctx context.Context, key string) (models.Device, error) {
	device, err := s.store.DeviceByKeyHash(ctx, tokenHash(key))
	if err != nil && !errors.Is(err, models.ErrNotFound) {
		return models.Device{}, fmt.Errorf("find a device by its key: %w", err)
	}
	if err != nil || device.RevokedAt != nil {
		return models.Device{}, fmt.Errorf("device by key: %w", models.ErrNotFound)
	}
	return device, nil
}

// Caller finds the device that holds this key and the person who works at it,
// for each request of a tablet; [models.ErrNotFound] as with DeviceByKey and
// PersonAtDevice.
func (s *Service) Caller(ctx context.Context, key, personID string) (models.Device, models.Person, error) {
	device, person, err := s.store.Caller(ctx, tokenHash(key), personID)
	switch {
	case err != nil && !errors.Is(err, models.ErrNotFound):
		return models.Device{}, models.Person{}, fmt.Errorf("find the caller: %w", err)
	case err != nil || device.RevokedAt != nil:
		return models.Device{}, models.Person{}, fmt.Errorf("device by key, or person %q: %w", personID, models.ErrNotFound)
	case person.ID == "" || !AtDevice(person):
		return models.Device{}, models.Person{}, fmt.Errorf("person %q does not work at a device: %w", personID, models.ErrNotFound)
	}
	return device, person, nil
}

// PeopleAtDevice lists who may be chosen at a device by one tap: everybody at
// work whose role records, by name. What is kept for the office stays closed
// to them there.
func (s *Service) PeopleAtDevice(ctx context.Context) ([]models.Person, error) {
	people, err := s.store.People(ctx)
	if err != nil {
		return nil, fmt.Errorf("list people for a device: %w", err)
	}
	var out []models.Person
	for _, p := range people {
		if AtDevice(p) {
			out = append(out, p)
		}
	}
	return out, nil
}

// PersonAtDevice is one of PeopleAtDevice; [models.ErrNotFound] for anybody
// else.
func (s *Service) PersonAtDevice(ctx context.Context, id string) (models.Person, error) {
	p, err := s.Person(ctx, id)
	if err != nil {
		return models.Person{}, err
	}
	if !AtDevice(p) {
		return models.Person{}, fmt.Errorf("%s does not work at a device: %w", p.Role, models.ErrNotFound)
	}
	return p, nil
}

// AtDevice says whether somebody may be chosen at a device: whose role records.
func AtDevice(p models.Person) bool { return p.Active && models.Permitted(p.Role, models.ActRecord) }
