package api

import (
	"context"
	"net/http"

	"github.com/gin-gonic/gin"

	"tracewright/models"
	"tracewright/models/work/access"
	"tracewright/models/work/recall"
	"tracewright/server/httpx"
)

// recallLine is a recall in a list.
type recallLine struct {
	Number string           `json:"number"`
	Scope  recallScopeShape `json:"scope"`
	Reason string           `json:"reason"`
	Wanted string           `json:"wanted,omitempty"`
	MadeBy string           `json:"made_by"` // name
	MadeAt instant          `json:"made_at"`
	Count  recallCount      `json:"count"`
	End    *recallEndShape  `json:"end,omitempty"`
}

// recallScopeShape says what a recall is about, as people name it.
type recallScopeShape struct {
	Lot        string   `json:"lot,omitempty"`
	Part       string   `json:"part,omitempty"`
	Instrument string   `json:"instrument,omitempty"`
	Trace      string   `json:"trace,omitempty"` // of the instrument
	Place      string   `json:"place,omitempty"`
	Person     string   `json:"person,omitempty"` // name
	From       *instant `json:"from,omitempty"`
	To         *instant `json:"to,omitempty"`
}

// recallCount splits the newest answer, and says how far it has come with those
// that were shipped.
type recallCount struct {
	Shipped  int `json:"shipped"`
	Here     int `json:"here"`
	Scrapped int `json:"scrapped"`
	Called   int `json:"called"`
	Notified int `json:"notified"`
	Answered int `json:"answered"`
}

type recallEndShape struct {
	Reason  string  `json:"reason"`
	EndedBy string  `json:"ended_by"` // name
	EndedAt instant `json:"ended_at"`
}

func recallScopeOf(s models.RecallScope, about, by string) recallScopeShape {
	var out recallScopeShape
	switch {
	case s.Lot != "":
		out.Lot = about
	case s.Part != "":
		out.Part = about
	case s.Instrument != "":
		out.Instrument, out.Trace = about, s.Trace
	default:
		out.Place, out.Person = about, by
	}
	if !s.From.IsZero() {
		at := instant(s.From)
		out.From = &at
	}
	if !s.To.IsZero() {
		at := instant(s.To)
		out.To = &at
	}
	return out
}

func recallLineOf(v recall.View, names map[string]string) recallLine {
	line := recallLine{Number: v.Number, Scope: recallScopeOf(v.Scope, v.About, v.By), Reason: v.Reason, Wanted: v.Wanted, MadeBy: named(names, v.MadeBy), MadeAt: instant(v.MadeAt),
		Count: recallCount{v.Shipped, v.Here, v.Scrapped, v.Called, v.Notified, v.Answered}}
	if v.End != nil {
		line.End = &recallEndShape{v.End.Reason, named(names, v.End.EndedBy), instant(v.End.EndedAt)}
	}
	return line
}

func (a *api) recalls(c *gin.Context) error {
	ctx := c.Request.Context()
	list, err := a.services.Recall.Recalls(ctx)
	if err != nil {
		return err
	}
	names, err := a.names(ctx)
	if err != nil {
		return err
	}
	lines := make([]recallLine, len(list))
	for i, v := range list {
		lines[i] = recallLineOf(v, names)
	}
	return answer(c, http.StatusOK, gin.H{"recalls": lines})
}

// sentScope is what is asked about, as it is sent; days are the shop's.
type sentScope struct {
	Lot        string `json:"lot"`
	Part       string `json:"part"`
	Instrument string `json:"instrument"`
	Trace      string `json:"trace"` // key of a reverse trace
	Place      string `json:"place"`
	Person     string `json:"person"` // name, or key
	From       string `json:"from"`
	To         string `json:"to"`
}

func (in sentScope) ask() recall.Ask {
	return recall.Ask{Lot: in.Lot, Part: in.Part, Instrument: in.Instrument, Trace: in.Trace, Place: in.Place, Person: in.Person, FromDay: in.From, ToDay: in.To}
}

