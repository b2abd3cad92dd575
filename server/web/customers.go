package web

import (
	"fmt"
	"net/http"
	"net/url"
	"strings"

	"github.com/gin-gonic/gin"

	"tracewright/models"
	"tracewright/models/work/shipping"
	"tracewright/server/httpx"
)

// CustomersPage finds customers; it never lists them unasked.
type CustomersPage struct {
	Frame
	Answer   string
	Find     Field
	Reason   *Field
	Problems Problems
	Rows     []CustomerRow
}

// CustomerRow is a customer that was found.
type CustomerRow struct{ Name, Path, Contact string }

func customerPath(id string) string { return "/customers/" + url.PathEscape(id) }

// noNameHint stands at a text that stays with a record when its customer is erased.
const noNameHint = "It stays when the customer is erased: no names."

// urlQuery writes a text into a query.
func urlQuery(text string) string { return url.QueryEscape(text) }

// lookReason asks why a customer is looked up, nil where the shop does not.
func (s *site) lookReason(c *gin.Context, f *form) (*Field, error) {
	settings, err := s.services.Shop.Settings(c.Request.Context())
	if err != nil || !settings.LookReason {
		return nil, err
	}
	x := f.field(Field{Name: "reason", Label: "Why you look"})
	return &x, nil
}

func (s *site) customers(c *gin.Context) error {
	page := CustomersPage{Frame: s.frame(c, "Customers", "/customers"), Answer: "Find a customer"}
	f := newForm(c.Query, nil)
	status := http.StatusOK
	if c.Query("find") != "" {
		found, err := s.services.Shipping.Customers(c.Request.Context(), httpx.Actor(c), c.Query("find"), strings.TrimSpace(c.Query("reason")))
		switch {
		case answerable(err):
			f, status = newForm(c.Query, err), http.StatusUnprocessableEntity
		case err != nil:
			return err
		default:
			page.Answer = "Nobody is found"
			if len(found) > 0 {
				page.Answer = counted(len(found), "customer is found", "customers are found")
			}
			for _, x := range found {
				page.Rows = append(page.Rows, CustomerRow{x.Name, customerPath(x.ID), strings.Trim(x.Phone+", "+x.Email, ", ")})
			}
		}
	}
	page.Find = f.field(Field{Name: "find", ID: "find-customer", Label: "A part of the name, phone or e-mail", Focus: true})
	var err error
	if page.Reason, err = s.lookReason(c, f); err != nil {
		return err
	}
	page.Problems = f.summary()
	page.Problems.Nothing = "Nothing was looked up"
	return send(c, status, "customers", page)
}

// CustomerPage is one customer, to be read and put right.
type CustomerPage struct {
	Frame
	Name, ID string
	From     string // digest of what a change is made on
	Ask      *Field // why it is looked at, before anything is shown
	Fields   []Field
	Problems Problems
	Looks    []string
	Order    string
	Ship     string
	Claim    string
	Dealt    []DealtGroup
}

// DealtGroup are the orders, the shipments or the claims of a customer.
type DealtGroup struct {
	Name string
	Rows [][]Span
}

// customer shows one; each showing is a look that is recorded.
func (s *site) customer(c *gin.Context) error { return s.showCustomer(c, http.StatusOK, nil) }

func (s *site) showCustomer(c *gin.Context, status int, problem error) error {
	ctx, id := c.Request.Context(), c.Param("id")
	page := CustomerPage{Frame: s.frame(c, "Customer", "/customers"), ID: id, Order: "/orders/new?customer=" + urlQuery(id), Ship: "/ship?customer=" + urlQuery(id), Claim: "/claims/new?customer=" + urlQuery(id)}
	reason, err := s.lookReason(c, newForm(c.Query, nil))
	if err != nil {
		return err
	}
	if reason != nil && strings.TrimSpace(c.Query("reason")) == "" && problem == nil {
		page.Ask = reason
		return send(c, status, "customer", page)
	}
	why := strings.TrimSpace(c.Query("reason"))
	if problem != nil { // Shown again to whoever puts it right.
		why = firstOf(why, "put right")
	}
	found, err := s.services.Shipping.Customer(ctx, httpx.Actor(c), id, why)
	if err != nil {
		return err
	}
	if page.From, err = found.Digest(); err != nil {
		return err
	}
	f := filled(map[string]string{"name": found.Name, "address": found.Address, "email": found.Email, "phone": found.Phone, "note": found.Note})
	if problem != nil {
		f, page.From = posted(c, problem), c.PostForm("from")
	}
	page.Name, page.Fields = found.Name, customerFields(f)
	page.Problems = f.summary()
	looks, err := s.services.Shipping.Looks(ctx, id)
	if err != nil {
		return err
	}
	for _, l := range looks {
		page.Looks = append(page.Looks, s.lookWords(l))
	}
	dealt, err := s.services.Privacy.Dealings(ctx, httpx.Actor(c), id)
	if err != nil {
		return err
	}
	page.Dealt = s.dealtGroups(dealt)
	return send(c, status, "customer", page)
}

func (s *site) lookWords(l shipping.Look) string {
	text := s.minute(l.LookedAt) + ", " + l.Person
	if l.Reason != "" {
		text += ": " + l.Reason
	}
	return text
}

func firstOf(texts ...string) string {
	for _, t := range texts {
		if t != "" {
			return t
		}
	}
	return ""
}

