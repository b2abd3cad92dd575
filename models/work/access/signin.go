package access

import (
	"context"
	"errors"
	"fmt"
	"net/netip"

	"tracewright/models"
)

// SignIn finds who has this login and password. A wrong login, a wrong
// password and a person who left are one and the same
// [models.ErrUnauthenticated], and take the same time. Too many tries, from
// one address or for one login, are a [*WaitError]. A password hashed at an
// older cost is hashed anew on the way.
func (s *Service) SignIn(ctx context.Context, login, password, address string) (models.Person, error) {
	login, address = normalLogin(login), clientAt(address)
	pair := tokenHash(login + " " + address) // A login may be as long as a request.
	if _, err := s.addresses.begin(address); err != nil {
		return models.Person{}, err
	}
	if _, err := s.logins.begin(pair); err != nil {
		return models.Person{}, err
	}
	person, hash, err := s.byLogin(ctx, login)
	if err != nil {
		return models.Person{}, err
	}
	right, err := s.hasher.verify(ctx, hash, normalPassword(password))
	if err != nil {
		return models.Person{}, fmt.Errorf("check the password of %q: %w", login, err)
	}
	if !right || !person.Active {
		return models.Person{}, fmt.Errorf("sign in: %w", models.ErrUnauthenticated)
	}
	s.addresses.success(address)
	s.logins.success(pair)
	if s.hasher.outdated(hash) {
		if person.PasswordHash, err = s.hasher.hash(ctx, normalPassword(password)); err != nil {
			return models.Person{}, err
		}
		// Where it is another password by now, this session ends with the one it began by.
		if err := s.store.RehashPassword(ctx, s.stamp(actorOf(person)), person.ID, hash, person.PasswordHash); err != nil {
			return models.Person{}, fmt.Errorf("keep the password of %q at today's cost: %w", login, err)
		}
	}
	return person, nil
}

// clientAt is what tries are counted by: an address, or of IPv6 the network of one
// household, in which somebody has as many addresses as they like.
func clientAt(address string) string {
	a, err := netip.ParseAddr(address)
	if err != nil {
		return address
	}
	a = a.Unmap().WithZone("")
	if network, err := a.Prefix(64); err == nil && a.Is6() {
		return network.String()
	}
	return a.String()
}

// byLogin gives a decoy for a login that nobody has, or that has no password.
func (s *Service) byLogin(ctx context.Context, login string) (models.Person, string, error) {
	person, err := s.store.PersonByLogin(ctx, login)
	switch {
	case errors.Is(err, models.ErrNotFound):
		return models.Person{}, s.hasher.decoy(), nil
	case err != nil:
		return models.Person{}, "", fmt.Errorf("find login %q: %w", login, err)
	case person.PasswordHash == "":
		return models.Person{}, s.hasher.decoy(), nil
	}
	return person, person.PasswordHash, nil
}

func actorOf(p models.Person) models.Actor {
	return models.Actor{PersonID: p.ID, Name: p.Name, Role: p.Role}
}
