package access

import (
	"context"
	"fmt"
	"time"

	"tracewright/models"
)

// Purposes of a one-time link.
const (
	LinkFirstOwner  = "first_owner"
	LinkSetPassword = "set_password"
)

const linkLifetime = 24 * time.Hour

// LinkUse is what somebody who follows a link says. Name and Login are for the
// first owner; a login that the person has already stays.
type LinkUse struct {
	Name     string
	Login    string
	Password string
	PIN      string
}

// FirstOwnerLink makes the token by which the first owner of a new shop comes
// in. [models.ErrConflict] when there is an owner already, one added at the
// console and still without a password too.
func (s *Service) FirstOwnerLink(ctx context.Context) (token string, err error) {
	there, err := s.HasOwner(ctx)
	if err != nil {
		return "", err
	}
	if there {
		return "", fmt.Errorf("a first owner: there is one: %w", models.ErrConflict)
	}
	return s.newLink(ctx, LinkFirstOwner, nil)
}

// HasOwner says whether the shop has an owner, one without a password too.
func (s *Service) HasOwner(ctx context.Context) (bool, error) { return s.store.HasOwner(ctx) }

// PasswordLink makes the token by which a person sets a password of their own,
// so that nobody else ever knows it. The person needs a login.
func (s *Service) PasswordLink(ctx context.Context, actor models.Actor, personID string) (token string, err error) {
	if actor != (models.Actor{}) && !actor.May(models.ActManagePeople) {
		return "", fmt.Errorf("link for person %s: %w", personID, models.ErrForbidden)
	}
	person, err := s.Person(ctx, personID)
	if err != nil {
		return "", fmt.Errorf("link for person %s: %w", personID, err)
	}
	if person.Login == nil {
		return "", models.Invalid("login", "required")
	}
	return s.newLink(ctx, LinkSetPassword, &person.ID)
}

func (s *Service) newLink(ctx context.Context, purpose string, personID *string) (string, error) {
	token, hash, err := newToken()
	if err != nil {
		return "", err
	}
	link := models.OneTimeLink{TokenHash: hash, Purpose: purpose, PersonID: personID, Expires: models.Moment(s.now().Add(linkLifetime))}
	if err := s.store.AddLink(ctx, link); err != nil {
		return "", fmt.Errorf("keep a one-time link: %w", err)
	}
	return token, nil
}

// Link says what a token is good for, and whom it belongs to (the zero Person
// for a first owner). [models.ErrNotFound] for an unknown, used or expired one.
func (s *Service) Link(ctx context.Context, token string) (purpose string, person models.Person, err error) {
	link, err := s.store.Link(ctx, tokenHash(token))
	if err != nil {
		return "", models.Person{}, fmt.Errorf("one-time link: %w", err)
	}
	if link.UsedAt != nil || !s.now().Before(link.Expires) {
		return "", models.Person{}, fmt.Errorf("one-time link used or expired: %w", models.ErrNotFound)
	}
	if link.PersonID == nil {
		return link.Purpose, models.Person{}, nil
	}
	if person, err = s.Person(ctx, *link.PersonID); err != nil {
		return "", models.Person{}, fmt.Errorf("one-time link: %w", err)
	}
	return link.Purpose, person, nil
}

// UseLink lets somebody in by a link: it makes the first owner, or sets the
// person's password, once.
func (s *Service) UseLink(ctx context.Context, token string, use LinkUse) (models.Person, error) {
	purpose, person, err := s.Link(ctx, token)
	if err != nil {
		return models.Person{}, err
	}
	problems := &models.InvalidError{}
	if purpose == LinkFirstOwner {
		login := normalLogin(use.Login)
		person = models.Person{ID: models.NewID(), Name: models.Trimmed(use.Name), Role: models.Owner, Login: &login, Active: true, CreatedAt: models.Moment(s.now())}
		checkName(problems, "name", person.Name)
		checkLogin(problems, login)
	}
	if use.Password == "" {
		problems.Add("password", "required")
	}
	person.PasswordHash, person.PINHash = "", "" // A PIN that is not typed stays as it is.
	if err := s.setSecrets(ctx, problems, &person, use.Password, use.PIN); err != nil {
		return models.Person{}, err
	}
	err = s.store.UseLink(ctx, s.stamp(actorOf(person)), tokenHash(token), person)
	if err != nil {
		return models.Person{}, fmt.Errorf("use a one-time link: %w", loginTaken(err, person))
	}
	if err := s.forgetCodes(ctx, person.ID); err != nil {
		return models.Person{}, err
	}
	return person, s.store.EndSessionsOf(ctx, person.ID, "", true)
}
