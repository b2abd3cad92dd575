package privacy

import (
	"context"
	"errors"
	"fmt"
	"time"

	"tracewright/models"
)

// Data is everything that is known of one customer, as it is handed to them (GDPR,
// articles 15 and 20). Who of the shop looked is not theirs to know; when and why is.
type Data struct {
	ExportedAt time.Time  `json:"exported_at"`
	Customer   Customer   `json:"customer"`
	Orders     []Order    `json:"orders"`
	Shipments  []Shipment `json:"shipments"`
	Claims     []Claim    `json:"claims"`
	Looks      []Look     `json:"looks"`
}

// Customer is who they are.
type Customer struct {
	ID        string    `json:"id"`
	Name      string    `json:"name"`
	Address   string    `json:"address"`
	Email     string    `json:"email"`
	Phone     string    `json:"phone"`
	Note      string    `json:"note"`
	EnteredAt time.Time `json:"entered_at"`
}

// Order is what they ordered.
type Order struct {
	Ref       string      `json:"ref"`
	DueOn     string      `json:"due_on,omitempty"`
	EnteredAt time.Time   `json:"entered_at"`
	Lines     []OrderLine `json:"lines"`
}

// OrderLine is a number of one product.
type OrderLine struct {
	Product  string `json:"product"`
	Quantity int    `json:"quantity"`
}

// Shipment is what was sent to them.
type Shipment struct {
	Number    string    `json:"number"`
	OrderRef  string    `json:"order,omitempty"`
	Carrier   string    `json:"carrier,omitempty"`
	Tracking  string    `json:"tracking,omitempty"`
	ShippedAt time.Time `json:"shipped_at"`
	Items     []string  `json:"items"`
	Void      bool      `json:"void,omitempty"`
}

// Claim is what they claimed, in their words.
type Claim struct {
	Number   string    `json:"number"`
	Kind     string    `json:"kind"`
	Item     string    `json:"item,omitempty"`
	Product  string    `json:"product,omitempty"`
	Motor    string    `json:"motor_number,omitempty"`
	OrderRef string    `json:"order,omitempty"`
	OpenedAt time.Time `json:"opened_at"`
	State    string    `json:"state"`
	Words    string    `json:"words,omitempty"`
	Decision string    `json:"decision,omitempty"`
	Reason   string    `json:"reason,omitempty"`
	Photos   []Photo   `json:"photos"`
}

// Photo is a photo of a claim; the file itself is handed out from the claim.
type Photo struct {
	Name      string    `json:"name"`
	Note      string    `json:"note,omitempty"`
	MediaType string    `json:"media_type"`
	SHA256    string    `json:"sha256"`
	AddedAt   time.Time `json:"added_at"`
}

// Look says when, and why, somebody of the shop looked them up.
type Look struct {
	At     time.Time `json:"at"`
	Reason string    `json:"reason,omitempty"`
}

const (
	mostLooks = 1000
	exported  = "given to the customer"
)

// Data gathers what is known of one customer; it is a look at them, and recorded.
func (s *Service) Data(ctx context.Context, actor models.Actor, id string) (Data, error) {
	if !actor.May(models.ActCustomers) {
		return Data{}, fmt.Errorf("data of a customer: %w", models.ErrForbidden)
	}
	c, err := s.store.Customer(ctx, models.NewStamp(actor, s.now()), id, exported)
	if err != nil {
		return Data{}, fmt.Errorf("data of a customer: %w", err)
	}
	out := Data{ExportedAt: models.Moment(s.now()), Customer: Customer{c.ID, c.Name, c.Address, c.Email, c.Phone, c.Note, c.EnteredAt}, Orders: []Order{}, Shipments: []Shipment{}, Claims: []Claim{}, Looks: []Look{}}
	if err := s.dealings(ctx, &out); err != nil {
		return Data{}, err
	}
	looks, err := s.store.LooksAt(ctx, id, mostLooks)
	for _, l := range looks {
		out.Looks = append(out.Looks, Look{l.LookedAt, l.Reason})
	}
	return out, err
}

