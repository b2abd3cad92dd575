package shipping

import (
	"context"
	"fmt"
	"time"

	"tracewright/models"
)

const longest = 200 // of a text, in characters

// Store is what this package reads and writes. Each change writes its trail
// entry in the same transaction.
type Store interface {
	Item(ctx context.Context, id string) (models.Item, error)
	ItemBySerial(ctx context.Context, serial string) (models.Item, error)
	ItemsByID(ctx context.Context, ids []string) ([]models.Item, error)
	// ItemsByTail lists the items whose serial ends with these five characters.
	ItemsByTail(ctx context.Context, tail string, limit int) ([]models.Item, error)
	LotsByCode(ctx context.Context, codes []string) ([]models.Lot, error)
	Product(ctx context.Context, id string) (models.Product, error)
	ProductForm(ctx context.Context, productID string) (models.ProductRevision, error)
	// ProductRevisions lists every revision of a product's form, newest first.
	ProductRevisions(ctx context.Context, productID string) ([]models.ProductRevision, error)
	People(ctx context.Context) ([]models.Person, error)
	Settings(ctx context.Context) (map[string]string, error)

	CertificateInForce(ctx context.Context, itemID string) (models.Certificate, error)
	// CertificatesOf lists every revision of every certificate of an item, newest first.
	CertificatesOf(ctx context.Context, itemID string) ([]models.CertificateView, error)
	OpenHolds(ctx context.Context, itemID string) ([]models.Hold, error)
	// ChargesReaching lists the charges and discharges of an item and of the parts
	// in it.
	ChargesReaching(ctx context.Context, itemID string) ([]models.ChargeView, error)
	InspectionsOf(ctx context.Context, itemID string) ([]models.Inspection, error)
	Inspection(ctx context.Context, id string) (models.Inspection, error)
	Parts(ctx context.Context, itemID string) ([]models.PartView, error)
	RemovalsOf(ctx context.Context, itemID string) ([]models.PartRemoval, error)
	TurnsOf(ctx context.Context, itemID string) ([]models.TurnDone, error)
	// TurnStopOf gives the newest comparison of readings with the turns before them,
	// or models.ErrNotFound.
	TurnStopOf(ctx context.Context, itemID string) (models.TurnStop, error)
	PartsSetAside(ctx context.Context, itemID string) ([]models.Item, error)
	// LotsSetAside lists the lots in an item that are in quarantine or went back.
	LotsSetAside(ctx context.Context, itemID string) ([]models.Lot, error)

	KitPackings(ctx context.Context, kitID string) ([]models.KitPacking, error)
	// SentPackings lists what went in the kits of a shipment, as it had been packed.
	SentPackings(ctx context.Context, shipmentID string) ([]models.KitPacking, error)
	KitOf(ctx context.Context, itemID string) (string, error)
	OpenKits(ctx context.Context) ([]models.Item, error)
	PackKit(ctx context.Context, s models.Stamp, p models.KitPacking) error
	ReadyOf(ctx context.Context, productID string, limit int) ([]models.Item, error)

	// Grounds tells of items, and of what lies in those that are kits, what a shipment of
	// each rests on, as a digest that is another when any of that is.
	Grounds(ctx context.Context, items []string) (map[string]string, error)
	AddShipment(ctx context.Context, s models.Stamp, year2 int, sh models.Shipment) (models.Shipment, error)
	VoidShipment(ctx context.Context, s models.Stamp, v models.ShipmentVoid) error
	Shipments(ctx context.Context, limit int) ([]models.ShipmentView, error)
	ShipmentNumbered(ctx context.Context, number string) (models.ShipmentView, error)
	ShipmentsOf(ctx context.Context, itemID string) ([]models.ShipmentView, error)
	ShipmentsOfOrder(ctx context.Context, ref string) ([]models.ShipmentView, error)

	AddOrder(ctx context.Context, s models.Stamp, o models.Order) error
	Order(ctx context.Context, ref string) (models.Order, error)
	OpenOrders(ctx context.Context) ([]models.Order, error)
	EndOrder(ctx context.Context, s models.Stamp, e models.OrderEnd) error

	AddCustomer(ctx context.Context, s models.Stamp, c models.Customer) error
	ChangeCustomer(ctx context.Context, s models.Stamp, id string, change func(*models.Customer) error) (models.Customer, error)
	EraseCustomer(ctx context.Context, s models.Stamp, id string) error
	// CustomerThere is no look at one.
	CustomerThere(ctx context.Context, id string) (bool, error)
	CustomersThere(ctx context.Context, ids []string) ([]string, error)
	Customer(ctx context.Context, s models.Stamp, id, reason string) (models.Customer, error)
	CustomersNamed(ctx context.Context, s models.Stamp, text, reason string, limit int) ([]models.Customer, error)
	LooksAt(ctx context.Context, id string, limit int) ([]models.CustomerLook, error)
}

// ReadyUntil says until when a pack is ready to ship by its charge; a zero time
// where nothing limits it or nothing is known.
type ReadyUntil func(ctx context.Context, itemID string) (time.Time, error)

// Service packs and ships.
type Service struct {
	store Store
	ready ReadyUntil
	now   func() time.Time
	zone  func(context.Context) *time.Location
}

// New returns the service; now is the server's clock, zone the shop's.
func New(store Store, ready ReadyUntil, now func() time.Time, zone func(context.Context) *time.Location) *Service {
	return &Service{store: store, ready: ready, now: now, zone: zone}
}

// reasoned trims a reason that must be given.
func reasoned(reason *string) error {
	invalid := &models.InvalidError{}
	if *reason = models.Trimmed(*reason); *reason == "" {
		invalid.Add("reason", "reason_needed")
	}
	invalid.Lines("reason", *reason, longest)
	return invalid.OrNil()
}

func (s *Service) names(ctx context.Context) (map[string]string, error) {
	people, err := s.store.People(ctx)
	if err != nil {
		return nil, fmt.Errorf("names of people: %w", err)
	}
	return models.NamesOf(people), nil
}

// Whereabouts is where an item lies or with what it went.
type Whereabouts struct {
	Kit      *models.Item         // that it lies in
	Shipment *models.ShipmentView // the newest that stands
}

// Where says where an item lies or with what it went.
func (s *Service) Where(ctx context.Context, itemID string) (Whereabouts, error) {
	var out Whereabouts
	kit, err := s.store.KitOf(ctx, itemID)
	if err != nil {
		return out, fmt.Errorf("the kit of an item: %w", err)
	}
	if kit != "" {
		item, err := s.store.Item(ctx, kit)
		if err != nil {
			return out, fmt.Errorf("the kit of an item: %w", err)
		}
		out.Kit = &item
	}
	shipments, err := s.ShipmentsOf(ctx, itemID)
	for i := range shipments {
		if shipments[i].Void == nil {
			out.Shipment = &shipments[i]
			break
		}
	}
	return out, err
}

// day is the shop's today.
func (s *Service) day(ctx context.Context) time.Time {
	now := s.now().In(s.zone(ctx))
	return time.Date(now.Year(), now.Month(), now.Day(), 0, 0, 0, 0, time.UTC)
}
