package api

import (
	"net/http"

	"github.com/gin-gonic/gin"

	"tracewright/models"
	"tracewright/server/httpx"
)

// customerShape is a person or firm that something goes to.
type customerShape struct {
	ID      string `json:"id"`
	Name    string `json:"name"`
	Address string `json:"address,omitempty"`
	Email   string `json:"email,omitempty"`
	Phone   string `json:"phone,omitempty"`
	Note    string `json:"note,omitempty"`
	Digest  string `json:"digest,omitempty"` // of what stands, which a change is made on; not in a list
}

// oneCustomer is a customer with the digest that a change of them is made on.
func oneCustomer(c models.Customer) (customerShape, error) {
	shape := customerOf(c)
	var err error
	shape.Digest, err = c.Digest()
	return shape, err
}

func customerOf(c models.Customer) customerShape {
	return customerShape{ID: c.ID, Name: c.Name, Address: c.Address, Email: c.Email, Phone: c.Phone, Note: c.Note}
}

// customerFields is a customer as it is sent.
type customerFields struct {
	Name    string `json:"name"`
	Address string `json:"address"`
	Email   string `json:"email"`
	Phone   string `json:"phone"`
	Note    string `json:"note"`
}

func (f customerFields) customer(id string) models.Customer {
	return models.Customer{ID: id, Name: f.Name, Address: f.Address, Email: f.Email, Phone: f.Phone, Note: f.Note}
}

// customers finds some by a part of their name, phone or e-mail; each one found
// counts as looked up.
func (a *api) customers(c *gin.Context) error {
	q := query(c)
	found, err := a.services.Shipping.Customers(c.Request.Context(), httpx.Actor(c), q["find"], q["reason"])
	if err != nil {
		return err
	}
	shapes := make([]customerShape, len(found))
	for i, x := range found {
		shapes[i] = customerOf(x)
	}
	return answer(c, http.StatusOK, gin.H{"customers": shapes})
}

func (a *api) addCustomer(c *gin.Context) error {
	var in struct {
		ID string `json:"id"` // left out: made here
		customerFields
	}
	if err := httpx.DecodeJSON(c, &in); err != nil {
		return err
	}
	added, err := a.services.Shipping.AddCustomer(c.Request.Context(), httpx.Actor(c), in.customer(in.ID))
	if err != nil {
		return err
	}
	shape, err := oneCustomer(added)
	if err != nil {
		return err
	}
	return created(c, "/customers/"+added.ID, shape)
}

// lookShape says who looked a customer up.
type lookShape struct {
	Person   string  `json:"person"` // name
	Reason   string  `json:"reason,omitempty"`
	LookedAt instant `json:"looked_at"`
}

// customer gives one with who looked; this look is the newest of them.
func (a *api) customer(c *gin.Context) error {
	q := query(c)
	ctx := c.Request.Context()
	found, err := a.services.Shipping.Customer(ctx, httpx.Actor(c), c.Param("id"), q["reason"])
	if err != nil {
		return err
	}
	shape, err := oneCustomer(found)
	if err != nil {
		return err
	}
	list, err := a.services.Shipping.Looks(ctx, found.ID)
	if err != nil {
		return err
	}
	looks := make([]lookShape, len(list))
	for i, l := range list {
		looks[i] = lookShape{l.Person, l.Reason, instant(l.LookedAt)}
	}
	return answer(c, http.StatusOK, gin.H{"customer": shape, "looks": looks})
}

// changeCustomer writes a customer anew, whole, on the digest of what stood.
func (a *api) changeCustomer(c *gin.Context) error {
	var in struct {
		customerFields
		From string `json:"from"`
	}
	if err := httpx.DecodeJSON(c, &in); err != nil {
		return err
	}
	changed, err := a.services.Shipping.ChangeCustomer(c.Request.Context(), httpx.Actor(c), in.From, in.customer(c.Param("id")))
	if err != nil {
		return err
	}
	shape, err := oneCustomer(changed)
	if err != nil {
		return err
	}
	return answer(c, http.StatusOK, shape)
}

// eraseCustomer removes one for good.
func (a *api) eraseCustomer(c *gin.Context) error {
	if err := a.confirmed(c); err != nil {
		return err
	}
	erased, err := a.services.Shipping.EraseCustomer(c.Request.Context(), httpx.Actor(c), c.Param("id"))
	if err != nil {
		return err
	}
	return answer(c, http.StatusOK, gin.H{"id": c.Param("id"), "erased_at": instant(erased)})
}
