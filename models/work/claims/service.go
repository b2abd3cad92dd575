package claims

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"tracewright/models"
	"tracewright/models/trade/ident"
)

const (
	longest      = 200  // of a text, in characters
	longestWords = 2000 // of what a customer said
	longestSpot  = 60
)

// Store is what this package reads and writes. Each change writes its trail
// entries in the same transaction.
type Store interface {
	Item(ctx context.Context, id string) (models.Item, error)
	ItemBySerial(ctx context.Context, serial string) (models.Item, error)
	// ItemsByTail lists the items whose serial ends with these five characters.
	ItemsByTail(ctx context.Context, tail string, limit int) ([]models.Item, error)
	RemovalsOf(ctx context.Context, itemID string) ([]models.PartRemoval, error)
	ShipmentsOf(ctx context.Context, itemID string) ([]models.ShipmentView, error)
	Settings(ctx context.Context) (map[string]string, error)
	// Defects are the codes of the shop.
	Defects(ctx context.Context) (models.Defects, error)

	// AddClaim numbers a claim and keeps it with its words and first events.
	AddClaim(ctx context.Context, s models.Stamp, year2 int, c models.Claim, w models.ClaimWords, events []models.ClaimEvent) (models.ClaimView, error)
	// AddClaimEvents adds to a claim and does what the events bring about;
	// models.ErrStale when it was closed, or its item named, meanwhile, or where
	// another than from is its newest event; nil does not ask.
	AddClaimEvents(ctx context.Context, s models.Stamp, claimID string, from *string, events []models.ClaimEvent) error
	EraseClaimWords(ctx context.Context, s models.Stamp, claimID string) error
	Claim(ctx context.Context, id string) (models.ClaimView, error)
	ClaimNumbered(ctx context.Context, number string) (models.ClaimView, error)
	OpenClaims(ctx context.Context, limit int) ([]models.ClaimView, error)
	CountUnansweredClaims(ctx context.Context) (int, error)
	NewestClaims(ctx context.Context, limit int) ([]models.ClaimView, error)
	ClaimsOf(ctx context.Context, itemIDs ...string) ([]models.ClaimView, error)
	ClaimsNaming(ctx context.Context, text string, limit int) ([]models.ClaimView, error)
	// AddCheckList adds the next revision; models.ErrConflict when another came first.
	AddCheckList(ctx context.Context, s models.Stamp, l models.CheckList) error
	// CheckLists lists every revision that the shop made, the oldest of each first.
	CheckLists(ctx context.Context) ([]models.CheckList, error)
	// ServiceLives lists the items of a family that left the shop.
	ServiceLives(ctx context.Context, familyID string) ([]models.ServiceLife, error)
	// EverHeld lists which items hold or held pieces of each of the lots.
	EverHeld(ctx context.Context, lotIDs []string) (map[string][]string, error)
}

// Service keeps the claims.
type Service struct {
	store Store
	now   func() time.Time
	zone  func(context.Context) *time.Location
}

// New returns the service on its store; now is the clock, zone the shop's.
func New(store Store, now func() time.Time, zone func(context.Context) *time.Location) *Service {
	return &Service{store: store, now: now, zone: zone}
}

// Claim finds one by its number.
func (s *Service) Claim(ctx context.Context, number string) (models.ClaimView, error) {
	v, err := s.store.ClaimNumbered(ctx, number)
	if err != nil {
		return models.ClaimView{}, fmt.Errorf("claim %.40q: %w", number, err)
	}
	return v, nil
}

// Waiting lists the claims that are not closed: those without an answer before
// the others, the oldest first.
func (s *Service) Waiting(ctx context.Context, limit int) ([]models.ClaimView, error) {
	return listed(s.store.OpenClaims(ctx, limit))
}

// Unanswered counts those about which nobody has decided.
func (s *Service) Unanswered(ctx context.Context) (int, error) {
	return s.store.CountUnansweredClaims(ctx)
}

// Newest lists the last ones, the newest first.
func (s *Service) Newest(ctx context.Context, limit int) ([]models.ClaimView, error) {
	return listed(s.store.NewestClaims(ctx, limit))
}

// Listed lists the claims that wait, as Waiting does, and then the last ones that
// are closed, the newest first; at most limit of each.
func (s *Service) Listed(ctx context.Context, limit int) ([]models.ClaimView, error) {
	waiting, err := s.Waiting(ctx, limit)
	if err != nil {
		return nil, err
	}
	newest, err := s.Newest(ctx, limit)
	return append(waiting, slices.DeleteFunc(newest, func(v models.ClaimView) bool { return v.State != models.ClaimClosed })...), err
}

// Of lists the claims on an item, the newest first.
func (s *Service) Of(ctx context.Context, itemID string) ([]models.ClaimView, error) {
	return listed(s.store.ClaimsOf(ctx, itemID))
}

