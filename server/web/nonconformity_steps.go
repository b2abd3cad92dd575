package web

import (
	"errors"
	"maps"
	"net/http"
	"net/url"
	"slices"
	"strings"

	"github.com/gin-gonic/gin"

	"tracewright/models"
	"tracewright/models/work/documents"
	"tracewright/models/work/nonconforming"
	"tracewright/server/httpx"
)

// stepped answers a form of a nonconformity: its problems, or its page anew.
func (s *site) stepped(c *gin.Context, err error, done string) error {
	if answerable(err) {
		note := &models.InvalidError{}
		if note.Lines("note", strings.TrimSpace(c.PostForm("note")), nonconforming.LongestNote); note.OrNil() == nil {
			err = atRemark(err, strings.TrimSpace(c.PostForm("remark")))
		}
		return s.showNonconformity(c, http.StatusUnprocessableEntity, c.PostForm, err)
	}
	if err != nil {
		return err
	}
	return redirect(c, nonconformityPath(c.Param("number")), done)
}

// atRemark puts what is wrong with a note where it was typed: what was typed as a note of
// its own goes with that of the step.
func atRemark(err error, remark string) error {
	var invalid *models.InvalidError
	if remark == "" || !errors.As(err, &invalid) {
		return err
	}
	out := &models.InvalidError{Problems: slices.Clone(invalid.Problems)}
	for i := range out.Problems {
		if out.Problems[i].Field == "note" {
			out.Problems[i].Field = "remark"
		}
	}
	return out
}

func (s *site) dispose(c *gin.Context) error {
	err := s.confirm(c)
	if err == nil {
		err = s.services.Nonconforming.Dispose(c.Request.Context(), httpx.Actor(c), c.Param("number"), nonconforming.Disposition{What: c.PostForm("what"), Work: c.PostForm("work"), Supplier: c.PostForm("supplier"), Lot: c.PostForm("lot"), Note: stepNote(c)})
	}
	return s.stepped(c, err, "lot_decided")
}

func (s *site) approveConcession(c *gin.Context) error {
	approve := c.PostForm("approve")
	err := s.confirm(c)
	if err == nil && approve != "yes" && approve != "no" {
		err = models.Invalid("approve", "missing")
	}
	if err == nil {
		err = s.services.Nonconforming.Approve(c.Request.Context(), httpx.Actor(c), c.Param("number"), approve == "yes", stepNote(c))
	}
	return s.stepped(c, err, "lot_decided")
}

func (s *site) confirmDisposed(c *gin.Context) error {
	err := s.confirm(c)
	if err == nil {
		err = s.services.Nonconforming.Confirm(c.Request.Context(), httpx.Actor(c), c.Param("number"), c.PostForm("marked") == "yes", stepNote(c))
	}
	return s.stepped(c, err, "lot_kept")
}

func (s *site) reworkDone(c *gin.Context) error {
	return s.stepped(c, s.services.Nonconforming.Done(c.Request.Context(), httpx.Actor(c), c.Param("number"), stepNote(c)), "lot_kept")
}

func (s *site) noteNonconformity(c *gin.Context) error {
	remark := c.PostForm("remark")
	var err error
	if strings.TrimSpace(remark) == "" {
		err = models.Invalid("remark", "missing")
	} else {
		err = s.services.Nonconforming.NoteOnce(c.Request.Context(), httpx.Actor(c), c.Param("number"), c.PostForm("seen"), remark)
	}
	if answerable(err) {
		return s.showNonconformity(c, http.StatusUnprocessableEntity, c.PostForm, atRemark(err, remark))
	}
	if _, more := c.GetPostForm("note"); err != nil || !more {
		return s.stepped(c, err, "lot_kept")
	}
	typed := maps.Clone(c.Request.PostForm)
	typed.Del("remark")
	return s.besideStep(c, typed, "lot_kept")
}

// besideStep shows the page after something was kept beside the step in hand: what was
// typed of that is not kept yet, and stays.
func (s *site) besideStep(c *gin.Context, typed url.Values, done string) error {
	page, err := s.nonconformityTyped(c, typed.Get, nil)
	if err != nil {
		return err
	}
	page.Done = doneWords[done]
	return send(c, http.StatusOK, "nonconformity", page)
}

// stepNote is the note of a step, with what was typed as a note of its own and not
// added yet.
func stepNote(c *gin.Context) string {
	return strings.TrimSpace(c.PostForm("note") + "\n" + c.PostForm("remark"))
}

func (s *site) addNonconformityPhoto(c *gin.Context) error {
	v, err := s.services.Nonconforming.One(c.Request.Context(), c.Param("number"))
	if err != nil {
		return err
	}
	file, err := httpx.ReadFile(c, documents.MostBytes)
	typed := maps.Clone(file.Fields)
	delete(file.Fields, "note") // It is of the step in hand, and none of the photo.
	err = s.keepPaper(c, file, err, models.SubjectNonconformity, v.ID)
	if answerable(err) {
		return s.showNonconformity(c, http.StatusUnprocessableEntity, typed.Get, err)
	}
	if err != nil {
		return err
	}
	if !typedOfStep(typed) {
		return redirect(c, nonconformityPath(v.Number), "paper")
	}
	return s.besideStep(c, typed, "paper")
}

// typedOfStep says whether anything of a step or a note stands in its form.
func typedOfStep(typed url.Values) bool {
	for name := range typed {
		if name != "seen" && name != "once" && !strings.HasPrefix(name, "confirm.") && strings.TrimSpace(typed.Get(name)) != "" {
			return true
		}
	}
	return false
}
