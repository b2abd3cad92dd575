package shipping

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"regexp"
	"slices"
	"strings"
	"time"

	"tracewright/models"
)

const (
	longestAddress = 600
	mostCustomers  = 20
	mostLooks      = 50
)

// email is one address, by its form alone; a second one goes into the note.
var email = regexp.MustCompile(`^[^\s@,;<>]+@[^\s@,;<>]+$`)

// Look is who looked a customer up, and when.
type Look struct {
	models.CustomerLook
	Person string
}

// AddCustomer adds a customer; a name is needed. The key is made by whoever adds,
// so that sending it again is harmless; empty: made here. It says nothing, not even
// when it was made.
func (s *Service) AddCustomer(ctx context.Context, actor models.Actor, c models.Customer) (models.Customer, error) {
	invalid := &models.InvalidError{}
	if c.ID != "" && !models.IsRandomID(c.ID) {
		invalid.Add("id", "bad_random_id")
	}
	checkCustomer(&c, invalid)
	if err := invalid.OrNil(); err != nil {
		return models.Customer{}, err
	}
	stamp := models.NewStamp(actor, s.now())
	if c.ID == "" {
		c.ID = models.NewRandomID()
	} else if before, known, err := s.before(ctx, stamp, c); err != nil || known {
		return before, err
	}
	if err := s.store.AddCustomer(ctx, stamp, c); err != nil {
		return models.Customer{}, fmt.Errorf("add a customer: %w", err)
	}
	return c, nil
}

// before finds a customer who was added under the key of another request; that
// too is a look at one.
func (s *Service) before(ctx context.Context, stamp models.Stamp, c models.Customer) (models.Customer, bool, error) {
	there, err := s.store.CustomerThere(ctx, c.ID)
	if err != nil || !there {
		return models.Customer{}, false, err
	}
	before, err := s.store.Customer(ctx, stamp, c.ID, "added again")
	if err != nil {
		return models.Customer{}, false, fmt.Errorf("customer: %w", err)
	}
	if before.Name != c.Name || before.Address != c.Address || before.Email != c.Email || before.Phone != c.Phone || before.Note != c.Note {
		return models.Customer{}, false, fmt.Errorf("a customer is known with other content: %w", models.ErrConflict)
	}
	return before, true, nil
}

// ChangeCustomer puts right what stands of a customer, and gives what stands now. It was
// made on what has the digest from: what somebody changed meanwhile is not written over.
func (s *Service) ChangeCustomer(ctx context.Context, actor models.Actor, from string, in models.Customer) (models.Customer, error) {
	invalid := &models.InvalidError{}
	checkCustomer(&in, invalid)
	if err := invalid.OrNil(); err != nil {
		return models.Customer{}, err
	}
	changed, err := s.store.ChangeCustomer(ctx, models.NewStamp(actor, s.now()), in.ID, func(c *models.Customer) error {
		if digest, err := c.Digest(); err != nil || from != digest {
			return cmp.Or(err, models.ErrStale)
		}
		c.Name, c.Address, c.Email, c.Phone, c.Note = in.Name, in.Address, in.Email, in.Phone, in.Note
		return nil
	})
	if err != nil {
		return models.Customer{}, fmt.Errorf("change a customer: %w", err)
	}
	return changed, nil
}

// known notes a customer that nobody has. A record that names one is hashed, so
// that nothing but the key of one may stand there, least of all a name.
func (s *Service) known(ctx context.Context, invalid *models.InvalidError, customer string) error {
	if customer == "" {
		return nil
	}
	there, err := s.store.CustomerThere(ctx, customer)
	if err == nil && !there {
		invalid.Add("customer", "unknown_choice", "typed", models.Shortened(customer))
	}
	return err
}

// Erased lists those of the customers that records name who are not kept any more;
// it is no look at one.
func (s *Service) Erased(ctx context.Context, ids []string) ([]string, error) {
	there, err := s.store.CustomersThere(ctx, ids)
	if err != nil {
		return nil, fmt.Errorf("customers who were erased: %w", err)
	}
	var gone []string
	for _, id := range ids {
		if !slices.Contains(there, id) {
			gone = append(gone, id)
		}
	}
	return gone, nil
}

// CheckCustomer brings a customer to the form that AddCustomer keeps them in. What
// is wrong names fields, and nothing that stands in them.
func (s *Service) CheckCustomer(c models.Customer) (models.Customer, error) {
	invalid := &models.InvalidError{}
	checkCustomer(&c, invalid)
	return c, invalid.OrNil()
}

