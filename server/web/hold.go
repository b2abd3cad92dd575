package web

import (
	"fmt"
	"net/http"
	"strings"

	"github.com/gin-gonic/gin"

	"tracewright/models"
	"tracewright/models/words"
	"tracewright/models/work/monitor"
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
			f.field(Field{Name: "reason", Label: "What you saw", Kind: "text area", Most: models.LongestReason, Hint: "Where on it, and how it was noticed. " + noNameHint})}}
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

// HoldsPage lists the open holds, oldest first, a page of them at a time.
type HoldsPage struct {
	Frame
	Answer        string
	Rows          []TodayRow
	Later, Oldest string // paths of the next page and of the first
}

func (s *site) holds(c *gin.Context) error {
	ctx := c.Request.Context()
	after := c.Query("after")
	if after != "" && !models.IsID(after) {
		return models.Invalid("after", "unknown_choice", "typed", models.Shortened(after))
	}
	list, err := s.services.Monitor.HoldsAfter(ctx, after)
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
	page := HoldsPage{Frame: s.frame(c, "Holds", "/holds"), Answer: s.holdsAnswer(list)}
	for _, h := range list.Holds {
		row := s.holdRow(page.Frame, h, people)
		if number := bound[h.ID]; number != "" && !h.OfAnother() {
			row.Act = Act{Text: "Open " + number, Path: nonconformityPath(number)}
		}
		page.Rows = append(page.Rows, row)
	}
	if len(page.Rows) > 0 {
		page.Rows[0].Act.First = true
	}
	if list.Next != "" {
		page.Later = "/holds?after=" + list.Next
	}
	if after != "" {
		page.Oldest = "/holds"
	}
	return show(c, "holds", page)
}

// holdsAnswer counts the open holds, and says where the page does not hold them all.
func (s *site) holdsAnswer(list monitor.HoldsPage) string {
	if list.Open == 0 {
		return "Nothing is on hold"
	}
	answer := counted(list.Open, "hold is open", "holds are open")
	if n := len(list.Holds); n > 0 && n < list.Open {
		answer += fmt.Sprintf("; here %d of them, raised ", n) + s.between(list.Holds[0].RaisedAt, list.Holds[n-1].RaisedAt)
	}
	return answer
}

func (s *site) liftPage(c *gin.Context) error { return s.showLift(c, http.StatusOK, nil) }

func (s *site) showLift(c *gin.Context, status int, problem error) error {
	ctx := c.Request.Context()
	h, err := s.services.Monitor.OpenHold(ctx, c.Param("id"))
	if err != nil {
		return err
	}
	people, err := s.people(ctx)
	if err != nil {
		return err
	}
	f := posted(c, problem)
	page := ConfirmPage{Frame: s.frame(c, "Lift a hold", ""), About: words.Serial(h.Name()), Mono: true, Title: "Lift the hold: " + s.fault(h.Code, h.RaisedAt), Button: "Lift the hold", Path: "/holds/" + h.ID + "/lift", Back: heldPath(h),
		Says: []string{"Raised on " + s.minute(h.RaisedAt) + " by " + name(people, h.RaisedBy) + ": " + stopped(english.HoldReason(h.Code, h.Reason)), "The item goes back to the state it had before, once no other hold is open on it."}}
	switch {
	case h.ItemID == nil:
		page.About, page.Says[1] = h.Lot, "What holds a part of this lot can be certified again, once no other hold is open on it."
	case !h.OfAnother():
		page.Instead = &Act{Text: "It does not conform: decide what becomes of it", Path: page.Back + "/nonconforming"}
		if models.IsDefectCode(h.Code) {
			page.Instead.Path += "?code=" + h.Code
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
		f.field(Field{Name: "reason", Label: "What was found, what was done", Kind: "text area", Most: models.LongestReason})}
	page.Secret = s.secretField(c, f)
	page.Problems = f.summary()
	return send(c, status, "confirm", page)
}

func (s *site) lift(c *gin.Context) error {
	ctx := c.Request.Context()
	h, err := s.services.Monitor.OpenHold(ctx, c.Param("id"))
	if err != nil {
		return err
	}
	if err = s.confirm(c); err == nil {
		_, err = s.services.Release.LiftHold(ctx, httpx.Actor(c), h.ID, c.PostForm("code"), strings.TrimSpace(c.PostForm("reason")))
	}
	if answerable(err) {
		return s.showLift(c, http.StatusUnprocessableEntity, err)
	}
	if err != nil {
		return err
	}
	return redirect(c, heldPath(h), "lifted")
}
