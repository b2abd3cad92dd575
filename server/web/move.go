package web

import (
	"net/http"
	"strings"

	"github.com/gin-gonic/gin"

	"tracewright/models"
	"tracewright/models/words"
	"tracewright/server/httpx"
)

func (s *site) movePage(c *gin.Context) error { return s.showMove(c, http.StatusOK, nil) }

// showMove asks to which item the readings of an inspection belong, and why.
func (s *site) showMove(c *gin.Context, status int, problem error) error {
	in, item, err := s.services.Trace.Inspection(c.Request.Context(), c.Param("id"))
	if err != nil {
		return err
	}
	f := newForm(c.PostForm, problem)
	page := ConfirmPage{Frame: s.frame(c, "Move readings", ""), About: words.Serial(item.Name()), Mono: true, Title: "These readings belong to another " + english.Kind(item.Kind), Button: "Move them", Path: "/inspections/" + in.Inspection.ID + "/move", Back: itemPath(pointed(item.Serial), item.ID),
		Says: []string{"They are judged there, as they were taken and by whom. Here they stay on record as replaced, and this one is as it was without them."},
		Fields: []Field{f.field(Field{Name: "serial", Label: "Serial that was measured", Hint: "Its last five characters do.", Focus: true}),
			f.field(Field{Name: "reason", Label: "Why", Kind: "text area", Most: models.LongestReason, Hint: "How the two were mixed up."})}}
	page.Problems = f.summary()
	return send(c, status, "confirm", page)
}

func (s *site) move(c *gin.Context) error {
	out, err := s.services.Capture.Move(c.Request.Context(), httpx.Actor(c), c.Param("id"), strings.TrimSpace(c.PostForm("serial")), strings.TrimSpace(c.PostForm("reason")))
	if answerable(err) {
		return s.showMove(c, http.StatusUnprocessableEntity, err)
	}
	if err != nil {
		return err
	}
	return redirect(c, itemPath(pointed(out.Item.Serial), out.Item.ID), "moved")
}
