package api

import (
	"context"
	"net/http"
	"time"

	"github.com/gin-gonic/gin"

	"tracewright/models"
	"tracewright/models/work/claims"
	"tracewright/models/work/documents"
	"tracewright/server/httpx"
)

// mostClaims is how many a list holds of those that wait, and of those that are
// closed.
const mostClaims = 200

// claimLine is a claim in a list.
type claimLine struct {
	Number   string    `json:"number"`
	State    string    `json:"state"` // open, decided, closed
	Kind     string    `json:"kind"`
	Item     *itemLine `json:"item,omitempty"` // left out for one that the log does not know, or not yet
	Product  string    `json:"product,omitempty"`
	Motor    string    `json:"motor,omitempty"`
	Order    string    `json:"order,omitempty"`
	Code     string    `json:"code,omitempty"`
	Decision string    `json:"decision,omitempty"`
	OpenedBy string    `json:"opened_by"` // name
	OpenedAt instant   `json:"opened_at"`
}

func (a *api) claimLine(ctx context.Context, v models.ClaimView, items map[string]models.Item, names map[string]string) (claimLine, error) {
	line := claimLine{Number: v.Number, State: v.State, Kind: v.Kind, Product: v.Product, Motor: v.MotorNumber, Order: v.OrderRef, OpenedBy: named(names, v.OpenedBy), OpenedAt: instant(v.OpenedAt)}
	if e := v.Last(models.ClaimCoded); e != nil {
		line.Code = e.Code
	}
	if e := v.Last(models.ClaimAnswered); e != nil {
		line.Decision = e.Decision
	}
	if v.ItemID == nil {
		return line, nil
	}
	item, err := a.itemLine(ctx, items[*v.ItemID])
	line.Item = &item
	return line, err
}

// claims lists those that wait and the last ones that are closed; or those on an
// item; or those that name a motor or an order.
func (a *api) claims(c *gin.Context) error {
	q := query(c)
	ctx := c.Request.Context()
	list, err := a.claimsAsked(ctx, q["item"], q["find"])
	if err != nil {
		return err
	}
	names, err := a.names(ctx)
	if err != nil {
		return err
	}
	var ids []string
	for _, v := range list {
		if v.ItemID != nil {
			ids = append(ids, *v.ItemID)
		}
	}
	items, err := a.services.Trace.Named(ctx, ids)
	if err != nil {
		return err
	}
	lines := make([]claimLine, len(list))
	for i, v := range list {
		if lines[i], err = a.claimLine(ctx, v, items, names); err != nil {
			return err
		}
	}
	return answer(c, http.StatusOK, gin.H{"claims": lines})
}

func (a *api) claimsAsked(ctx context.Context, item, find string) ([]models.ClaimView, error) {
	switch {
	case item != "" && find != "":
		return nil, models.Invalid("find", "one_question")
	case find != "":
		return a.services.Claims.Naming(ctx, find, mostClaims)
	case item == "":
		return a.services.Claims.Listed(ctx, mostClaims)
	}
	found, err := a.services.Trace.One(ctx, item)
	if err != nil {
		return nil, err
	}
	return a.services.Claims.Of(ctx, found.ID)
}

// claimShape is a claim with what became of it.
type claimShape struct {
	claimLine
	Words    *string          `json:"words,omitempty"` // left out once they were erased
	Customer string           `json:"customer,omitempty"`
	Warranty *warrantyShape   `json:"warranty,omitempty"` // left out where the item never left
	Events   []claimEventLine `json:"events"`             // the oldest first
	Photos   []paperShape     `json:"photos"`
}

// warrantyShape is judged by the day the claim was opened.
type warrantyShape struct {
	ShippedAt instant `json:"shipped_at"`
	Until     string  `json:"until"` // its last day
	InTime    bool    `json:"in_time"`
}