// recallItemShape is one item that is called back.
type recallItemShape struct {
	Item     itemLine           `json:"item"`
	Where    string             `json:"where"`
	Possibly bool               `json:"possibly"` // it holds pieces of a bin that the lot was mixed into
	Shipment *recallShipment    `json:"shipment,omitempty"`
	Response *recallAnswerShape `json:"response,omitempty"` // the newest
}

type recallShipment struct {
	Number    string  `json:"number"`
	Order     string  `json:"order,omitempty"`
	ShippedAt instant `json:"shipped_at"`
}

type recallAnswerShape struct {
	ID          string  `json:"id"`
	Response    string  `json:"response"`
	RespondedBy string  `json:"responded_by"` // name
	RespondedAt instant `json:"responded_at"`
}

// previewRecall finds what a scope reaches and changes nothing.
func (a *api) previewRecall(c *gin.Context) error {
	var in sentScope
	if err := httpx.DecodeJSON(c, &in); err != nil {
		return err
	}
	ctx := c.Request.Context()
	found, err := a.services.Recall.Preview(ctx, in.ask())
	if err != nil {
		return err
	}
	ids := make([]string, len(found.Items))
	for i, x := range found.Items {
		ids[i] = x.Item
	}
	items, err := a.services.Trace.Named(ctx, ids)
	if err != nil {
		return err
	}
	shapes := make([]recallItemShape, len(found.Items))
	for i, x := range found.Items {
		line, err := a.itemLine(ctx, items[x.Item])
		if err != nil {
			return err
		}
		shapes[i] = recallItemShape{Item: line, Where: x.Where, Possibly: x.Possibly}
	}
	return answer(c, http.StatusOK, gin.H{"scope": recallScopeOf(found.Scope, found.About, found.By), "shipped": found.Shipped, "here": found.Here, "scrapped": found.Scrapped, "items": shapes})
}

func (a *api) makeRecall(c *gin.Context) error {
	var in struct {
		ID string `json:"id"` // left out: made here
		sentScope
		Reason  string        `json:"reason"`
		Wanted  string        `json:"wanted"`
		Confirm access.Secret `json:"confirm"`
	}
	if err := httpx.DecodeJSON(c, &in); err != nil {
		return err
	}
	if err := a.services.Sessions.Confirm(c, in.Confirm); err != nil {
		return err
	}
	ctx := c.Request.Context()
	r, err := a.services.Recall.Make(ctx, httpx.Actor(c), recall.NewRecall{ID: in.ID, Ask: in.ask(), Reason: in.Reason, Wanted: in.Wanted})
	if err != nil {
		return err
	}
	shape, err := a.recallOf(ctx, r.Number)
	if err != nil {
		return err
	}
	return created(c, "/recalls/"+r.Number, shape)
}

// recallShape is a recall with its items as they are now.
type recallShape struct {
	recallLine
	Runs  []recallRunShape  `json:"runs"` // the oldest first
	Items []recallItemShape `json:"items"`
	New   []itemLine        `json:"new"`  // since the run before
	Gone  []itemLine        `json:"gone"` // no longer reached
}

type recallRunShape struct {
	ID    string  `json:"id"`
	N     int     `json:"n"`
	Found int     `json:"found"`
	RunBy string  `json:"run_by"` // name
	RunAt instant `json:"run_at"`
}

func (a *api) recallOf(ctx context.Context, number string) (recallShape, error) {
	v, err := a.services.Recall.Recall(ctx, number)
	if err != nil {
		return recallShape{}, err
	}
	out := recallShape{recallLine: recallLineOf(v, v.People), Runs: make([]recallRunShape, len(v.Runs)), Items: make([]recallItemShape, len(v.Rows))}
	for i, r := range v.Runs {
		out.Runs[i] = recallRunShape{r.ID, r.N, len(r.Items), named(v.People, r.RunBy), instant(r.RunAt)}
	}
	for i, r := range v.Rows {
		line, err := a.itemLine(ctx, r.Of)
		if err != nil {
			return recallShape{}, err
		}
		shape := recallItemShape{Item: line, Where: r.Where, Possibly: r.Possibly}
		if r.Shipment != nil {
			shape.Shipment = &recallShipment{r.Shipment.Number, r.Shipment.OrderRef, instant(r.Shipment.ShippedAt)}
		}
		if r.Response != nil {
			shape.Response = &recallAnswerShape{r.Response.ID, r.Response.Response, named(v.People, r.Response.RespondedBy), instant(r.Response.RespondedAt)}
		}
		out.Items[i] = shape
	}
	if out.New, err = a.itemLines(ctx, v.New); err != nil {
		return recallShape{}, err
	}
	out.Gone, err = a.itemLines(ctx, v.Gone)
	return out, err
}

