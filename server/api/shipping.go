package api

import (
	"context"
	"net/http"

	"github.com/gin-gonic/gin"

	"tracewright/models"
	"tracewright/models/work/access"
	"tracewright/models/work/shipping"
	"tracewright/server/httpx"
)

// kitShape is a kit as it is packed.
type kitShape struct {
	Item     itemLine       `json:"item"`
	Lines    []kitLineShape `json:"lines"`
	Extra    []itemLine     `json:"extra"` // in it, though no line asks for them
	Whole    bool           `json:"whole"`
	Against  []remark       `json:"against"` // what keeps it from leaving
	Shipment string         `json:"shipment,omitempty"`
}

type kitLineShape struct {
	Product  string     `json:"product,omitempty"`
	Part     string     `json:"part,omitempty"`
	Name     string     `json:"name"`
	Quantity int        `json:"quantity"`
	Done     int        `json:"done"`
	Items    []itemLine `json:"items"`
}

func (a *api) kitOf(ctx context.Context, k shipping.Kit) (kitShape, error) {
	line, err := a.itemLine(ctx, k.Item)
	if err != nil {
		return kitShape{}, err
	}
	out := kitShape{Item: line, Lines: make([]kitLineShape, len(k.Lines)), Whole: k.Whole, Against: remarks(k.Against)}
	for i, l := range k.Lines {
		items, err := a.itemLines(ctx, l.In)
		if err != nil {
			return kitShape{}, err
		}
		out.Lines[i] = kitLineShape{l.Product, l.Part, l.Name, l.Quantity, l.Done, items}
	}
	if out.Extra, err = a.itemLines(ctx, k.Extra); err != nil {
		return kitShape{}, err
	}
	if k.Shipment != nil {
		out.Shipment = k.Shipment.Number
	}
	return out, nil
}

func (a *api) sendKit(c *gin.Context, k shipping.Kit, err error) error {
	if err != nil {
		return err
	}
	shape, err := a.kitOf(c.Request.Context(), k)
	if err != nil {
		return err
	}
	return answer(c, http.StatusOK, shape)
}

func (a *api) kit(c *gin.Context) error {
	k, err := a.services.Shipping.Kit(c.Request.Context(), c.Param("kit"))
	return a.sendKit(c, k, err)
}

// changeKit reads what is asked, does it and answers with the kit.
func (a *api) changeKit(c *gin.Context, in any, do func(ctx context.Context, actor models.Actor, kit string) (shipping.Kit, error)) error {
	if err := httpx.DecodeJSON(c, in); err != nil {
		return err
	}
	k, err := do(c.Request.Context(), httpx.Actor(c), c.Param("kit"))
	return a.sendKit(c, k, err)
}

// packKit puts an item in; a reason is the owner's word against the gate and
// asks for a secret.
func (a *api) packKit(c *gin.Context) error {
	var in struct {
		Item    string        `json:"item"`
		Reason  string        `json:"reason"`
		Confirm access.Secret `json:"confirm"`
	}
	return a.changeKit(c, &in, func(ctx context.Context, actor models.Actor, kit string) (shipping.Kit, error) {
		if in.Reason != "" {
			if err := a.services.Sessions.Confirm(c, in.Confirm); err != nil {
				return shipping.Kit{}, err
			}
		}
		packed, err := a.services.Shipping.Pack(ctx, actor, kit, in.Item, in.Reason)
		return packed.Kit, err
	})
}

// unpackKit takes an item out again.
func (a *api) unpackKit(c *gin.Context) error {
	var in struct {
		Item   string `json:"item"`
		Reason string `json:"reason"`
	}
	return a.changeKit(c, &in, func(ctx context.Context, actor models.Actor, kit string) (shipping.Kit, error) {
		return a.services.Shipping.TakeOut(ctx, actor, kit, in.Item, in.Reason)
	})
}

// tickKit says that small parts are in, or not after all.
func (a *api) tickKit(c *gin.Context) error {
	var in struct {
		Part string `json:"part"`
		In   bool   `json:"in" needed:"yes"`
	}
	return a.changeKit(c, &in, func(ctx context.Context, actor models.Actor, kit string) (shipping.Kit, error) {
		return a.services.Shipping.Tick(ctx, actor, kit, in.Part, in.In)
	})
}

// shipmentShape is a shipment; whom it went to is a key, for those who may see
// customers.
type shipmentShape struct {
	Number    string     `json:"number"`
	Order     string     `json:"order,omitempty"`
	Carrier   string     `json:"carrier,omitempty"`
	Tracking  string     `json:"tracking,omitempty"`
	Customer  string     `json:"customer,omitempty"`
	ShippedAt instant    `json:"shipped_at"`
	ShippedBy string     `json:"shipped_by"` // name
	Reason    string     `json:"reason,omitempty"`
	Against   []remark   `json:"against"`
	Kits      []kitShape `json:"kits"`
	Items     []itemLine `json:"items"` // that went by themselves
	Void      string     `json:"void,omitempty"`
}