// Naming lists the claims that name a motor or an order by this text.
func (s *Service) Naming(ctx context.Context, text string, limit int) ([]models.ClaimView, error) {
	return listed(s.store.ClaimsNaming(ctx, text, limit))
}

func listed(list []models.ClaimView, err error) ([]models.ClaimView, error) {
	if err != nil {
		return nil, fmt.Errorf("claims: %w", err)
	}
	return list, nil
}

// EraseWords removes what the customer said for good.
func (s *Service) EraseWords(ctx context.Context, actor models.Actor, number string) error {
	v, err := s.Claim(ctx, number)
	if err != nil {
		return err
	}
	if err := s.store.EraseClaimWords(ctx, models.NewStamp(actor, s.now()), v.ID); err != nil {
		return fmt.Errorf("erase the words of %s: %w", number, err)
	}
	return nil
}

// InService is how long an item has been with its owner, as far as the shop
// knows: counted from its first shipment that stands, for nobody tells the shop
// when something was sold on.
type InService struct {
	Shipped time.Time // zero: it never left
	Until   time.Time // noon, in the shop's zone, of the last day of the warranty
	Runs    bool      // it has not ended at the moment asked about
	Months  int       // of warranty, as the shop sets it
}

// InService works it out for an item, as it is at a moment: of a claim that is
// when it was opened, however late it is decided.
func (s *Service) InService(ctx context.Context, itemID string, at time.Time) (InService, error) {
	shipments, err := s.store.ShipmentsOf(ctx, itemID)
	if err != nil {
		return InService{}, fmt.Errorf("shipments of an item: %w", err)
	}
	settings, err := s.store.Settings(ctx)
	if err != nil {
		return InService{}, fmt.Errorf("settings of the shop: %w", err)
	}
	out := InService{Months: models.UsualWarrantyMonths}
	if n, err := strconv.Atoi(settings[models.SettingWarrantyMonths]); err == nil {
		out.Months = n
	}
	for _, sh := range shipments {
		if sh.Void == nil && (out.Shipped.IsZero() || sh.ShippedAt.Before(out.Shipped)) {
			out.Shipped = sh.ShippedAt
		}
	}
	if out.Shipped.IsZero() {
		return out, nil
	}
	zone := s.zone(ctx)
	out.Until = models.MonthsLater(out.Shipped.In(zone), out.Months)
	out.Runs = at.In(zone).Format(time.DateOnly) <= out.Until.Format(time.DateOnly)
	return out, nil
}

// named finds an item by serial, however written, or by id; a text that names none
// is said for what it is.
func (s *Service) named(ctx context.Context, typed string, invalid *models.InvalidError) (*models.Item, error) {
	scan := ident.Recognise(typed)
	var item models.Item
	var err error
	switch {
	case len(typed) > longest:
		invalid.Add("item", "too_long", "most", fmt.Sprint(longest))
		return nil, nil
	case scan.What == ident.ScanSerial:
		item, err = s.store.ItemBySerial(ctx, scan.Serial)
	case models.IsID(scan.Text):
		item, err = s.store.Item(ctx, scan.Text)
	default:
		return s.ending(ctx, scan, invalid)
	}
	if errors.Is(err, models.ErrNotFound) {
		invalid.Add("item", "unknown_serial", "serial", models.Shortened(scan.Text))
		return nil, nil
	}
	if err != nil {
		return nil, fmt.Errorf("item %.40q: %w", typed, err)
	}
	return &item, nil
}

// ending finds the one item whose serial ends like this: the last five are typed by
// a hand, what a scanner read is whole.
func (s *Service) ending(ctx context.Context, scan ident.Scan, invalid *models.InvalidError) (*models.Item, error) {
	tail, ok := ident.NormaliseTail(scan.Text)
	if !ok || scan.Scanned {
		code, values := scan.Problem()
		invalid.Add("item", code, values...)
		return nil, nil
	}
	found, err := s.store.ItemsByTail(ctx, tail, models.MostOfTail)
	if err != nil {
		return nil, fmt.Errorf("items that end in %s: %w", tail, err)
	}
	item, code, values := models.OnlyOfTail(scan.Text, found)
	if code != "" {
		invalid.Add("item", code, values...)
		return nil, nil
	}
	return &item, nil
}

// WaitingOn lists the claims on what a text names that nobody has decided about: of
// what it does not name there are none.
func (s *Service) WaitingOn(ctx context.Context, typed string) ([]models.ClaimView, error) {
	typed = strings.TrimSpace(typed)
	if typed == "" {
		return nil, nil
	}
	item, err := s.named(ctx, typed, &models.InvalidError{})
	if err != nil || item == nil {
		return nil, err
	}
	all, err := s.store.ClaimsOf(ctx, item.ID)
	if err != nil {
		return nil, fmt.Errorf("claims of item %s: %w", item.ID, err)
	}
	return slices.DeleteFunc(all, func(v models.ClaimView) bool { return v.State != models.ClaimOpen }), nil
}
