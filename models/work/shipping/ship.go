package shipping

import (
	"context"
	"fmt"
	"slices"
	"time"

	"tracewright/models"
)

// NewShipment is what leaves together.
type NewShipment struct {
	Items    []string `json:"items"` // serials or ids of kits, and of items that go by themselves
	Order    string   `json:"order,omitempty"`
	Carrier  string   `json:"carrier,omitempty"`
	Tracking string   `json:"tracking,omitempty"`
	Customer string   `json:"customer,omitempty"` // key
	Reason   string   `json:"reason,omitempty"`   // why it goes although the gate says no; the owner's word
}

// Shipment is one with what is in it.
type Shipment struct {
	models.ShipmentView
	Kits   []Kit
	Loose  []models.Item // that went by themselves
	Person string
}

// Inside lists every item of the shipment that lies in a box or went by itself.
func (s Shipment) Inside() []models.Item {
	items := slices.Clone(s.Loose)
	for _, k := range s.Kits {
		items = append(items, k.Inside()...)
	}
	return items
}

// Ship sends kits and items off: the gate is asked about everything in them
// once more, and a kit that is not whole goes by the owner's word alone. What
// changed between that and the lock is [models.ErrStale].
func (s *Service) Ship(ctx context.Context, actor models.Actor, in NewShipment) (Shipment, error) {
	invalid := &models.InvalidError{}
	for _, x := range []struct {
		field string
		text  *string
	}{{"order", &in.Order}, {"carrier", &in.Carrier}, {"tracking", &in.Tracking}} {
		*x.text = models.Trimmed(*x.text)
		invalid.Line(x.field, *x.text, longest)
	}
	if err := s.known(ctx, invalid, in.Customer); err != nil {
		return Shipment{}, err
	}
	if len(in.Items) == 0 {
		invalid.Add("items", "missing")
	}
	if err := invalid.OrNil(); err != nil {
		return Shipment{}, err
	}
	sh := models.Shipment{ID: models.NewID(), OrderRef: in.Order, Carrier: in.Carrier, Tracking: in.Tracking, Customer: in.Customer}
	var items []models.Item
	for i, typed := range in.Items {
		item, err := s.scanned(ctx, typed, fmt.Sprintf("items[%d]", i))
		if err != nil {
			return Shipment{}, err
		}
		if slices.Contains(sh.Items, item.ID) {
			return Shipment{}, models.Invalid(fmt.Sprintf("items[%d]", i), "part_named_twice", "number", item.Name())
		}
		items, sh.Items = append(items, item), append(sh.Items, item.ID)
	}
	// Before the gate is asked: what comes meanwhile is found where they are locked.
	var err error
	if sh.Grounds, err = s.store.Grounds(ctx, sh.Items); err != nil {
		return Shipment{}, fmt.Errorf("what goes rests on: %w", err)
	}
	var against []models.Remark
	for _, item := range items {
		found, err := s.againstGoing(ctx, item)
		if err != nil {
			return Shipment{}, err
		}
		against = append(against, found...)
	}
	if slices.ContainsFunc(against, Final) {
		return Shipment{}, &models.RefusedError{Reasons: against}
	}
	if err := allowed(actor, against, &in.Reason); err != nil {
		return Shipment{}, err
	}
	sh.Reason, sh.Against = in.Reason, against
	stamp := models.NewStamp(actor, s.now())
	sent, err := s.store.AddShipment(ctx, stamp, stamp.At.In(s.zone(ctx)).Year()%100, sh)
	if err != nil {
		return Shipment{}, fmt.Errorf("ship: %w", err)
	}
	return s.Shipment(ctx, sent.Number)
}

// Final says of what keeps something here that nobody's word changes it.
func Final(r models.Remark) bool {
	return slices.Contains([]string{"shipped_already", "item_gone", "gone_from_kit", "in_a_kit", "in_this_kit", "not_packable"}, r.Code)
}

// againstGoing is what keeps a kit with all that lies in it, or an item by
// itself, from leaving.
func (s *Service) againstGoing(ctx context.Context, item models.Item) ([]models.Remark, error) {
	if item.Kind != models.KindKit {
		if item.Kind != models.KindWheel && item.Kind != models.KindPack {
			return []models.Remark{models.NewRemark("not_packable", "serial", item.Name())}, nil
		}
		against, err := s.Gate(ctx, item)
		if err != nil {
			return nil, err
		}
		in, err := s.store.KitOf(ctx, item.ID)
		if err != nil || in == "" {
			return against, err
		}
		kit, err := s.store.Item(ctx, in)
		if err != nil {
			return nil, fmt.Errorf("the kit of %s: %w", item.Name(), err)
		}
		return append(against, models.NewRemark("in_a_kit", "serial", item.Name(), "kit", kit.Name())), nil
	}
	k, err := s.kit(ctx, item)
	if err != nil {
		return nil, err
	}
	against := k.Against
	if item.State == models.StateShipped {
		against = append(against, models.NewRemark("shipped_already", "serial", item.Name()))
	}
	for _, l := range k.Lines {
		if !l.Full() {
			against = append(against, models.NewRemark("kit_lacks", "serial", item.Name(), "count", fmt.Sprint(l.Quantity-l.Done), "name", l.Name))
		}
	}
	return against, nil
}

