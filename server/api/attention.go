package api

import (
	"net/http"

	"github.com/gin-gonic/gin"

	"tracewright/models/work/attention"
	"tracewright/server/httpx"
)

// attentionShape is one list of what needs the person who asks, the worst first.
type attentionShape struct {
	At     instant        `json:"at"`
	Title  remark         `json:"title"`
	Rows   []attentionRow `json:"rows"`
	Fine   []remark       `json:"fine"`
	Notes  []remark       `json:"notes"`
	Others int            `json:"others"` // things that wait for somebody who may do more
}

// attentionRow is one thing that needs somebody.
type attentionRow struct {
	Kind     string    `json:"kind"`
	Level    string    `json:"level"`
	Sentence remark    `json:"sentence"`
	Evidence []remark  `json:"evidence"`
	Since    *instant  `json:"since"`
	By       string    `json:"by,omitempty"` // day
	Count    int       `json:"count"`
	Next     deedShape `json:"next"`
}

// deedShape is the next act, and at what it is done.
type deedShape struct {
	Act     string            `json:"act"`
	Message string            `json:"message"`
	At      string            `json:"at"`
	Named   string            `json:"named,omitempty"`
	Under   string            `json:"under,omitempty"`
	Query   map[string]string `json:"query,omitempty"`
}

// attention lists what needs the person who asks.
func (a *api) attention(c *gin.Context) error {
	list, err := a.services.Attention.List(c.Request.Context(), httpx.Actor(c))
	if err != nil {
		return err
	}
	return answer(c, http.StatusOK, attentionOf(list))
}

func attentionOf(l attention.List) attentionShape {
	out := attentionShape{At: instant(l.At), Title: alone(l.Title), Rows: make([]attentionRow, len(l.Rows)), Fine: eachAlone(l.Fine), Notes: eachAlone(l.Notes), Others: l.Others}
	for i, r := range l.Rows {
		out.Rows[i] = attentionRow{Kind: r.Kind, Level: r.Level.Code(), Sentence: alone(r.Says), Evidence: eachAlone(r.Lines), By: r.By, Count: r.Count,
			Next: deedShape{Act: r.Do.Code, Message: english.Deed(r.Do.Code), At: r.Do.At, Named: r.Do.Named, Under: r.Do.Under, Query: r.Do.Query}}
		if !r.Since.IsZero() {
			at := instant(r.Since)
			out.Rows[i].Since = &at
		}
	}
	return out
}