func (a *api) sendShipment(c *gin.Context, sh shipping.Shipment) (shipmentShape, error) {
	ctx := c.Request.Context()
	out := shipmentShape{Number: sh.Number, Order: sh.OrderRef, Carrier: sh.Carrier, Tracking: sh.Tracking, ShippedAt: instant(sh.ShippedAt), ShippedBy: sh.Person, Reason: sh.Reason, Against: remarks(sh.Against), Kits: make([]kitShape, len(sh.Kits))}
	if httpx.Actor(c).May(models.ActCustomers) {
		out.Customer = sh.Customer
	}
	if sh.Void != nil {
		out.Void = sh.Void.Reason
	}
	var err error
	for i, k := range sh.Kits {
		if out.Kits[i], err = a.kitOf(ctx, k); err != nil {
			return out, err
		}
	}
	out.Items, err = a.itemLines(ctx, sh.Loose)
	return out, err
}

func (a *api) ship(c *gin.Context) error {
	var in struct {
		shipping.NewShipment
		Confirm access.Secret `json:"confirm"`
	}
	if err := httpx.DecodeJSON(c, &in); err != nil {
		return err
	}
	if in.Reason != "" {
		if err := a.services.Sessions.Confirm(c, in.Confirm); err != nil {
			return err
		}
	}
	if !httpx.Actor(c).May(models.ActCustomers) {
		in.Customer = ""
	}
	sent, err := a.services.Shipping.Ship(c.Request.Context(), httpx.Actor(c), in.NewShipment)
	if err != nil {
		return err
	}
	shape, err := a.sendShipment(c, sent)
	if err != nil {
		return err
	}
	return created(c, "/shipments/"+sent.Number, shape)
}

func (a *api) shipment(c *gin.Context) error {
	sh, err := a.services.Shipping.Shipment(c.Request.Context(), c.Param("number"))
	if err != nil {
		return err
	}
	shape, err := a.sendShipment(c, sh)
	if err != nil {
		return err
	}
	return answer(c, http.StatusOK, shape)
}

func (a *api) voidShipment(c *gin.Context) error {
	var in decision
	if err := httpx.DecodeJSON(c, &in); err != nil {
		return err
	}
	if err := a.services.Sessions.Confirm(c, in.Confirm); err != nil {
		return err
	}
	if err := a.services.Shipping.Void(c.Request.Context(), httpx.Actor(c), c.Param("number"), in.Reason); err != nil {
		return err
	}
	return a.shipment(c)
}

// orderShape is an open order with how far it is.
type orderShape struct {
	Ref   string           `json:"ref"`
	DueOn string           `json:"due_on,omitempty"`
	Late  bool             `json:"late"`
	Short bool             `json:"short"`
	Lines []orderLineShape `json:"lines"`
}

type orderLineShape struct {
	Product  string `json:"product"`
	Name     string `json:"name"`
	Quantity int    `json:"quantity"`
	Shipped  int    `json:"shipped"`
	Ready    int    `json:"ready"`
	Short    int    `json:"short"`
}

func (a *api) orders(c *gin.Context) error {
	orders, err := a.services.Shipping.Orders(c.Request.Context())
	if err != nil {
		return err
	}
	out := make([]orderShape, len(orders))
	for i, o := range orders {
		out[i] = orderShape{Ref: o.Ref, DueOn: o.DueOn, Late: o.Late, Short: o.Short, Lines: []orderLineShape{}}
		for _, l := range o.Lines {
			out[i].Lines = append(out[i].Lines, orderLineShape{l.Product, l.Name, l.Quantity, l.Shipped, l.Ready, l.Short})
		}
	}
	return answer(c, http.StatusOK, gin.H{"orders": out})
}

func (a *api) addOrder(c *gin.Context) error {
	var in struct {
		Ref      string             `json:"ref"`
		DueOn    string             `json:"due_on"`
		Customer string             `json:"customer"`
		Lines    []models.OrderLine `json:"lines"`
	}
	if err := httpx.DecodeJSON(c, &in); err != nil {
		return err
	}
	if !httpx.Actor(c).May(models.ActCustomers) {
		in.Customer = ""
	}
	o, err := a.services.Shipping.AddOrder(c.Request.Context(), httpx.Actor(c), models.Order{Ref: in.Ref, DueOn: in.DueOn, Customer: in.Customer, Lines: in.Lines})
	if err != nil {
		return err
	}
	return created(c, "/orders", gin.H{"id": o.ID, "ref": o.Ref})
}

func (a *api) endOrder(c *gin.Context) error {
	var in struct {
		Ref    string `json:"ref"`
		Reason string `json:"reason"`
	}
	if err := httpx.DecodeJSON(c, &in); err != nil {
		return err
	}
	if err := a.services.Shipping.EndOrder(c.Request.Context(), httpx.Actor(c), in.Ref, in.Reason); err != nil {
		return err
	}
	return a.orders(c)
}
