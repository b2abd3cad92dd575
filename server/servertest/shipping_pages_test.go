package servertest

import (
	"net/http"
	"net/url"
	"strings"
	"testing"

	"tracewright/models"
	"tracewright/models/work/shipping"
	"tracewright/models/work/specify"
)

// kitted is a kit product with one kit of it, a customer and a shipment.
type kitted struct {
	product, kit, customer, number string
}

// kitOf adds a product of kits: a wheel, and two torque arms.
func (s *Shop) kitOf(t *testing.T) models.Product {
	t.Helper()
	ctx, services := t.Context(), s.App.Services
	family, err := services.Specify.AddFamily(ctx, s.Shop.Owner, specify.NewFamily{Kind: models.KindKit, Name: "Kits"})
	s.Must(err)
	form := models.ProductForm{Kit: &models.KitForm{Lines: []models.KitLine{{Product: *s.Item[models.KindWheel].ProductID, Quantity: 1}, {Part: "torque arm, M12", Quantity: 2}}}}
	product, err := services.Specify.AddProduct(ctx, s.Shop.Owner, specify.NewProduct{FamilyID: family.Family.ID, Name: "Kit 26", Form: form})
	s.Must(err)
	return product.Product
}

// kitted packs the wheel of the shop into a kit and ships it by concession.
func (s *Shop) kitted(t *testing.T) kitted {
	t.Helper()
	ctx, services := t.Context(), s.App.Services
	product := s.kitOf(t)
	kit, err := s.Store.AddItemWithSerial(ctx, models.NewStamp(s.Shop.Owner, s.Now), models.Item{Kind: models.KindKit, FamilyID: &product.FamilyID, ProductID: &product.ID, Origin: "made"}, "K", 31, nil)
	s.Must(err)
	customer, err := services.Shipping.AddCustomer(ctx, s.Shop.Owner, models.Customer{Name: "Ada Brenn", Address: "Quay 4\n9921 Sundhavn"})
	s.Must(err)
	_, err = services.Shipping.AddOrder(ctx, s.Shop.Owner, models.Order{Ref: "4471", Customer: customer.ID, DueOn: "2031-05-20", Lines: []models.OrderLine{{Product: product.ID, Quantity: 2}}})
	s.Must(err)
	_, err = services.Shipping.Pack(ctx, s.Shop.Owner, *kit.Serial, *s.Item[models.KindWheel].Serial, "agreed by telephone")
	s.Must(err)
	sent, err := services.Shipping.Ship(ctx, s.Shop.Owner, shipping.NewShipment{Items: []string{*kit.Serial}, Order: "4471", Customer: customer.ID, Reason: "the arms follow"})
	s.Must(err)
	return kitted{product.ID, *kit.Serial, customer.ID, sent.Number}
}