// claimEventLine is one thing that became of a claim; each kind fills its own
// fields.
type claimEventLine struct {
	ID       string        `json:"id"`
	What     string        `json:"what"`
	ItemID   string        `json:"item_id,omitempty"`
	CameOn   string        `json:"came_on,omitempty"`
	HoldID   string        `json:"hold_id,omitempty"`
	Spot     string        `json:"spot,omitempty"`
	Symptom  string        `json:"symptom,omitempty"`
	List     *int          `json:"check_list,omitempty"` // revision that was asked
	Answers  []claimAnswer `json:"answers,omitempty"`
	Code     string        `json:"code,omitempty"`
	Name     string        `json:"name,omitempty"` // of the code
	Decision string        `json:"decision,omitempty"`
	Reason   string        `json:"reason,omitempty"`
	Amount   string        `json:"amount,omitempty"`
	Currency string        `json:"currency,omitempty"`
	Removal  string        `json:"removal,omitempty"`
	MadeBy   string        `json:"made_by"` // name
	MadeAt   instant       `json:"made_at"`
}

type claimAnswer struct {
	Question string `json:"question"`
	Yes      bool   `json:"yes"`
}

func (a *api) claimEventOf(e models.ClaimEvent, names map[string]string) claimEventLine {
	line := claimEventLine{ID: e.ID, What: e.What, ItemID: pointed(e.ItemID), CameOn: e.CameOn, HoldID: pointed(e.HoldID), Spot: e.Spot, Symptom: e.Symptom, Code: e.Code, Decision: e.Decision, Reason: e.Reason,
		Amount: e.Amount, Currency: e.Currency, Removal: pointed(e.RemovalID), MadeBy: named(names, e.MadeBy), MadeAt: instant(e.MadeAt)}
	if e.Code != "" {
		line.Name = a.services.Fault(context.Background(), e.Code, e.MadeAt)
	}
	if e.Symptom != "" {
		line.List = &e.CheckList
	}
	for _, x := range e.Answers {
		line.Answers = append(line.Answers, claimAnswer(x))
	}
	return line
}

func (a *api) claimOf(ctx context.Context, v models.ClaimView, customers bool) (claimShape, error) {
	names, err := a.names(ctx)
	if err != nil {
		return claimShape{}, err
	}
	out := claimShape{Events: make([]claimEventLine, len(v.Events))}
	items := map[string]models.Item{}
	if v.ItemID != nil {
		if items, err = a.services.Trace.Named(ctx, []string{*v.ItemID}); err != nil {
			return claimShape{}, err
		}
		in, err := a.services.Claims.InService(ctx, *v.ItemID, v.OpenedAt)
		if err != nil {
			return claimShape{}, err
		}
		if !in.Shipped.IsZero() {
			out.Warranty = &warrantyShape{instant(in.Shipped), in.Until.Format(time.DateOnly), in.Runs}
		}
	}
	if out.claimLine, err = a.claimLine(ctx, v, items, names); err != nil {
		return claimShape{}, err
	}
	if v.Words != nil {
		out.Words = &v.Words.Words
	}
	if customers {
		out.Customer = v.Customer
	}
	for i, e := range v.Events {
		out.Events[i] = a.claimEventOf(e, names)
	}
	photos, err := a.services.Documents.Of(ctx, models.SubjectClaim, v.ID)
	out.Photos = paperShapes(photos, names)
	return out, err
}

func (a *api) claim(c *gin.Context) error { return a.changedClaim(c, http.StatusOK, nil) }

// changedClaim answers a change of a claim with the whole of it.
func (a *api) changedClaim(c *gin.Context, status int, err error) error {
	if err != nil {
		return err
	}
	ctx := c.Request.Context()
	v, err := a.services.Claims.Claim(ctx, c.Param("number"))
	if err != nil {
		return err
	}
	shape, err := a.claimOf(ctx, v, httpx.Actor(c).May(models.ActCustomers))
	if err != nil {
		return err
	}
	return answer(c, status, shape)
}