func checkCustomer(c *models.Customer, invalid *models.InvalidError) {
	for _, x := range []struct {
		field string
		text  *string
		most  int
	}{{"name", &c.Name, longest}, {"address", &c.Address, longestAddress}, {"email", &c.Email, longest}, {"phone", &c.Phone, longest}, {"note", &c.Note, longestAddress}} {
		if *x.text = models.Trimmed(*x.text); x.most == longestAddress {
			invalid.Lines(x.field, *x.text, x.most)
		} else {
			invalid.Line(x.field, *x.text, x.most)
		}
	}
	if c.Name == "" {
		invalid.Add("name", "missing")
	}
	if c.Email != "" && !email.MatchString(c.Email) {
		invalid.Add("email", "no_email")
	}
}

// Customer looks a customer up, which is recorded; where the shop wants a reason
// for it, one is needed.
func (s *Service) Customer(ctx context.Context, actor models.Actor, id, reason string) (models.Customer, error) {
	if err := s.ReasonToLook(ctx, reason); err != nil {
		return models.Customer{}, err
	}
	c, err := s.store.Customer(ctx, models.NewStamp(actor, s.now()), id, reason)
	if err != nil {
		return models.Customer{}, fmt.Errorf("customer: %w", err)
	}
	return c, nil
}

// CustomersOf looks up the customers of these keys, by key; one that was erased is
// left out.
func (s *Service) CustomersOf(ctx context.Context, actor models.Actor, ids []string, reason string) (map[string]models.Customer, error) {
	if err := s.ReasonToLook(ctx, reason); err != nil {
		return nil, err
	}
	found, stamp := make(map[string]models.Customer, len(ids)), models.NewStamp(actor, s.now())
	for _, id := range ids {
		c, err := s.store.Customer(ctx, stamp, id, reason)
		if errors.Is(err, models.ErrNotFound) {
			continue
		}
		if err != nil {
			return nil, fmt.Errorf("customers of %s: %w", reason, err)
		}
		found[id] = c
	}
	return found, nil
}

// Customers finds customers by a part of their name, phone or e-mail; each one
// found counts as looked up.
func (s *Service) Customers(ctx context.Context, actor models.Actor, text, reason string) ([]models.Customer, error) {
	text = strings.TrimSpace(text)
	if len([]rune(text)) < 3 {
		return nil, models.Invalid("find", "too_short_to_find", "least", "3")
	}
	if err := s.ReasonToLook(ctx, reason); err != nil {
		return nil, err
	}
	found, err := s.store.CustomersNamed(ctx, models.NewStamp(actor, s.now()), text, reason, mostCustomers)
	if err != nil {
		return nil, fmt.Errorf("find customers: %w", err)
	}
	return found, nil
}

// ReasonToLook refuses a look at customers without a reason, where the shop wants
// one.
func (s *Service) ReasonToLook(ctx context.Context, reason string) error {
	settings, err := s.store.Settings(ctx)
	if err != nil {
		return fmt.Errorf("settings of the shop: %w", err)
	}
	invalid := &models.InvalidError{}
	invalid.Lines("reason", reason, longest)
	if settings[models.SettingLookReason] == "yes" && reason == "" {
		invalid.Add("reason", "reason_needed")
	}
	return invalid.OrNil()
}

// Looks lists who looked a customer up, the newest first.
func (s *Service) Looks(ctx context.Context, id string) ([]Look, error) {
	looks, err := s.store.LooksAt(ctx, id, mostLooks)
	if err != nil {
		return nil, fmt.Errorf("who looked a customer up: %w", err)
	}
	names, err := s.names(ctx)
	if err != nil {
		return nil, err
	}
	out := make([]Look, len(looks))
	for i, l := range looks {
		out[i] = Look{l, names[l.PersonID]}
	}
	return out, nil
}

// EraseCustomer removes a customer for good; orders and shipments keep a key
// that leads nowhere. It answers with the moment that the log keeps.
func (s *Service) EraseCustomer(ctx context.Context, actor models.Actor, id string) (time.Time, error) {
	stamp := models.NewStamp(actor, s.now())
	err := s.store.EraseCustomer(ctx, stamp, id)
	if errors.Is(err, models.ErrNotFound) {
		return time.Time{}, fmt.Errorf("customer: %w", err)
	}
	if err != nil {
		return time.Time{}, fmt.Errorf("erase a customer: %w", err)
	}
	return stamp.At, nil
}
