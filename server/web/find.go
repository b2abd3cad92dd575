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
		page.Answer, page.Advice = "Type what you want to find", "A serial or its last five characters, the number a motor or block has from its maker, a lot, an order, a shipment or a claim."
		return show(c, "find", page)
	}
	items, err := s.services.Trace.Find(c.Request.Context(), typed)
	var invalid *models.InvalidError
	switch {
	case errors.As(err, &invalid) && len(invalid.Problems) > 0:
		p := invalid.Problems[0]
		page.Answer = "No item was looked up"
		if p.Code == "serial_check" {
			page.Answer = "That serial is mistyped"
			page.Advice = "Its last character does not fit the others, so one of them is wrong. Read the label again, or type its last five characters."
		} else {
			page.Advice = english.Say(p.Code, english.Readable(p.Values))
		}
		return send(c, http.StatusUnprocessableEntity, "find", page)
	case err != nil:
		return err
	case len(items) == 1 && wholly(typed, items[0]):
		c.Redirect(http.StatusSeeOther, itemPath(pointed(items[0].Serial), items[0].ID))
		return nil
	}
	if page.Others, err = s.findOthers(c, typed, len(items) == 0); err != nil {
		return err
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
		page.Answer = "No item is known by that"
		page.Advice = "The shop has no serial ending like this, and no motor or block with this maker’s number. A serial from a printed roll appears once it is first scanned at a stand or bench."
		page.Record = page.Can(string(models.ActRecord))
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