// Dealings are the orders, shipments and claims of one customer, for whoever has
// looked them up: it is no look of its own, and tells nothing of who they are.
func (s *Service) Dealings(ctx context.Context, actor models.Actor, id string) (Data, error) {
	if !actor.May(models.ActCustomers) {
		return Data{}, fmt.Errorf("dealings with a customer: %w", models.ErrForbidden)
	}
	out := Data{Customer: Customer{ID: id}}
	return out, s.dealings(ctx, &out)
}

func (s *Service) dealings(ctx context.Context, out *Data) error {
	for _, gather := range []func(context.Context, *Data) error{s.orders, s.shipments, s.claims} {
		if err := gather(ctx, out); err != nil {
			return err
		}
	}
	return nil
}

func (s *Service) orders(ctx context.Context, out *Data) error {
	found, err := s.store.OrdersOfCustomer(ctx, out.Customer.ID)
	if err != nil {
		return err
	}
	names := map[string]string{}
	for _, o := range found {
		order := Order{Ref: o.Ref, DueOn: o.DueOn, EnteredAt: o.EnteredAt, Lines: []OrderLine{}}
		for _, l := range o.Lines {
			if _, known := names[l.Product]; !known {
				p, err := s.store.Product(ctx, l.Product)
				if err != nil && !errors.Is(err, models.ErrNotFound) {
					return err
				}
				names[l.Product] = p.Name
			}
			order.Lines = append(order.Lines, OrderLine{names[l.Product], l.Quantity})
		}
		out.Orders = append(out.Orders, order)
	}
	return nil
}

func (s *Service) shipments(ctx context.Context, out *Data) error {
	found, err := s.store.ShipmentsOfCustomer(ctx, out.Customer.ID)
	if err != nil {
		return err
	}
	var ids []string
	for _, v := range found {
		ids = append(ids, v.Items...)
	}
	names, err := s.itemNames(ctx, ids)
	for _, v := range found {
		shipment := Shipment{Number: v.Number, OrderRef: v.OrderRef, Carrier: v.Carrier, Tracking: v.Tracking, ShippedAt: v.ShippedAt, Items: []string{}, Void: v.Void != nil}
		for _, id := range v.Items {
			shipment.Items = append(shipment.Items, names[id])
		}
		out.Shipments = append(out.Shipments, shipment)
	}
	return err
}

func (s *Service) claims(ctx context.Context, out *Data) error {
	found, err := s.store.ClaimsOfCustomer(ctx, out.Customer.ID)
	if err != nil {
		return err
	}
	var claims, items []string
	for _, v := range found {
		claims = append(claims, v.ID)
		if v.ItemID != nil {
			items = append(items, *v.ItemID)
		}
	}
	names, err := s.itemNames(ctx, items)
	if err != nil {
		return err
	}
	photos, err := s.store.Attachments(ctx, models.SubjectClaim, claims)
	for _, v := range found {
		claim := Claim{Number: v.Number, Kind: v.Kind, Product: v.Product, Motor: v.MotorNumber, OrderRef: v.OrderRef, OpenedAt: v.OpenedAt, State: v.State, Photos: []Photo{}}
		if v.ItemID != nil {
			claim.Item = names[*v.ItemID]
		}
		if v.Words != nil {
			claim.Words = v.Words.Words
		}
		if e := v.Last(models.ClaimAnswered); e != nil {
			claim.Decision, claim.Reason = e.Decision, e.Reason
		}
		for _, p := range photos {
			if p.SubjectID == v.ID {
				claim.Photos = append(claim.Photos, Photo{p.Name, p.Note, p.MediaType, p.FileHash, p.AddedAt})
			}
		}
		out.Claims = append(out.Claims, claim)
	}
	return err
}

func (s *Service) itemNames(ctx context.Context, ids []string) (map[string]string, error) {
	names := map[string]string{}
	if len(ids) == 0 {
		return names, nil
	}
	items, err := s.store.ItemsByID(ctx, ids)
	for _, i := range items {
		names[i.ID] = i.Name()
	}
	return names, err
}
