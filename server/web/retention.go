package web

import (
	"bytes"
	"encoding/json"
	"fmt"
	"net/http"
	"slices"
	"time"

	"github.com/gin-gonic/gin"

	"tracewright/models"
	"tracewright/models/work/privacy"
	"tracewright/server/httpx"
)

// retentionPath lists the customers whose time is over.
const retentionPath = "/customers/due"

// retentionRoutes are what the shop owes its customers: not to keep them for ever,
// and to hand out what it knows.
func (s *site) retentionRoutes() []httpx.Route {
	return []httpx.Route{
		{Method: http.MethodGet, Path: retentionPath, Act: models.ActCustomers, Handler: s.dueCustomers},
		{Method: http.MethodPost, Path: retentionPath, Act: models.ActCustomers, Handler: s.eraseDue},
		{Method: http.MethodGet, Path: "/customers/:id/data.json", Act: models.ActCustomers, Handler: s.customerData},
	}
}

// DueCustomersPage lists who is kept longer than the shop wants.
type DueCustomersPage struct {
	Frame
	Answer   string
	Rule     string // how long the shop keeps customers; empty: it says nothing
	Further  bool   // there are more than are listed
	Rows     []DueCustomerRow
	Secret   *Field
	Problems Problems
}

// DueCustomerRow is one of them: days and counts, and no name.
type DueCustomerRow struct {
	ID, Path, Since, Last, Dealt string
	Ticked                       bool
}

func (s *site) dueCustomers(c *gin.Context) error { return s.showDueCustomers(c, http.StatusOK, nil) }

func (s *site) showDueCustomers(c *gin.Context, status int, problem error) error {
	due, err := s.services.Privacy.Due(c.Request.Context())
	if err != nil {
		return err
	}
	f := posted(c, problem)
	page := s.duePage(s.frame(c, "Customers whose time is over", "/customers"), due, c.PostFormArray("id"))
	if len(page.Rows) > 0 {
		page.Secret = s.secretField(c, f)
	}
	page.Problems = f.summary()
	return send(c, status, "customers_due", page)
}

// duePage ticks nobody whom somebody did not tick: what is erased is gone.
func (s *site) duePage(frame Frame, due privacy.Due, ticked []string) DueCustomersPage {
	page := DueCustomersPage{Frame: frame, Further: due.More, Answer: "No customer is kept too long"}
	if due.Months == 0 {
		page.Answer = "The shop does not say how long it keeps customers"
		return page
	}
	page.Rule = plural(due.Months, "month", "months")
	for _, d := range due.Customers {
		page.Rows = append(page.Rows, DueCustomerRow{ID: d.ID, Path: customerPath(d.ID), Since: s.day(d.EnteredAt), Last: s.day(d.LastAt),
			Dealt: dealt(d), Ticked: slices.Contains(ticked, d.ID)})
	}
	if n := len(page.Rows); n > 0 {
		page.Answer = counted(n, "customer is kept longer than you want", "customers are kept longer than you want")
	}
	return page
}

// dealt says what there was between the shop and a customer.
func dealt(d models.DueCustomer) string {
	var what []string
	for _, x := range []struct {
		n         int
		one, many string
	}{{d.Orders, "order", "orders"}, {d.Shipments, "shipment", "shipments"}, {d.Claims, "claim", "claims"}} {
		if x.n > 0 {
			what = append(what, plural(x.n, x.one, x.many))
		}
	}
	if len(what) == 0 {
		return "nothing"
	}
	return english.Join(what)
}

func (s *site) eraseDue(c *gin.Context) error {
	err, erased, ticked := s.confirm(c), 0, c.PostFormArray("id")
	if err == nil {
		erased, err = s.services.Privacy.EraseDue(c.Request.Context(), httpx.Actor(c), ticked)
	}
	if answerable(err) {
		return s.showDueCustomers(c, http.StatusUnprocessableEntity, err)
	}
	if err != nil {
		return err
	}
	if erased < len(ticked) {
		return redirect(c, retentionPath, "erased_some")
	}
	return redirect(c, retentionPath, "erased_due")
}

// customerData hands out what is known of one customer, as a file.
func (s *site) customerData(c *gin.Context) error {
	data, err := s.services.Privacy.Data(c.Request.Context(), httpx.Actor(c), c.Param("id"))
	if err != nil {
		return err
	}
	var body bytes.Buffer
	encoder := json.NewEncoder(&body)
	encoder.SetEscapeHTML(false)
	encoder.SetIndent("", "  ")
	if err := encoder.Encode(data); err != nil {
		return fmt.Errorf("write the data of a customer: %w", err)
	}
	c.Header("Cache-Control", "no-store")
	c.Header("Content-Disposition", `attachment; filename="customer-`+data.ExportedAt.In(s.zone()).Format(time.DateOnly)+`.json"`)
	httpx.Send(c, http.StatusOK, "application/json; charset=utf-8", body.Bytes())
	return nil
}
