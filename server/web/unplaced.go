package web

import (
	"fmt"
	"net/http"
	"strings"

	"github.com/gin-gonic/gin"

	"tracewright/models"
	"tracewright/models/words"
	"tracewright/server/httpx"
)

// UnplacedPage lists the inspections that could not be placed, each kept
// whole, for a person to settle.
type UnplacedPage struct {
	Frame
	Answer string
	Rows   []UnplacedRow
}

// UnplacedRow is one of them with its form.
type UnplacedRow struct {
	ID, Serial, Cause, Stage, Person, When, Received string
	Readings                                         string
	SerialField, Reason, Set                         Field
	Settle                                           bool // this person may
	Problems                                         Problems
}

func (s *site) unplaced(c *gin.Context) error { return s.showUnplaced(c, http.StatusOK, "", nil) }

// showUnplaced shows the list; a problem belongs to the row with the id.
func (s *site) showUnplaced(c *gin.Context, status int, id string, problem error) error {
	ctx := c.Request.Context()
	list, err := s.services.Capture.Unplaced(ctx)
	if err != nil {
		return err
	}
	people, err := s.people(ctx)
	if err != nil {
		return err
	}
	page := UnplacedPage{Frame: s.frame(c, "Unplaced inspections", "/unplaced"), Answer: "Every inspection has its place"}
	for _, u := range list {
		f := filled(nil)
		if u.ID == id {
			f = posted(c, problem)
		}
		row := UnplacedRow{ID: u.ID, Serial: words.Serial(u.Content.Serial), Cause: say(u.Cause), Stage: words.Sentence(english.Stage(u.Content.Stage)), Person: name(people, u.PersonID),
			When: s.minute(u.Content.FinishedAt), Received: s.minute(u.ReceivedAt), Settle: page.Actor.May(models.ActPlace)}
		if read := u.Content.Person; read != "" && read != u.PersonID {
			row.Person = name(people, read) + ", sent by " + row.Person
		}
		var sets []string
		for _, set := range u.Content.Sets {
			sets = append(sets, fmt.Sprintf("%s (%d)", english.Characteristic(set.Characteristic), len(set.Values)))
		}
		row.Readings = english.Join(sets)
		row.SerialField = f.field(Field{Name: "serial", ID: "serial-" + u.ID, Label: "Belongs to serial", Mono: true, Width: "w4", Optional: true, Hint: "Empty: as it was sent."})
		row.Reason = f.field(Field{Name: "reason", ID: "reason-" + u.ID, Label: "How you know", Width: "w8"})
		row.Problems = f.summary()
		page.Rows = append(page.Rows, row)
	}
	if n := len(page.Rows); n > 0 {
		page.Answer = counted(n, "inspection has", "inspections have") + " no place yet"
	}
	return send(c, status, "unplaced", page)
}

// settle places an inspection, or sets it aside, as the pressed button says.
func (s *site) settle(c *gin.Context) error {
	ctx, id, reason := c.Request.Context(), c.Param("id"), strings.TrimSpace(c.PostForm("reason"))
	if c.PostForm("do") == "dismiss" {
		_, err := s.services.Capture.Dismiss(ctx, httpx.Actor(c), id, reason)
		if answerable(err) {
			return s.showUnplaced(c, http.StatusUnprocessableEntity, id, err)
		}
		if err != nil {
			return err
		}
		return redirect(c, "/unplaced", "dismissed")
	}
	out, err := s.services.Capture.Place(ctx, httpx.Actor(c), id, strings.TrimSpace(c.PostForm("serial")), reason)
	if answerable(err) {
		return s.showUnplaced(c, http.StatusUnprocessableEntity, id, err)
	}
	if err != nil {
		return err
	}
	return redirect(c, itemPath(pointed(out.Item.Serial), out.Item.ID), "placed")
}

// takeOver makes somebody else's draft this person's and opens it.
func (s *site) takeOver(c *gin.Context) error {
	draft, err := s.services.Capture.TakeOver(c.Request.Context(), httpx.Actor(c), c.Param("id"))
	if err != nil {
		return err
	}
	return redirect(c, recordPath(draft.Kind)+"?draft="+draft.ID, "")
}

// setAsidePage asks once more: a draft set aside cannot be gone on with.
func (s *site) setAsidePage(c *gin.Context) error {
	ctx := c.Request.Context()
	draft, err := s.services.Capture.Draft(ctx, c.Param("id"))
	if err != nil {
		return err
	}
	people, err := s.people(ctx)
	if err != nil {
		return err
	}
	about := words.Serial(draft.Serial)
	if about == "" {
		about = "no serial yet"
	}
	return show(c, "confirm", ConfirmPage{Frame: s.frame(c, "Set a draft aside", "/"), About: about, Mono: true, Title: "Set this draft aside", Button: "Set it aside", Path: "/drafts/" + draft.ID + "/set-aside", Back: "/",
		Says: []string{words.Sentence(english.Kind(draft.Kind)) + ", " + english.Stage(draft.Stage) + ", begun by " + name(people, draft.PersonID) + ", last saved " + s.minute(draft.UpdatedAt) + ".",
			"Its readings stay on record, but nobody can go on with them, and no verdict comes of them."}})
}

// setAside closes a draft without submitting it.
func (s *site) setAside(c *gin.Context) error {
	if err := s.services.Capture.SetAside(c.Request.Context(), httpx.Actor(c), c.Param("id")); err != nil {
		return err
	}
	return redirect(c, "/", "draft_aside")
}
