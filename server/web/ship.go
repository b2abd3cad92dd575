package web

import (
	"errors"
	"fmt"
	"net/http"
	"net/url"
	"slices"
	"strings"

	"github.com/gin-gonic/gin"

	"tracewright/models"
	"tracewright/models/words"
	"tracewright/models/work/shipping"
	"tracewright/reports/packing"
	"tracewright/server/httpx"
)

// ShipPage asks with what order, by whom and to whom a box goes.
type ShipPage struct {
	Frame
	Title    string
	Items    []string // serials, as they are sent
	Customer *CustomerLine
	Fields   []Field
	Refused  []string
	Concede  bool
	Reason   Field
	Secret   *Field
	Orders   []OpenOrderLine // to choose from
	Unsure   []string        // why the order is asked about before it is kept
	Sure     string          // the order that was asked about
	Problems Problems
	Back     string
}

// OpenOrderLine is an open order that a box may go with.
type OpenOrderLine struct{ Ref, Path, Text, Customer string }

// CustomerLine is a customer by name.
type CustomerLine struct{ ID, Name, Path string }

func isRefused(err error) bool {
	var refused *models.RefusedError
	return errors.As(err, &refused)
}

// concedable says whether the owner's word may let go what was refused.
func concedable(err error) bool {
	var refused *models.RefusedError
	return errors.As(err, &refused) && !slices.ContainsFunc(refused.Reasons, shipping.Final)
}

func (s *site) shipPage(c *gin.Context) error {
	return s.showShip(c, http.StatusOK, c.QueryArray("item"), filled(map[string]string{"order": c.Query("order"), "customer": c.Query("customer")}), nil, nil)
}

func (s *site) showShip(c *gin.Context, status int, items []string, f *form, problem error, unsure []models.Remark) error {
	ctx := c.Request.Context()
	page := ShipPage{Frame: s.frame(c, "Ship", "/shipments"), Title: "Ship", Back: "/kits"}
	for _, i := range items {
		page.Items = append(page.Items, words.Serial(i))
	}
	if len(items) == 1 {
		page.Title = "Ship " + words.Serial(items[0])
		page.Back = "/kits/" + url.PathEscape(items[0])
	}
	if len(items) == 0 {
		page.Fields = append(page.Fields, f.field(Field{Name: "item", Label: "Kit, wheel or pack", Mono: true, Focus: true}))
	}
	page.Fields = append(page.Fields, f.field(Field{Name: "order", Label: "Order", Width: "w6", Optional: true, Focus: len(items) > 0, Hint: "Its reference."}),
		f.field(Field{Name: "carrier", Label: "Carrier", Width: "w6", Optional: true}), f.field(Field{Name: "tracking", Label: "Their number", Mono: true, Width: "w6", Optional: true}))
	orders, err := s.services.Shipping.Orders(ctx)
	if err != nil {
		return err
	}
	for _, o := range orders {
		if !slices.ContainsFunc(o.Lines, func(l shipping.OrderLine) bool { return l.Quantity > l.Shipped }) {
			continue
		}
		page.Orders = append(page.Orders, openOrder(page.Frame, o, items, f.value("customer")))
	}
	for _, r := range unsure {
		page.Unsure = append(page.Unsure, say(r))
	}
	page.Sure = f.value("sure")
	if len(unsure) > 0 {
		page.Sure = f.value("order")
	}
	if id := f.value("customer"); id != "" && page.Actor.May(models.ActCustomers) {
		page.Customer = &CustomerLine{ID: id, Name: "the customer chosen", Path: customerPath(id)}
	}
	if isRefused(problem) {
		page.Refused = reasonsOf(problem)
		page.Concede = concedable(problem) && page.Actor.May(models.ActConcede)
		page.Reason = f.field(Field{Name: "reason", Label: "Why it goes all the same: it is printed", Hint: noNameHint})
		page.Secret = s.secretField(c, f)
	} else {
		page.Problems = f.summary()
	}
	return send(c, status, "ship", page)
}