func customerFields(f *form) []Field {
	return []Field{
		f.field(Field{Name: "name", Label: "Name", Width: "w8"}),
		f.field(Field{Name: "address", Label: "Address", Kind: "text area", Optional: true}),
		f.field(Field{Name: "email", Label: "E-mail", Kind: "email", Width: "w6", Optional: true}),
		f.field(Field{Name: "phone", Label: "Phone", Kind: "tel", Width: "w6", Optional: true}),
		f.field(Field{Name: "note", Label: "Note", Kind: "text area", Optional: true}),
	}
}

func customerIn(c *gin.Context) models.Customer {
	return models.Customer{ID: c.Param("id"), Name: c.PostForm("name"), Address: c.PostForm("address"), Email: c.PostForm("email"), Phone: c.PostForm("phone"), Note: c.PostForm("note")}
}

func (s *site) newCustomer(c *gin.Context) error { return s.showNewCustomer(c, http.StatusOK, nil) }

func (s *site) showNewCustomer(c *gin.Context, status int, problem error) error {
	f := posted(c, problem)
	page := ReceiveForm{Frame: s.frame(c, "Add a customer", "/customers"), Title: "Add a customer", Says: "Kept apart from everything else, so that it can be erased. Who looks at it is written down.", Path: "/customers/new", Back: "/customers", Button: "Add", Fields: customerFields(f)}
	page.Problems = f.summary()
	return send(c, status, "receive", page)
}

func (s *site) addCustomer(c *gin.Context) error {
	added, err := s.services.Shipping.AddCustomer(c.Request.Context(), httpx.Actor(c), customerIn(c))
	if answerable(err) {
		return s.showNewCustomer(c, http.StatusUnprocessableEntity, err)
	}
	if err != nil {
		return err
	}
	return redirectWith(c, customerPath(added.ID), url.Values{"reason": {"added"}, "done": {"customer"}})
}

func (s *site) changeCustomer(c *gin.Context) error {
	_, err := s.services.Shipping.ChangeCustomer(c.Request.Context(), httpx.Actor(c), c.PostForm("from"), customerIn(c))
	if answerable(err) {
		return s.showCustomer(c, http.StatusUnprocessableEntity, err)
	}
	if err != nil {
		return err
	}
	return redirectWith(c, customerPath(c.Param("id")), url.Values{"reason": {"put right"}, "done": {"changed"}})
}

func (s *site) eraseCustomerPage(c *gin.Context) error {
	return s.showEraseCustomer(c, http.StatusOK, nil)
}

func (s *site) showEraseCustomer(c *gin.Context, status int, problem error) error {
	f, path := posted(c, problem), customerPath(c.Param("id"))
	who, err := s.services.Shipping.Customer(c.Request.Context(), httpx.Actor(c), c.Param("id"), "to be erased")
	if err != nil {
		return err
	}
	open, err := s.services.Privacy.Open(c.Request.Context(), c.Param("id"))
	if err != nil {
		return err
	}
	page := ConfirmPage{Frame: s.frame(c, "Erase a customer", "/customers"), Title: "Erase " + who.Name + " for good", Button: "Erase", Path: path + "/erase", Back: path,
		Says: append(openSays(open), "Name, address, e-mail, phone, note and the reasons given at looks go, with the words and photos of claims that were opened for this customer. Orders, shipments and claims stay, without a name. It cannot be undone.",
			"A claim that names an item alone is not known to be theirs: its words and photos stay until they are erased at the claim.",
			"Backups from before still hold them, for up to a year, until they are let go; after one is put back, erase again.")}
	page.Secret = s.secretField(c, f)
	page.Problems = f.summary()
	return send(c, status, "confirm", page)
}

// openSays says what is open with a customer who is to be erased: nobody would know any
// more whom to send it to, or whom to tell.
func openSays(open models.OpenDealings) []string {
	var says []string
	for _, x := range []struct {
		names           []string
		one, many, then string
	}{
		{open.Orders, "Order", "Orders", "nobody here will know whom it is for."},
		{open.Claims, "Claim", "Claims", "nobody here will know whom to answer."},
		{open.Recalls, "Recall", "Recalls", "nobody here will know that this customer is to be told."},
	} {
		what, are := x.many, "are"
		if len(x.names) == 1 {
			what, are = x.one, "is"
		}
		if len(x.names) > 0 {
			says = append(says, fmt.Sprintf("%s %s %s open. Once the customer is erased, %s", what, english.Join(x.names), are, x.then))
		}
	}
	return says
}

// erased says of customers that records name which of them are not kept any more: a
// link to one would lead nowhere.
func (s *site) erased(c *gin.Context, ids ...string) (map[string]bool, error) {
	gone := map[string]bool{}
	list, err := s.services.Shipping.Erased(c.Request.Context(), ids)
	for _, id := range list {
		gone[id] = true
	}
	return gone, err
}

func (s *site) eraseCustomer(c *gin.Context) error {
	err := s.confirm(c)
	if err == nil {
		_, err = s.services.Shipping.EraseCustomer(c.Request.Context(), httpx.Actor(c), c.Param("id"))
	}
	if answerable(err) {
		return s.showEraseCustomer(c, http.StatusUnprocessableEntity, err)
	}
	if err != nil {
		return err
	}
	return redirect(c, "/customers", "erased")
}