func (a *api) recall(c *gin.Context) error {
	return a.changedRecall(c, http.StatusOK, nil)
}

// changedRecall answers a change of a recall with the whole of it.
func (a *api) changedRecall(c *gin.Context, status int, err error) error {
	if err != nil {
		return err
	}
	shape, err := a.recallOf(c.Request.Context(), c.Param("number"))
	if err != nil {
		return err
	}
	return answer(c, status, shape)
}

// runRecall searches again.
func (a *api) runRecall(c *gin.Context) error {
	var in struct {
		ID string `json:"id"` // left out: made here
	}
	if err := httpx.DecodeJSON(c, &in); err != nil {
		return err
	}
	return a.changedRecall(c, http.StatusCreated, a.services.Recall.Again(c.Request.Context(), httpx.Actor(c), c.Param("number"), in.ID))
}

// respondRecall keeps what came of calling one item back.
func (a *api) respondRecall(c *gin.Context) error {
	var in struct {
		ID       string `json:"id"`   // left out: made here
		Item     string `json:"item"` // serial or id
		Response string `json:"response"`
	}
	if err := httpx.DecodeJSON(c, &in); err != nil {
		return err
	}
	return a.changedRecall(c, http.StatusCreated, a.services.Recall.Respond(c.Request.Context(), httpx.Actor(c), c.Param("number"), recall.Response{ID: in.ID, Item: in.Item, Response: in.Response}))
}

func (a *api) endRecall(c *gin.Context) error {
	var in struct {
		Reason string `json:"reason"`
	}
	if err := httpx.DecodeJSON(c, &in); err != nil {
		return err
	}
	return a.changedRecall(c, http.StatusOK, a.services.Recall.End(c.Request.Context(), httpx.Actor(c), c.Param("number"), in.Reason))
}

// contactShape is one shipped item of a recall with whom it went to.
type contactShape struct {
	Item     itemLine        `json:"item"`
	Possibly bool            `json:"possibly"`
	Shipment *recallShipment `json:"shipment,omitempty"`
	Customer *customerShape  `json:"customer,omitempty"` // left out where none is known, or was erased
	Response string          `json:"response,omitempty"`
}

// recallContacts is what the desk telephones and writes by. Each customer in it is
// looked up, and the look recorded.
func (a *api) recallContacts(c *gin.Context) error {
	ctx := c.Request.Context()
	v, err := a.services.Recall.Recall(ctx, c.Param("number"))
	if err != nil {
		return err
	}
	customers, err := a.services.Shipping.CustomersOf(ctx, httpx.Actor(c), v.Customers(), "recall "+v.Number)
	if err != nil {
		return err
	}
	contacts := []contactShape{}
	for _, r := range v.Rows {
		if r.Where != models.RecallShipped {
			continue
		}
		line, err := a.itemLine(ctx, r.Of)
		if err != nil {
			return err
		}
		contact := contactShape{Item: line, Possibly: r.Possibly}
		if r.Shipment != nil {
			contact.Shipment = &recallShipment{r.Shipment.Number, r.Shipment.OrderRef, instant(r.Shipment.ShippedAt)}
			if who, known := customers[r.Shipment.Customer]; known {
				shape := customerOf(who)
				contact.Customer = &shape
			}
		}
		if r.Response != nil {
			contact.Response = r.Response.Response
		}
		contacts = append(contacts, contact)
	}
	return answer(c, http.StatusOK, gin.H{"contacts": contacts})
}