// openOrder is one with what it still waits for. Whom it is for is not told unasked:
// each look at a customer is written down.
func openOrder(frame Frame, o shipping.OrderView, items []string, customer string) OpenOrderLine {
	query := url.Values{"order": {o.Ref}, "item": items}
	if customer != "" {
		query.Set("customer", customer)
	}
	line := OpenOrderLine{Ref: o.Ref, Path: "/ship?" + query.Encode(), Text: orderWords(o)}
	if o.Customer != "" && frame.Actor.May(models.ActCustomers) {
		line.Customer = customerPath(o.Customer) + "?reason=" + urlQuery("order "+o.Ref)
	}
	return line
}

// orderWords is an open order in a line: "2 Kit 26, due 20 May 2031".
func orderWords(o shipping.OrderView) string {
	var wants []string
	for _, l := range o.Lines {
		if left := l.Quantity - l.Shipped; left > 0 {
			wants = append(wants, fmt.Sprintf("%d %s", left, l.Name))
		}
	}
	text := english.Join(wants)
	if o.DueOn == "" {
		return text + ", no day named"
	}
	return text + ", due " + words.Date(o.DueOn)
}

func (s *site) ship(c *gin.Context) error {
	text := func(name string) string { return strings.TrimSpace(c.PostForm(name)) }
	in := shipping.NewShipment{Order: text("order"), Carrier: text("carrier"), Tracking: text("tracking"), Reason: text("reason")}
	for _, item := range c.PostFormArray("item") {
		if item = strings.TrimSpace(item); item != "" {
			in.Items = append(in.Items, item)
		}
	}
	actor := httpx.Actor(c)
	if actor.May(models.ActCustomers) {
		in.Customer = text("customer")
	}
	var err error
	if in.Reason != "" {
		err = s.confirm(c)
	}
	if err == nil && text("sure") != in.Order { // Asked once about the same order.
		unsure, err := s.services.Shipping.Unordered(c.Request.Context(), in.Order, in.Items)
		if err != nil {
			return err
		}
		if len(unsure) > 0 {
			return s.showShip(c, http.StatusUnprocessableEntity, in.Items, posted(c, nil), nil, unsure)
		}
	}
	var sent shipping.Shipment
	if err == nil {
		sent, err = s.services.Shipping.Ship(c.Request.Context(), actor, in)
	}
	if answerable(err) {
		return s.showShip(c, http.StatusUnprocessableEntity, in.Items, posted(c, err), err, nil)
	}
	if err != nil {
		return err
	}
	return redirect(c, "/shipments/"+sent.Number, "shipped")
}

// ShipmentsPage lists the last shipments.
type ShipmentsPage struct {
	Frame
	Answer string
	Rows   []ShipmentRow
}

// ShipmentRow is one shipment.
type ShipmentRow struct {
	Number, Path, Order, Carrier, When string
	Items                              int
	Void                               bool
}

// shipmentsShown is how many of the last ones the list has.
const shipmentsShown = 200

func (s *site) shipments(c *gin.Context) error {
	list, err := s.services.Shipping.Shipments(c.Request.Context(), shipmentsShown)
	if err != nil {
		return err
	}
	page := ShipmentsPage{Frame: s.frame(c, "Shipments", "/shipments"), Answer: "Nothing has been shipped yet"}
	for _, sh := range list {
		page.Rows = append(page.Rows, ShipmentRow{sh.Number, "/shipments/" + sh.Number, sh.OrderRef, sh.Carrier, s.minute(sh.ShippedAt), len(sh.Items), sh.Void != nil})
	}
	if len(list) > 0 {
		page.Answer = "The last shipment went on " + s.day(list[0].ShippedAt)
	}
	return show(c, "shipments", page)
}

// ShipmentPage is one shipment with what is in it.
type ShipmentPage struct {
	Frame
	Number, Answer string
	Facts          []LotFact
	Customer       *CustomerLine
	Boxes          []ShippedBox
	Against        []string
	Reason         string
	Void           string
	Paper          string
	Certificates   string // where those of all that is in it come as one file
	Labels         string // where labels of its boxes are printed
	VoidPath       string
}

// ShippedBox is a kit with what lies in it, or items that went by themselves.
type ShippedBox struct {
	Serial, Path, Product string
	Lines                 []KitLineRow
	Let                   []string
}