// From an order to the box at the door, by pages alone; and what each refusal
// says.
func TestPackedAndShippedByPages(t *testing.T) {
	Each(t, func(t *testing.T, s *Shop) {
		s.MustRecord(s.Extremes())
		wheel := s.Item[models.KindWheel]
		product := s.kitOf(t)
		var kit, number, customer string
		at := func(into *string, prefix string) func(*testing.T, http.Header, []byte) {
			return func(t *testing.T, h http.Header, _ []byte) {
				found, ok := strings.CutPrefix(h.Get("Location"), prefix)
				*into, _, _ = strings.Cut(found, "?")
				if !ok || *into == "" {
					t.Fatalf("sent on to %s", h.Get("Location"))
				}
			}
		}
		then := func(row Row, after func(*testing.T, http.Header, []byte)) Row { row.After = after; return row }
		before := func(row Row, f func(*Row)) Row { row.Before = f; return row }
		inKit := func(row Row, rest string) Row {
			return before(row, func(r *Row) { r.Path = "/kits/" + kit + rest })
		}
		password := func(v url.Values) url.Values { v.Set("confirm.password", Password); return v }
		s.Run(t, []Row{
			{Name: "the form of a kit", Who: Owner, Path: "/products/" + product.ID + "/revise", Status: http.StatusOK, Has: []string{"Small parts in it", "2 torque arm, M12"}},
			{Name: "no kit yet", Who: Operator, Path: "/kits", Status: http.StatusOK, Has: []string{"No kit is being packed", "Kit 26"}},
			Posted("an order", Desk, "/orders/new", url.Values{"ref": {"4471"}, "due_on": {"2031-05-20"}, "lines[0].product": {product.ID}, "lines[0].quantity": {"2"}}, http.StatusSeeOther),
			Posted("the same again", Desk, "/orders/new", url.Values{"ref": {"4471"}, "lines[0].product": {product.ID}}, http.StatusUnprocessableEntity, "4471 is taken already"),
			Posted("too many, in its second row", Desk, "/orders/new", url.Values{"ref": {"4472"}, "lines[1].product": {product.ID}, "lines[1].quantity": {"1001"}}, http.StatusUnprocessableEntity, `id="lines-1-quantity-wrong"`),
			Posted("of nothing", Desk, "/orders/new", url.Values{"ref": {"4472"}}, http.StatusUnprocessableEntity, `id="lines-0-product-wrong"`, "An order says what is wanted", `<label for="lines-0-product">What</label>`, `<label for="lines-0-quantity">How many</label>`, "one answer needs a look, marked below"),
			Posted("an operator takes no order", Operator, "/orders/new", url.Values{"ref": {"4473"}}, http.StatusForbidden),
			{Name: "it is short", Who: Operator, Path: "/orders", Status: http.StatusOK, Has: []string{"One order is open, one lacks something", "2 Kit 26, 2 short"}},
			Posted("who packs makes no wheel", Desk, "/kits", url.Values{"product": {*wheel.ProductID}}, http.StatusUnprocessableEntity),
			then(Posted("a kit", Operator, "/kits", url.Values{"product": {product.ID}}, http.StatusSeeOther), at(&kit, "/kits/")),
			inKit(Posted("not released", Operator, "", url.Values{"item": {*wheel.Serial}}, http.StatusUnprocessableEntity, "is not released", "Not taken"), "/items"),
			inKit(Posted("not released, for the owner", Owner, "", url.Values{"item": {(*wheel.Serial)[4:]}}, http.StatusUnprocessableEntity, "is not released", "Let it in by concession", "the customer is erased: no names"), "/items"),
			{Name: "a hold asks to leave names out", Who: Operator, Path: "/items/" + *wheel.Serial + "/hold", Status: http.StatusOK, Has: []string{"the customer is erased: no names"}},
			inKit(Posted("nothing scanned", Operator, "", url.Values{"item": {""}}, http.StatusUnprocessableEntity, "This is needed"), "/items"),
			inKit(Posted("misread", Operator, "", url.Values{"item": {(*wheel.Serial)[:8] + "2"}}, http.StatusUnprocessableEntity, "wrong check character"), "/items"),
			inKit(Posted("a lot's label", Operator, "", url.Values{"item": {"]C0SP-0214"}}, http.StatusUnprocessableEntity, "SP-0214 is not a serial"), "/items"),
			inKit(Posted("a supplier's code", Operator, "", url.Values{"item": {"]d2010952123450001810A-1"}}, http.StatusUnprocessableEntity, "A supplier’s GS1 code: article 09521234500018, lot A-1. Scan the item’s label."), "/items"),
			inKit(Posted("the paper of its certificate", Operator, "", url.Values{"item": {"]Q1" + *wheel.Serial + " C31-00001/1 " + strings.Repeat("0a", 32)}}, http.StatusUnprocessableEntity, "the code on certificate C31-00001/1"), "/items"),
			inKit(Posted("a web address", Operator, "", url.Values{"item": {"https://shop.example/c/abc"}}, http.StatusUnprocessableEntity, "That is a web address"), "/items"),
			inKit(Posted("of another shop", Operator, "", url.Values{"item": {s.unknownSerial()}}, http.StatusUnprocessableEntity, "No item has the serial"), "/items"),
			inKit(Posted("without an end", Operator, "", url.Values{"item": {strings.Repeat("W", 9000)}}, http.StatusUnprocessableEntity, "200 characters"), "/items"),
			s.opened(t, Posted("released", Owner, "/items/"+*wheel.Serial+"/release", password(url.Values{}), http.StatusSeeOther)),
			inKit(Posted("in", Operator, "", url.Values{"item": {*wheel.Serial}}, http.StatusSeeOther), "/items"),
			inKit(Posted("twice", Operator, "", url.Values{"item": {*wheel.Serial}}, http.StatusUnprocessableEntity, "is in this kit already"), "/items"),
			func() Row {
				row := inKit(Posted("twice, by the owner: no word of theirs changes it", Owner, "", url.Values{"item": {*wheel.Serial}}, http.StatusUnprocessableEntity, "is in this kit already"), "/items")
				row.HasNot = []string{"Let it in by concession"}
				return row
			}(),
			inKit(Row{Name: "half", Who: Operator, Status: http.StatusOK, Has: []string{"1 of 2 lines are in"}}, ""),
			{Name: "on its own page", Who: Desk, Path: "/items/" + *wheel.Serial, Status: http.StatusOK, Has: []string{"In kit"}},
			before(Posted("too little", Desk, "/ship", nil, http.StatusUnprocessableEntity, "lacks 2 of torque arm, M12"), func(r *Row) { r.Body = url.Values{"item": {kit}}.Encode() }),
			inKit(Posted("ticked", Operator, "", url.Values{"part": {"torque arm, M12"}, "in": {"yes"}}, http.StatusSeeOther), "/parts"),
			inKit(Row{Name: "whole", Who: Desk, Status: http.StatusOK, Has: []string{"Everything is in", "Ship it"}}, ""),
			then(Posted("a customer", Desk, "/customers/new", url.Values{"name": {"Ada Brenn"}, "address": {"Quay 4\r\n9921 Sundhavn"}, "phone": {"555 0142"}}, http.StatusSeeOther), at(&customer, "/customers/")),
			Posted("of no name", Desk, "/customers/new", url.Values{"phone": {"1"}}, http.StatusUnprocessableEntity, "This is needed"),
			Posted("not an operator’s", Operator, "/customers/new", url.Values{"name": {"x"}}, http.StatusForbidden),
			before(Row{Name: "a plain look", Who: Desk, Status: http.StatusOK, Has: []string{"Ada Brenn"}, HasNot: []string{"put right"}}, func(r *Row) { r.Path = "/customers/" + customer }),
			before(Posted("put right, and no name", Desk, "", url.Values{"phone": {"1"}}, http.StatusUnprocessableEntity, "This is needed", ": put right"), func(r *Row) { r.Path = "/customers/" + customer }),
			{Name: "found", Who: Desk, Path: "/customers?find=brenn", Status: http.StatusOK, Has: []string{"One customer is found", "555 0142"}},
			before(Row{Name: "what the order waits for, and for whom", Who: Desk, Status: http.StatusOK, Has: []string{"2 Kit 26, due", "order=4471", `data-with="4471"`}}, func(r *Row) { r.Path = "/ship?item=" + kit }),
			before(func() Row {
				row := Posted("with an order nobody knows", Desk, "/ship", nil, http.StatusUnprocessableEntity, "No open order has the number 9999.", `name="sure" value="9999"`, "Ship it with this order")
				row.HasNot = []string{"There is a problem"}
				return row
			}(), func(r *Row) { r.Body = url.Values{"item": {kit}, "order": {"9999"}}.Encode() }),
			before(Posted("with an order asked about before", Desk, "/ship", nil, http.StatusUnprocessableEntity, "No open order has the number 9998."), func(r *Row) { r.Body = url.Values{"item": {kit}, "order": {"9998"}, "sure": {"9999"}}.Encode() }),
			before(then(Posted("shipped", Desk, "/ship", nil, http.StatusSeeOther), at(&number, "/shipments/")), func(r *Row) { r.Body = url.Values{"item": {kit}, "order": {"4471"}, "customer": {customer}}.Encode() }),
			before(Row{Name: "the shipment", Who: Desk, Status: http.StatusOK, Has: []string{"Shipped on 12 May 2031", "4471", "Look the customer up", "torque arm, M12"}}, func(r *Row) { r.Path = "/shipments/" + number }),
			before(Row{Name: "the customer’s own page leads to it, and to what was in it", Who: Desk, Status: http.StatusOK, Has: []string{"<h2 class=\"gap\">Shipments</h2>"}, HasNot: []string{"<h2 class=\"gap\">Claims</h2>"}}, func(r *Row) {
				r.Path, r.Has = "/customers/"+customer, append(r.Has, "/shipments/"+number, "/items/"+kit)
			}),
			before(Row{Name: "an operator sees no customer", Who: Operator, Status: http.StatusOK, HasNot: []string{"customer"}}, func(r *Row) { r.Path = "/shipments/" + number }),
			before(Row{Name: "the paper", Who: Desk, Status: http.StatusOK, Has: []string{"%PDF-"}, Headers: map[string]string{"Content-Type": "application/pdf"}}, func(r *Row) { r.Path = "/shipments/" + number + "/packing-list" }),
			{Name: "shipped, on its page", Who: Operator, Path: "/items/" + *wheel.Serial, Status: http.StatusOK, Has: []string{"shipped on 12 May 2031 with"}},
			before(Row{Name: "the kit’s own page", Who: Operator, Status: http.StatusOK, Has: []string{"Packed", "torque arm, M12", "/items/" + *wheel.Serial, "/sources", "What went in it"}, HasNot: []string{"Nothing is recorded", "Verdicts", "certificate", "hub mark"}}, func(r *Row) { r.Path = "/items/" + kit }),
			before(Row{Name: "through all levels", Who: Operator, Status: http.StatusOK, Has: []string{"/items/" + *wheel.Serial, "went into it"}}, func(r *Row) { r.Path = "/items/" + kit + "/sources" }),
			{Name: "of the order", Who: Operator, Path: "/orders", Status: http.StatusOK, Has: []string{"2 Kit 26, 1 shipped, 1 short"}},
			before(Posted("void without a reason", Desk, "", password(url.Values{}), http.StatusUnprocessableEntity, "Say why"), func(r *Row) { r.Path = "/shipments/" + number + "/void" }),
			before(Posted("void", Desk, "", password(url.Values{"reason": {"the carrier did not come"}}), http.StatusSeeOther), func(r *Row) { r.Path = "/shipments/" + number + "/void" }),
			inKit(Row{Name: "here again", Who: Desk, Status: http.StatusOK, Has: []string{"Everything is in", "Ship it"}}, ""),
			before(Posted("taken out", Operator, "", url.Values{"reason": {"wrong box"}}, http.StatusSeeOther), func(r *Row) { r.Path = "/kits/" + kit + "/out?item=" + *wheel.Serial }),
			Posted("closed", Desk, "/orders/end?ref=4471", url.Values{"reason": {"not wanted any more"}}, http.StatusSeeOther),
			{Name: "none open", Who: Operator, Path: "/orders", Status: http.StatusOK, Has: []string{"No order is open"}},
			before(Posted("erased", Desk, "", password(url.Values{}), http.StatusSeeOther), func(r *Row) { r.Path = "/customers/" + customer + "/erase" }),
			before(Row{Name: "nobody", Who: Desk, Status: http.StatusNotFound}, func(r *Row) { r.Path = "/customers/" + customer }),
		})
	})
}
