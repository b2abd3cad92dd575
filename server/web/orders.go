package web

import (
	"errors"
	"fmt"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"

	"github.com/gin-gonic/gin"

	"tracewright/models"
	"tracewright/models/words"
	"tracewright/models/work/shipping"
	"tracewright/server/httpx"
)

// OrdersPage says what is ordered, when it is due and what of it is short.
type OrdersPage struct {
	Frame
	Answer string
	Rows   []OrderRow
}

// OrderRow is one open order.
type OrderRow struct {
	Ref, Due string
	Mark     Mark
	Lines    []string
	Ship     string
	End      string
}

// orderPath is where an open order stands among the others.
func orderPath(ref string) string { return "/orders#order-" + url.PathEscape(ref) }

func (s *site) orders(c *gin.Context) error {
	orders, err := s.services.Shipping.Orders(c.Request.Context())
	if err != nil {
		return err
	}
	return show(c, "orders", ordersPage(s.frame(c, "Orders", "/orders"), orders))
}

func ordersPage(frame Frame, orders []shipping.OrderView) OrdersPage {
	page := OrdersPage{Frame: frame, Answer: "No order is open"}
	short, shipped := 0, 0
	for _, o := range orders {
		row := OrderRow{Ref: o.Ref, Due: "no day named", Mark: Mark{"tick", "Ready", "pass"}, End: "/orders/end?ref=" + urlQuery(o.Ref)}
		if o.DueOn != "" {
			row.Due = words.Date(o.DueOn)
		}
		left := 0
		for _, l := range o.Lines {
			text := fmt.Sprintf("%d %s", l.Quantity, l.Name)
			if l.Shipped > 0 {
				text += fmt.Sprintf(", %d shipped", l.Shipped)
			}
			if l.Ready > 0 {
				text += fmt.Sprintf(", %d ready", l.Ready)
			}
			if l.Short > 0 {
				text += fmt.Sprintf(", %d short", l.Short)
			}
			left += l.Quantity - l.Shipped
			row.Lines = append(row.Lines, text)
		}
		switch {
		case left == 0:
			row.Mark = Mark{"tick", "All shipped", "pass"}
			shipped++
		case o.Late:
			row.Mark = Mark{"clock", "Late", "care"}
		case o.Short:
			row.Mark = Mark{"ring", "Short", "none"}
		}
		if o.Short {
			short++
		}
		if left > 0 && frame.Actor.May(models.ActShip) {
			row.Ship = "/ship?order=" + urlQuery(o.Ref)
		}
		page.Rows = append(page.Rows, row)
	}
	if n := len(orders) - shipped; n > 0 {
		page.Answer = counted(n, "order is open", "orders are open")
		if short > 0 {
			page.Answer += ", " + strings.ToLower(counted(short, "lacks something", "lack something"))
		}
	}
	if shipped > 0 { // Only a person closes one: something may be added to it.
		page.Answer += "; " + strings.ToLower(counted(shipped, "is all shipped, and can be closed", "are all shipped, and can be closed"))
	}
	return page
}

// orderLines is how many products an order's form asks for.
const orderLines = 5

func (s *site) newOrder(c *gin.Context) error { return s.showNewOrder(c, http.StatusOK, nil) }

func (s *site) showNewOrder(c *gin.Context, status int, problem error) error {
	f := posted(c, problem)
	if problem == nil {
		f = filled(map[string]string{"customer": c.Query("customer")})
	}
	list := []Choice{{"", "none"}}
	for _, kind := range []string{models.KindKit, models.KindWheel, models.KindPack} {
		products, err := s.productsOf(c.Request.Context(), kind)
		if err != nil {
			return err
		}
		for _, p := range products {
			list = append(list, Choice{p.ID, p.Name})
		}
	}
	page := ReceiveForm{Frame: s.frame(c, "Enter an order", "/orders"), Title: "Enter an order", Path: "/orders/new", Back: "/orders", Button: "Enter it", Fields: []Field{
		f.field(Field{Name: "ref", Label: "Reference", Mono: true, Width: "w6", Focus: true, Hint: "As it stands on the order."}),
		f.field(Field{Name: "due_on", Label: "Due on", Kind: "date", Width: "w6", Optional: true}),
	}}
	if f.value("customer") != "" && page.Actor.May(models.ActCustomers) {
		page.Hidden = []Choice{{"customer", f.value("customer")}}
		page.Says = "For the customer chosen."
	}
	for i := range orderLines {
		p := fmt.Sprintf("lines[%d].", i)
		what := Field{Name: p + "product", Label: "What", Kind: "select", Width: "w8", Choices: list, Optional: i > 0}
		many := Field{Name: p + "quantity", Label: "How many", Mode: "numeric", Width: "w4", Optional: i > 0}
		if i == 0 && f.value(many.Name) == "" {
			many.Value = "1"
		}
		page.Fields = append(page.Fields, f.field(what), f.field(many))
	}
	page.Problems = f.summary()
	return send(c, status, "receive", page)
}

func (s *site) addOrder(c *gin.Context) error {
	text := func(name string) string { return strings.TrimSpace(c.PostForm(name)) }
	actor, o := httpx.Actor(c), models.Order{Ref: text("ref"), DueOn: text("due_on")}
	if actor.May(models.ActCustomers) {
		o.Customer = text("customer")
	}
	var rows []int
	for i := range orderLines {
		p := fmt.Sprintf("lines[%d].", i)
		if product := text(p + "product"); product != "" {
			n, err := strconv.Atoi(text(p + "quantity"))
			if err != nil && text(p+"quantity") == "" {
				n = 1
			}
			o.Lines, rows = append(o.Lines, models.OrderLine{Product: product, Quantity: n}), append(rows, i)
		}
	}
	_, err := s.services.Shipping.AddOrder(c.Request.Context(), actor, o)
	err = atFirstLine(asTyped(err, "lines", rows))
	if answerable(err) {
		return s.showNewOrder(c, http.StatusUnprocessableEntity, err)
	}
	if err != nil {
		return err
	}
	return redirect(c, "/orders", "order")
}

// atFirstLine puts what is wrong with all lines together beside the first of them.
func atFirstLine(err error) error {
	var invalid *models.InvalidError
	if !errors.As(err, &invalid) {
		return err
	}
	out := &models.InvalidError{Problems: slices.Clone(invalid.Problems)}
	for i := range out.Problems {
		if out.Problems[i].Field == "lines" {
			out.Problems[i].Field = "lines[0].product"
		}
	}
	return out
}

func (s *site) endOrderPage(c *gin.Context) error { return s.showEndOrder(c, http.StatusOK, nil) }

func (s *site) showEndOrder(c *gin.Context, status int, problem error) error {
	ref, f := c.Query("ref"), posted(c, problem)
	page := ConfirmPage{Frame: s.frame(c, "Close an order", "/orders"), About: ref, Mono: true, Title: "Close the order", Button: "Close it", Path: "/orders/end?ref=" + urlQuery(ref), Back: "/orders",
		Says: []string{"Nobody waits for the rest of it any more."}, Fields: []Field{f.field(Field{Name: "reason", Label: "Why", Focus: true, Hint: noNameHint})}}
	page.Problems = f.summary()
	return send(c, status, "confirm", page)
}

func (s *site) endOrder(c *gin.Context) error {
	err := s.services.Shipping.EndOrder(c.Request.Context(), httpx.Actor(c), c.Query("ref"), strings.TrimSpace(c.PostForm("reason")))
	if answerable(err) {
		return s.showEndOrder(c, http.StatusUnprocessableEntity, err)
	}
	if err != nil {
		return err
	}
	return redirect(c, "/orders", "changed")
}