func (s *site) shipment(c *gin.Context) error {
	sh, err := s.services.Shipping.Shipment(c.Request.Context(), c.Param("number"))
	if err != nil {
		return err
	}
	people, err := s.people(c.Request.Context())
	if err != nil {
		return err
	}
	page := s.shipmentPage(s.frame(c, "Shipment "+sh.Number, "/shipments"), sh, people)
	if page.Customer != nil {
		gone, err := s.erased(c, sh.Customer)
		if err != nil {
			return err
		}
		if gone[sh.Customer] {
			page.Customer = &CustomerLine{Name: "The customer was erased."}
		}
	}
	return show(c, "shipment", page)
}

func (s *site) shipmentPage(frame Frame, sh shipping.Shipment, people map[string]string) ShipmentPage {
	page := ShipmentPage{Frame: frame, Number: sh.Number, Answer: "Shipped on " + s.day(sh.ShippedAt), Reason: sh.Reason, Paper: "/shipments/" + sh.Number + "/packing-list"}
	fact := func(label, value string) {
		if value != "" {
			page.Facts = append(page.Facts, LotFact{Label: label, Value: value})
		}
	}
	fact("Order", sh.OrderRef)
	fact("Carrier", sh.Carrier)
	fact("Their number", sh.Tracking)
	fact("By", name(people, sh.ShippedBy)+", "+s.minute(sh.ShippedAt))
	if sh.Customer != "" && frame.Actor.May(models.ActCustomers) {
		page.Customer = &CustomerLine{ID: sh.Customer, Name: "Look the customer up", Path: customerPath(sh.Customer)}
	}
	if len(sh.Inside()) > 0 {
		page.Certificates = "/shipments/" + sh.Number + "/certificates"
	}
	for _, k := range sh.Kits {
		kit := s.kitPage(frame, k)
		page.Boxes = append(page.Boxes, ShippedBox{kit.Serial, kit.Path, kit.Product, kit.Lines, kit.Let})
	}
	for _, i := range sh.Loose {
		page.Boxes = append(page.Boxes, ShippedBox{Serial: words.Serial(i.Name()), Path: itemPath(pointed(i.Serial), i.ID), Product: english.Kind(i.Kind) + " by itself"})
	}
	for _, r := range sh.Against {
		page.Against = append(page.Against, say(r))
	}
	switch {
	case sh.Void != nil:
		page.Answer = "Void: it did not go"
		page.Void = s.day(sh.Void.VoidedAt) + ", " + name(people, sh.Void.VoidedBy) + ": " + stopped(sh.Void.Reason)
	default:
		page.Labels = "/shipments/" + sh.Number + "/labels"
		if frame.Actor.May(models.ActShip) {
			page.VoidPath = "/shipments/" + sh.Number + "/void"
		}
	}
	return page
}

func (s *site) voidShipmentPage(c *gin.Context) error {
	return s.showVoidShipment(c, http.StatusOK, nil)
}

func (s *site) showVoidShipment(c *gin.Context, status int, problem error) error {
	number, f := c.Param("number"), posted(c, problem)
	page := ConfirmPage{Frame: s.frame(c, "Void a shipment", "/shipments"), About: number, Mono: true, Title: "It did not go", Button: "Void the shipment", Path: "/shipments/" + number + "/void", Back: "/shipments/" + number,
		Says: []string{"Everything in it is here again. The shipment keeps its number and stays on record."}, Fields: []Field{f.field(Field{Name: "reason", Label: "Why", Focus: true, Hint: noNameHint})}}
	page.Secret = s.secretField(c, f)
	page.Problems = f.summary()
	return send(c, status, "confirm", page)
}

func (s *site) voidShipment(c *gin.Context) error {
	err := s.confirm(c)
	if err == nil {
		err = s.services.Shipping.Void(c.Request.Context(), httpx.Actor(c), c.Param("number"), strings.TrimSpace(c.PostForm("reason")))
	}
	if answerable(err) {
		return s.showVoidShipment(c, http.StatusUnprocessableEntity, err)
	}
	if err != nil {
		return err
	}
	return redirect(c, "/shipments/"+c.Param("number"), "changed")
}

// packingList draws the paper that lies in the box.
func (s *site) packingList(c *gin.Context) error {
	list, err := s.services.Shipping.PackingList(c.Request.Context(), httpx.Actor(c), c.Param("number"))
	if err != nil {
		return err
	}
	paper, err := packing.Draw(list, s.services.Now())
	if err != nil {
		return err
	}
	return sendPDF(c, "packing-list-"+list.Number+".pdf", paper)
}
