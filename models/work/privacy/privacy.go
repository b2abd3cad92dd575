// Package privacy keeps the shop's promises about customers: how long they are
// kept, what is known of one, and that they go when they are to go.
//
// It believes that nothing is erased by itself. A clock that stands wrong, or an
// open matter that no table shows, would take away what nobody can bring back; so
// the shop says how long, the list says who is due, and a person erases. The list
// shows keys and days and nobody's name: who looks at a name is written down.
package privacy

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strconv"
	"time"

	"tracewright/models"
)

// mostDue bounds the list of those who are due.
const mostDue = 50

// Store is what the package asks of the database.
type Store interface {
	Settings(ctx context.Context) (map[string]string, error)
	// DueCustomers lists those with whom nothing was dealt since a moment and with
	// whom nothing is open: no claim, no order, no recall of what went to them.
	DueCustomers(ctx context.Context, before time.Time, limit int) ([]models.DueCustomer, error)
	// Customer finds one, and records that somebody looked.
	Customer(ctx context.Context, stamp models.Stamp, id, reason string) (models.Customer, error)
	// EraseDueCustomer removes one who is due, as DueCustomers has it, with what they
	// said in claims and the photos of those; [models.ErrNotFound] where they are not
	// due, or gone.
	EraseDueCustomer(ctx context.Context, stamp models.Stamp, id string, before time.Time) error
	// OpenWith gives what is open with one.
	OpenWith(ctx context.Context, customer string) (models.OpenDealings, error)
	OrdersOfCustomer(ctx context.Context, customer string) ([]models.Order, error)
	ShipmentsOfCustomer(ctx context.Context, customer string) ([]models.ShipmentView, error)
	ClaimsOfCustomer(ctx context.Context, customer string) ([]models.ClaimView, error)
	ItemsByID(ctx context.Context, ids []string) ([]models.Item, error)
	Attachments(ctx context.Context, subjectKind string, subjectIDs []string) ([]models.AttachmentView, error)
	LooksAt(ctx context.Context, id string, limit int) ([]models.CustomerLook, error)
	Product(ctx context.Context, id string) (models.Product, error)
}

// Service keeps them.
type Service struct {
	store Store
	now   func() time.Time
}

// New returns the service.
func New(store Store, now func() time.Time) *Service { return &Service{store: store, now: now} }

// Due is who is kept longer than the shop wants.
type Due struct {
	Months    int       // without dealings, as the shop says; 0: it has no rule, and nobody is due
	Before    time.Time // the last dealings with those who are
	Customers []models.DueCustomer
	More      bool // there are more than were looked for
}

// Due lists who is kept longer than the shop wants, the first entered first.
func (s *Service) Due(ctx context.Context) (Due, error) {
	settings, err := s.store.Settings(ctx)
	if err != nil {
		return Due{}, fmt.Errorf("settings of the shop: %w", err)
	}
	months, err := strconv.Atoi(settings[models.SettingRetentionMonths])
	if err != nil || months < 1 {
		return Due{}, nil //nolint:nilerr // the shop has no rule
	}
	before := s.now().AddDate(0, -months, 0)
	found, err := s.store.DueCustomers(ctx, before, mostDue+1)
	if err != nil {
		return Due{}, err
	}
	more := len(found) > mostDue
	return Due{Months: months, Before: before, Customers: found[:min(mostDue, len(found))], More: more}, nil
}

// Open gives what is open with a customer: what whoever erases them should know.
func (s *Service) Open(ctx context.Context, id string) (models.OpenDealings, error) {
	open, err := s.store.OpenWith(ctx, id)
	if err != nil {
		return models.OpenDealings{}, fmt.Errorf("what is open with a customer: %w", err)
	}
	return open, nil
}

// EraseDue erases those of the named customers who are still due, and says how
// many: one with whom something was dealt meanwhile stays.
func (s *Service) EraseDue(ctx context.Context, actor models.Actor, ids []string) (erased int, err error) {
	if !actor.May(models.ActCustomers) {
		return 0, fmt.Errorf("erase customers: %w", models.ErrForbidden)
	}
	if len(ids) == 0 {
		return 0, models.Invalid("id", "missing")
	}
	due, err := s.Due(ctx)
	if err != nil {
		return 0, err
	}
	for _, c := range due.Customers {
		if !slices.Contains(ids, c.ID) {
			continue
		}
		switch err := s.store.EraseDueCustomer(ctx, models.NewStamp(actor, s.now()), c.ID, due.Before); {
		case errors.Is(err, models.ErrNotFound): // Somebody else was faster, or something came in.
		case err != nil:
			return erased, err
		default:
			erased++
		}
	}
	return erased, nil
}
