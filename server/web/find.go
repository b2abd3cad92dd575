package web

import (
	"errors"
	"net/http"
	"strings"

	"github.com/gin-gonic/gin"

	"tracewright/models"
	"tracewright/models/words"
)

// FindPage lists the items that a typed text may mean. One alone is opened at
// once.
type FindPage struct {
	Frame
	Answer string
	Advice string // what to do when there is none
	Record bool   // it may be a fresh serial of a printed roll
	Items  []FoundItem
	Others []FoundOther
}

// FoundItem is a line of what was found.
type FoundItem struct {
	Name, Path, Kind string
	State            Mark
	Made             string
}

func (s *site) find(c *gin.Context) error {
	typed := strings.TrimSpace(c.Query("q"))
	page := FindPage{Frame: s.frame(c, "Find", "")}
	page.Query = typed
	if typed == "" {
		page.Answer, page.Advice = "Type what you want to find", "A serial or its last five characters, the number a motor or block has from its maker, a lot, an order, or the number of a shipment, a claim, a certificate, a recall, a nonconformity or a corrective action."
		return show(c, "find", page)
	}
	items, err := s.services.Trace.Find(c.Request.Context(), typed)
	var invalid *models.InvalidError
	if mistyped := errors.As(err, &invalid) && len(invalid.Problems) > 0; err != nil && !mistyped {
		return err
	} else if mistyped && invalid.Problems[0].Code != "serial_check" {
		page.Answer, page.Advice = "No item was looked up", english.Say(invalid.Problems[0].Code, english.Readable(invalid.Problems[0].Values))
		return send(c, http.StatusUnprocessableEntity, "find", page)
	}
	if len(items) == 1 && wholly(typed, items[0]) {
		c.Redirect(http.StatusSeeOther, itemPath(pointed(items[0].Serial), items[0].ID))
		return nil
	}
	if page.Others, err = s.findOthers(c, typed); err != nil {
		return err
	}
	if invalid != nil && len(page.Others) == 0 { // No order or lot of somebody else's is spelled like one of our serials.
		page.Answer, page.Advice = "That serial is mistyped", "Its last character does not fit the others, so one of them is wrong. Read the label again, or type its last five characters."
		return send(c, http.StatusUnprocessableEntity, "find", page)
	}
	// Only where a text is nothing else may it be a customer's name or phone: each
	// that is found counts as looked at.
	if len(items)+len(page.Others) == 0 {
		if page.Others, err = s.findCustomers(c, typed); err != nil {
			return err
		}
	}
	switch {
	case len(items) == 0 && len(page.Others) == 1 && !page.Others[0].Person:
		c.Redirect(http.StatusSeeOther, page.Others[0].Path)
		return nil
	case len(items) == 1 && len(page.Others) == 0:
		c.Redirect(http.StatusSeeOther, itemPath(pointed(items[0].Serial), items[0].ID))
		return nil
	case len(items) == 0 && len(page.Others) == 0:
		unknown, err := s.services.Trace.Unknown(c.Request.Context(), typed)
		if err != nil {
			return err
		}
		page.Answer = "Nothing is known by that"
		page.Advice = "No serial ends like this, and no maker’s number, order, lot, certificate, recall, claim, nonconformity or corrective action is written so. A serial from a printed roll appears once it is first scanned at a stand or bench."
		page.Record = page.Actor.May(models.ActRecord)
		if unknown.Code != "" {
			page.Advice = say(unknown)
			page.Record = page.Record && unknown.Code == "serial_on_roll"
		}
		return send(c, http.StatusNotFound, "find", page)
	}
	page.Answer = counted(len(items), "item may be meant", "items may be meant")
	if len(items) == 0 {
		page.Answer = counted(len(page.Others), "record may be meant", "records may be meant")
	}
	for _, i := range items {
		page.Items = append(page.Items, FoundItem{Name: words.Serial(i.Name()), Path: itemPath(pointed(i.Serial), i.ID), Kind: english.Kind(i.Kind), State: itemMark(i.State), Made: s.day(i.CreatedAt)})
	}
	return show(c, "find", page)
}
