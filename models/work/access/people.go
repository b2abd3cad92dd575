package access

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"
	"unicode/utf8"

	"tracewright/models"
)

// NewPerson is somebody who begins to work here. Login and password belong
// together; whoever only works at stands needs neither, and a PIN to release.
type NewPerson struct {
	Name     string
	Role     models.Role
	Login    string
	Password string // may be empty: set later by a one-time link
	PIN      string
}

// Change is what may become different about a person; nil leaves it.
type Change struct {
	Name   *string
	Role   *models.Role
	Login  *string // "" takes the login and its password away
	Active *bool

	// From is the digest of the person that the change was made on: when they were
	// changed meanwhile it is [models.ErrStale]. nil holds it against nothing.
	From *string
}

// People lists everybody by name, those who left too.
func (s *Service) People(ctx context.Context) ([]models.Person, error) { return s.store.People(ctx) }

// AnyPerson finds somebody, also who left.
func (s *Service) AnyPerson(ctx context.Context, id string) (models.Person, error) {
	return s.store.Person(ctx, id)
}

// AddPerson adds somebody.
func (s *Service) AddPerson(ctx context.Context, actor models.Actor, n NewPerson) (models.Person, error) {
	problems := &models.InvalidError{}
	person := models.Person{ID: models.NewID(), Name: models.Trimmed(n.Name), Role: n.Role, Active: true}
	checkName(problems, "name", person.Name)
	if !slices.Contains(models.Roles, n.Role) {
		problems.Add("role", "choice_unknown")
	}
	if login := normalLogin(n.Login); login != "" {
		checkLogin(problems, login)
		person.Login = &login
	}
	if err := s.setSecrets(ctx, problems, &person, n.Password, n.PIN); err != nil {
		return models.Person{}, err
	}
	stamp := s.stamp(actor)
	person.CreatedAt = stamp.At
	if err := s.store.AddPerson(ctx, stamp, person); err != nil {
		return models.Person{}, fmt.Errorf("add person %q: %w", person.Name, loginTaken(err, person))
	}
	return person, nil
}

// UpdatePerson changes somebody. The last owner at work with a password stays
// one: a [*models.RefusedError] says so.
func (s *Service) UpdatePerson(ctx context.Context, actor models.Actor, id string, change Change) (models.Person, error) {
	var before, wanted models.Person
	person, err := s.store.ChangePerson(ctx, s.stamp(actor), id, func(p *models.Person, owners []models.Person) error {
		before = *p
		if change.From != nil {
			if digest, err := models.Digest(before); err != nil || *change.From != digest {
				return cmp.Or(err, models.ErrStale)
			}
		}
		err := change.apply(p)
		wanted = *p
		if err == nil && owns(before) && !owns(*p) && !slices.ContainsFunc(owners, func(o models.Person) bool { return o.ID != id && owns(o) }) {
			err = &models.RefusedError{Reasons: []models.Remark{models.NewRemark("last_owner")}}
		}
		return err
	})
	if err != nil {
		return models.Person{}, fmt.Errorf("change person %s: %w", id, loginTaken(err, wanted))
	}
	// Streams too end within seconds. Another role begins with another sign-in, which asks
	// for what the shop wants of that role, and with another tap, which not every role has.
	lost, stays := before.PasswordHash != "" && person.PasswordHash == "", person.Active && person.Role == before.Role
	if !stays || lost {
		if err := s.store.EndSessionsOf(ctx, id, "", stays); err != nil {
			return models.Person{}, err
		}
	}
	return person, nil
}

// apply changes a person, or says everything that is wrong with the change.
func (c Change) apply(p *models.Person) error {
	problems := &models.InvalidError{}
	if c.Name != nil {
		p.Name = models.Trimmed(*c.Name)
		checkName(problems, "name", p.Name)
	}
	if c.Role != nil {
		p.Role = *c.Role
		if !slices.Contains(models.Roles, p.Role) {
			problems.Add("role", "choice_unknown")
		}
	}
	if c.Login != nil {
		if login := normalLogin(*c.Login); login != "" {
			checkLogin(problems, login)
			p.Login = &login
		} else {
			p.Login, p.PasswordHash = nil, ""
		}
	}
	if c.Active != nil {
		p.Active = *c.Active
	}
	return problems.OrNil()
}