// Shipment gives one by its number, with what went in it: what was packed into its
// kits since, or taken out, changes nothing.
func (s *Service) Shipment(ctx context.Context, number string) (Shipment, error) {
	view, err := s.store.ShipmentNumbered(ctx, number)
	if err != nil {
		return Shipment{}, fmt.Errorf("shipment %.40q: %w", number, err)
	}
	out := Shipment{ShipmentView: view}
	items, err := s.store.ItemsByID(ctx, view.Items)
	if err != nil {
		return Shipment{}, fmt.Errorf("items of shipment %s: %w", number, err)
	}
	names, err := s.names(ctx)
	if err != nil {
		return Shipment{}, err
	}
	out.Person = names[view.ShippedBy]
	packings, err := s.store.SentPackings(ctx, view.ID)
	if err != nil {
		return Shipment{}, fmt.Errorf("what went in shipment %s: %w", number, err)
	}
	for _, item := range items {
		if item.Kind != models.KindKit || item.ProductID == nil {
			out.Loose = append(out.Loose, item)
			continue
		}
		k := Kit{Item: item, People: names, sent: true}
		if view.Void == nil {
			k.Shipment = &out.ShipmentView
		}
		form, err := s.formAt(ctx, *item.ProductID, view.ShippedAt)
		if err == nil {
			err = s.asks(ctx, &k, form)
		}
		if err == nil {
			err = s.fill(ctx, &k, packings)
		}
		if err != nil {
			return Shipment{}, fmt.Errorf("kit of shipment %s: %w", number, err)
		}
		out.Kits = append(out.Kits, k)
	}
	return out, nil
}

// formAt is the form of a product at a moment.
func (s *Service) formAt(ctx context.Context, productID string, at time.Time) (models.ProductRevision, error) {
	revisions, err := s.store.ProductRevisions(ctx, productID)
	if err == nil && len(revisions) == 0 {
		err = models.ErrNotFound
	}
	if err != nil {
		return models.ProductRevision{}, fmt.Errorf("forms of product %s: %w", productID, err)
	}
	for _, r := range revisions {
		if !r.CreatedAt.After(at) {
			return r, nil
		}
	}
	return revisions[len(revisions)-1], nil
}

// Shipments lists the last ones, the newest first.
func (s *Service) Shipments(ctx context.Context, limit int) ([]models.ShipmentView, error) {
	list, err := s.store.Shipments(ctx, limit)
	if err != nil {
		return nil, fmt.Errorf("shipments: %w", err)
	}
	return list, nil
}

// ShipmentsOf lists the shipments that an item went with, the newest first.
func (s *Service) ShipmentsOf(ctx context.Context, itemID string) ([]models.ShipmentView, error) {
	list, err := s.store.ShipmentsOf(ctx, itemID)
	if err != nil {
		return nil, fmt.Errorf("shipments of an item: %w", err)
	}
	return list, nil
}

// ShipmentsOfOrder lists the shipments of an order that stand.
func (s *Service) ShipmentsOfOrder(ctx context.Context, ref string) ([]models.ShipmentView, error) {
	list, err := s.store.ShipmentsOfOrder(ctx, ref)
	if err != nil {
		return nil, fmt.Errorf("shipments of order %.40q: %w", ref, err)
	}
	return list, nil
}

// Void says that a shipment did not go after all, or was entered wrongly: what
// is in it is here again.
func (s *Service) Void(ctx context.Context, actor models.Actor, number, reason string) error {
	view, err := s.store.ShipmentNumbered(ctx, number)
	if err != nil {
		return fmt.Errorf("shipment %.40q: %w", number, err)
	}
	if err := reasoned(&reason); err != nil {
		return err
	}
	if view.Void != nil {
		return &models.RefusedError{Reasons: []models.Remark{models.NewRemark("shipment_void", "number", number)}}
	}
	if err := s.store.VoidShipment(ctx, models.NewStamp(actor, s.now()), models.ShipmentVoid{ShipmentID: view.ID, Reason: reason}); err != nil {
		return fmt.Errorf("void shipment %s: %w", number, err)
	}
	return nil
}