func (a *api) openClaim(c *gin.Context) error {
	var in struct {
		ID       string `json:"id"`   // left out: made here
		Item     string `json:"item"` // serial or id; left out for one that the log does not know
		Kind     string `json:"kind"` // where no item is named
		Product  string `json:"product"`
		Motor    string `json:"motor"`
		Order    string `json:"order"`
		Customer string `json:"customer"` // key; of who may see customers
		Words    string `json:"words"`
		CameOn   string `json:"came_on"`
	}
	if err := httpx.DecodeJSON(c, &in); err != nil {
		return err
	}
	ctx, actor := c.Request.Context(), httpx.Actor(c)
	if !actor.May(models.ActCustomers) {
		in.Customer = ""
	}
	v, err := a.services.Claims.Open(ctx, actor, claims.Opening{ID: in.ID, Item: in.Item, Kind: in.Kind, Product: in.Product, Motor: in.Motor, Order: in.Order, Customer: in.Customer, Words: in.Words, CameOn: in.CameOn})
	if err != nil {
		return err
	}
	shape, err := a.claimOf(ctx, v, actor.May(models.ActCustomers))
	if err != nil {
		return err
	}
	return created(c, "/claims/"+v.Number, shape)
}

// addToClaim adds what is new; what stands already adds nothing.
func (a *api) addToClaim(c *gin.Context) error {
	var in struct {
		From     *string  `json:"from"` // left out: added to whatever stands
		Item     string   `json:"item"`
		Moved    string   `json:"moved"`
		CameOn   string   `json:"came_on"`
		Spot     string   `json:"spot"`
		Symptom  string   `json:"symptom"`
		List     *int     `json:"check_list"` // left out: the newest
		Yes      []string `json:"yes"`
		Code     string   `json:"code"`
		Decision string   `json:"decision"`
		Reason   string   `json:"reason"`
		Amount   string   `json:"amount"`
		Currency string   `json:"currency"`
		Removal  string   `json:"removal"`
		Close    bool     `json:"close"`
	}
	if err := httpx.DecodeJSON(c, &in); err != nil {
		return err
	}
	return a.changedClaim(c, http.StatusOK, a.services.Claims.Add(c.Request.Context(), httpx.Actor(c), c.Param("number"), claims.Added{From: in.From, Item: in.Item, Moved: in.Moved, CameOn: in.CameOn, Spot: in.Spot, Symptom: in.Symptom, List: in.List, Yes: in.Yes, Code: in.Code,
		Decision: in.Decision, Reason: in.Reason, Amount: in.Amount, Currency: in.Currency, Removal: in.Removal, Close: in.Close}))
}

// addClaimPhoto keeps the bytes of the body, whatever type they say they are.
func (a *api) addClaimPhoto(c *gin.Context) error {
	v, err := a.services.Claims.Claim(c.Request.Context(), c.Param("number"))
	if err != nil {
		return err
	}
	q := query(c)
	return a.changedClaim(c, http.StatusCreated, a.keepPaper(c, models.SubjectClaim, v.ID, q))
}

// keepPaper reads a file out of the body and keeps it with a record.
func (a *api) keepPaper(c *gin.Context, kind, subject string, q map[string]string) error {
	file, err := httpx.ReadFile(c, documents.MostBytes)
	switch {
	case err != nil:
		return err
	case file.TooLarge:
		return documents.TooLarge()
	}
	return a.services.Documents.Add(c.Request.Context(), httpx.Actor(c), kind, subject, documents.Sent{Name: q["name"], Note: q["note"], Bytes: file.Bytes})
}

// eraseClaimPhoto removes a photo for good.
func (a *api) eraseClaimPhoto(c *gin.Context) error {
	if err := a.confirmed(c); err != nil {
		return err
	}
	ctx := c.Request.Context()
	v, err := a.services.Claims.Claim(ctx, c.Param("number"))
	if err != nil {
		return err
	}
	return a.changedClaim(c, http.StatusOK, a.services.Documents.Erase(ctx, httpx.Actor(c), models.SubjectClaim, v.ID, c.Param("photo")))
}

// eraseClaimWords removes what the customer said for good.
func (a *api) eraseClaimWords(c *gin.Context) error {
	if err := a.confirmed(c); err != nil {
		return err
	}
	return a.changedClaim(c, http.StatusOK, a.services.Claims.EraseWords(c.Request.Context(), httpx.Actor(c), c.Param("number")))
}