// SetPassword gives a person a new password and ends their sessions of the
// old one. See mayHoldSecretsOf for who may.
func (s *Service) SetPassword(ctx context.Context, actor models.Actor, id, password string) error {
	return s.setSecret(ctx, actor, id, "password_set", password, "")
}

// SetPIN gives a person a new PIN. See mayHoldSecretsOf for who may.
func (s *Service) SetPIN(ctx context.Context, actor models.Actor, id, pin string) error {
	return s.setSecret(ctx, actor, id, "pin_set", "", pin)
}

func (s *Service) setSecret(ctx context.Context, actor models.Actor, id, note, password, pin string) error {
	if !mayHoldSecretsOf(actor, id) {
		return fmt.Errorf("set a secret of %s: %w", id, models.ErrForbidden)
	}
	person, err := s.store.Person(ctx, id)
	if err != nil {
		return fmt.Errorf("set a secret of %s: %w", id, err)
	}
	problems := &models.InvalidError{}
	if password == "" && pin == "" {
		problems.Add(strings.TrimSuffix(note, "_set"), "required")
	}
	set := models.Person{Name: person.Name, Login: person.Login}
	if err := s.setSecrets(ctx, problems, &set, password, pin); err != nil {
		return err
	}
	if err := s.store.SetSecrets(ctx, s.stamp(actor), id, set.PasswordHash, set.PINHash, note); err != nil {
		return fmt.Errorf("set a secret of %s: %w", id, err)
	}
	if password != "" && actor.PersonID != id {
		if err := s.forgetCodes(ctx, id); err != nil {
			return err
		}
	}
	if password != "" {
		return s.store.EndSessionsOf(ctx, id, "", true)
	}
	return s.store.ForgetTries(ctx, []string{"pin person " + id})
}

// mayHoldSecretsOf: the program itself (a command at the server's console), an
// owner in the office, and everybody for themselves in a password session.
// Never at a device, where a tap on a name would be enough to take over that
// person's signature.
func mayHoldSecretsOf(actor models.Actor, id string) bool {
	switch {
	case actor.DeviceID != "":
		return false
	case actor == models.Actor{}, actor.PersonID == id:
		return true
	}
	return actor.May(models.ActManagePeople)
}

// setSecrets checks and hashes what was typed; empty leaves the old one. It
// returns all problems, those found before too.
func (s *Service) setSecrets(ctx context.Context, problems *models.InvalidError, person *models.Person, password, pin string) error {
	if password != "" {
		if person.Login == nil {
			problems.Add("login", "required")
		}
		checkPassword(problems, normalPassword(password), *person)
	}
	if pin != "" {
		checkPIN(problems, pin)
	}
	if err := problems.OrNil(); err != nil {
		return err
	}
	var err error
	if password != "" {
		if person.PasswordHash, err = s.hasher.hash(ctx, normalPassword(password)); err != nil {
			return err
		}
	}
	if pin != "" {
		if person.PINHash, err = s.hasher.hash(ctx, pin); err != nil {
			return err
		}
	}
	return nil
}

func owns(p models.Person) bool {
	return p.Role == models.Owner && p.Active && p.PasswordHash != ""
}

// loginTaken names the one field that can be taken already.
func loginTaken(err error, person models.Person) error {
	if errors.Is(err, models.ErrConflict) && person.Login != nil {
		return models.Invalid("login", "taken", "value", *person.Login)
	}
	return err
}

func normalLogin(login string) string { return strings.ToLower(strings.TrimSpace(login)) }

func checkLogin(problems *models.InvalidError, login string) {
	ok := len(login) >= 2 && len(login) <= 64
	for _, r := range login {
		ok = ok && (r >= 'a' && r <= 'z' || r >= '0' && r <= '9' || strings.ContainsRune("._-@", r))
	}
	if !ok {
		problems.Add("login", "login_form")
	}
}

const maxName = 80

func checkName(problems *models.InvalidError, field, name string) {
	switch {
	case name == "":
		problems.Add(field, "required")
	case utf8.RuneCountInString(name) > maxName:
		problems.Add(field, "too_long", "most", fmt.Sprint(maxName))
	case models.Unprinted(name, false):
		problems.Add(field, "text_form")
	}
}
