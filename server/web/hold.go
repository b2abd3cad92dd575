package web

import (
	"fmt"
	"net/http"
	"strings"

	"github.com/gin-gonic/gin"

	"tracewright/models"
	"tracewright/models/words"
	"tracewright/models/work/release"
	"tracewright/server/httpx"
)

func (s *site) holdPage(c *gin.Context) error { return s.showHold(c, http.StatusOK, nil) }

func (s *site) showHold(c *gin.Context, status int, problem error) error {
	v, err := s.services.Trace.Glance(c.Request.Context(), c.Param("serial"), "")
	if err != nil {
		return err
	}
	// The turn list of a wheel whose rim is at fault comes with the reason.
	f := newForm(func(name string) string {
		if v, sent := c.GetPostForm(name); sent {
			return v
		}
		return c.Query(name)
	}, problem)
	path := itemPath(pointed(v.Item.Serial), v.Item.ID)
	page := ConfirmPage{Frame: s.frame(c, "Hold", ""), About: words.Serial(v.Item.Name()), Mono: true, Title: "Put it on hold", Button: "Put on hold", Bars: true, Path: path + "/hold", Back: path,
		Says: []string{"No certificate can be issued until an inspector or the owner lifts the hold. Anyone who sees a fault may raise one."},
		Fields: []Field{f.field(Field{Name: "code", Label: "What is wrong", Kind: "select", Choices: s.faultChoices(v.Item.Kind), Focus: true}),
			f.field(Field{Name: "reason", Label: "What you saw", Kind: "text area", Hint: "Where on it, and how it was noticed."})}}
	page.Problems = f.summary()
	return send(c, status, "confirm", page)
}

func (s *site) hold(c *gin.Context) error {
	ctx := c.Request.Context()
	v, err := s.services.Trace.Glance(ctx, c.Param("serial"), "")
	if err != nil {
		return err
	}
	_, err = s.services.Release.RaiseHold(ctx, httpx.Actor(c), release.HoldRequest{Item: v.Item.ID, Code: c.PostForm("code"), Reason: strings.TrimSpace(c.PostForm("reason"))})
	if answerable(err) {
		return s.showHold(c, http.StatusUnprocessableEntity, err)
	}
	if err != nil {
		return err
	}
	return redirect(c, itemPath(pointed(v.Item.Serial), v.Item.ID), "held")
}

// HoldsPage lists every open hold, oldest first.
type HoldsPage struct {
	Frame
	Answer string
	Rows   []TodayRow
}

func (s *site) holds(c *gin.Context) error {
	ctx := c.Request.Context()
	today, err := s.services.Monitor.Today(ctx)
	if err != nil {
		return err
	}
	people, err := s.people(ctx)
	if err != nil {
		return err
	}
	open, err := s.services.Nonconforming.Open(ctx)
	if err != nil {
		return err
	}
	bound := boundHolds(open)
	page := HoldsPage{Frame: s.frame(c, "Holds", "/holds"), Answer: "Nothing is on hold"}
	for _, h := range today.Holds {
		row, err := s.holdRow(ctx, page.Frame, h, people)
		if err != nil {
			return err
		}
		if number := bound[h.ID]; number != "" && !h.OfAnother() {
			row.Act = Act{Text: "Open " + number, Path: nonconformityPath(number)}
		}
		page.Rows = append(page.Rows, row)
	}
	if n := len(page.Rows); n > 0 {
		page.Answer = counted(n, "hold is open", "holds are open")
		page.Rows[0].Act.First = true
	}
	return show(c, "holds", page)
}

// openHold finds an open hold by its id.
func (s *site) openHold(c *gin.Context) (models.Hold, error) {
	today, err := s.services.Monitor.Today(c.Request.Context())
	if err != nil {
		return models.Hold{}, err
	}
	for _, h := range today.Holds {
		if h.ID == c.Param("id") {
			return h, nil
		}
	}
	return models.Hold{}, fmt.Errorf("open hold %.40q: %w", c.Param("id"), models.ErrNotFound)
}

func (s *site) liftPage(c *gin.Context) error { return s.showLift(c, http.StatusOK, nil) }

func (s *site) showLift(c *gin.Context, status int, problem error) error {
	ctx := c.Request.Context()
	h, err := s.openHold(c)
	if err != nil {
		return err
	}
	people, err := s.people(ctx)
	if err != nil {
		return err
	}
	f := posted(c, problem)
	page := ConfirmPage{Frame: s.frame(c, "Lift a hold", ""), About: "A lot", Title: "Lift the hold: " + s.fault(h.Code, h.RaisedAt), Button: "Lift the hold", Path: "/holds/" + h.ID + "/lift", Back: "/holds",
		Says: []string{"Raised on " + s.minute(h.RaisedAt) + " by " + name(people, h.RaisedBy) + ": " + stopped(english.HoldReason(h.Code, h.Reason)), "The item goes back to the state it had before, once no other hold is open on it."}}
	if h.ItemID != nil {
		v, err := s.services.Trace.Glance(ctx, *h.ItemID, "")
		if err != nil {
			return err
		}
		page.About, page.Mono, page.Back = words.Serial(v.Item.Name()), true, itemPath(pointed(v.Item.Serial), v.Item.ID)
		if !h.OfAnother() {
			page.Instead = &Act{Text: "It does not conform: decide what becomes of it", Path: page.Back + "/nonconforming"}
			if models.IsDefectCode(h.Code) {
				page.Instead.Path += "?code=" + h.Code
			}
		}
	}
	open, err := s.services.Nonconforming.Open(ctx)
	if err != nil {
		return err
	}
	if number := boundHolds(open)[h.ID]; number != "" && !h.OfAnother() {
		page.Refused, page.Back = []string{english.Say("hold_needs_disposition", map[string]string{"number": number})}, nonconformityPath(number)
		return send(c, status, "confirm", page)
	}
	codes := append([]Choice{{"", "choose"}}, choices(models.HoldLiftCodes, func(code string) string { return words.Sentence(english.HoldLift(code)) })...)
	page.Fields = []Field{f.field(Field{Name: "code", Label: "Why it may go on", Kind: "select", Choices: codes, Focus: true}),
		f.field(Field{Name: "reason", Label: "What was found, what was done", Kind: "text area"})}
	page.Secret = s.secretField(c, f)
	page.Problems = f.summary()
	return send(c, status, "confirm", page)
}

func (s *site) lift(c *gin.Context) error {
	h, err := s.openHold(c)
	if err != nil {
		return err
	}
	if err = s.confirm(c); err == nil {
		err = s.services.Release.LiftHold(c.Request.Context(), httpx.Actor(c), h.ID, c.PostForm("code"), strings.TrimSpace(c.PostForm("reason")))
	}
	if answerable(err) {
		return s.showLift(c, http.StatusUnprocessableEntity, err)
	}
	if err != nil {
		return err
	}
	if h.ItemID == nil {
		return redirect(c, "/holds", "lifted")
	}
	return redirect(c, itemPath("", *h.ItemID), "lifted")
}
