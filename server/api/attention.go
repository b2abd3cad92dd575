package api

import (
	"net/http"

	"github.com/gin-gonic/gin"

	"tracewright/models"
	"tracewright/models/words"
	"tracewright/models/work/attention"
	"tracewright/server/httpx"
)

// attentionShape is one list of what needs the person who asks, the worst first.
type attentionShape struct {
	At     instant        `json:"at"`
	Title  toldShape      `json:"title"`
	Rows   []attentionRow `json:"rows"`
	Fine   []toldShape    `json:"fine"`
	Notes  []toldShape    `json:"notes"`
	Others int            `json:"others"` // rows that wait for somebody who may do more
}

// attentionRow is one thing that needs somebody.
type attentionRow struct {
	Kind     string      `json:"kind"`
	Level    string      `json:"level"`
	Says     toldShape   `json:"says"`
	Evidence []toldShape `json:"evidence"`
	Since    *instant    `json:"since"`
	By       string      `json:"by,omitempty"` // day
	Count    int         `json:"count"`
	Next     deedShape   `json:"next"`
}

// deedShape is the next act, and at what it is done.
type deedShape struct {
	Act   string            `json:"act"`
	Says  string            `json:"says"`
	At    string            `json:"at"`
	Named string            `json:"named,omitempty"`
	Under string            `json:"under,omitempty"`
	Query map[string]string `json:"query,omitempty"`
}

// toldShape is a remark: its code with values for programs, its sentence for people.
type toldShape struct {
	Code   string            `json:"code"`
	Values map[string]string `json:"values"`
	Says   string            `json:"says"`
}

func toldOf(r models.Remark) toldShape {
	out := toldShape{Code: r.Code, Values: r.Values, Says: words.Sentence(english.Remark(r))}
	if out.Values == nil {
		out.Values = map[string]string{}
	}
	return out
}

func toldAll(list []models.Remark) []toldShape {
	out := make([]toldShape, len(list))
	for i, r := range list {
		out[i] = toldOf(r)
	}
	return out
}

// attention lists what needs the person who asks.
func (a *api) attention(c *gin.Context) error {
	if _, err := query(c); err != nil {
		return err
	}
	list, err := a.services.Attention.List(c.Request.Context(), httpx.Actor(c))
	if err != nil {
		return err
	}
	return answer(c, http.StatusOK, attentionOf(list))
}

func attentionOf(l attention.List) attentionShape {
	out := attentionShape{At: instant(l.At), Title: toldOf(l.Title), Rows: make([]attentionRow, len(l.Rows)), Fine: toldAll(l.Fine), Notes: toldAll(l.Notes), Others: l.Others}
	for i, r := range l.Rows {
		out.Rows[i] = attentionRow{Kind: r.Kind, Level: r.Level.Code(), Says: toldOf(r.Says), Evidence: toldAll(r.Lines), By: r.By, Count: r.Count,
			Next: deedShape{Act: r.Do.Code, Says: english.Deed(r.Do.Code), At: r.Do.At, Named: r.Do.Named, Under: r.Do.Under, Query: r.Do.Query}}
		if !r.Since.IsZero() {
			at := instant(r.Since)
			out.Rows[i].Since = &at
		}
	}
	return out
}
