package api

import (
	"net/http"

	"github.com/gin-gonic/gin"

	"tracewright/models"
	"tracewright/models/words"
	"tracewright/server/httpx"
)

// reviewLine is a kept review in a list.
type reviewLine struct {
	ID       string  `json:"id"`
	Period   string  `json:"period"`
	FirstDay string  `json:"first_day"`
	Edition  int     `json:"edition"`
	Hash     string  `json:"hash"` // of the content
	MadeBy   string  `json:"made_by"`
	MadeAt   instant `json:"made_at"`
}

// reviewShape is a review with what it says.
type reviewShape struct {
	reviewLine
	Title    string               `json:"title"`
	LastDay  string               `json:"last_day"`
	Through  string               `json:"through"` // the last day that is in it
	Sections []reviewSectionShape `json:"sections"`
}

type reviewSectionShape struct {
	About     string      `json:"about"`
	Asks      string      `json:"asks"`
	Sentences []sentence  `json:"sentences"`
	More      int         `json:"more"` // sentences that found no room
	Plots     []plotShape `json:"plots"`
}

// plotShape is a picture as data. Its numbers are those of a drawing, and so are
// JSON numbers.
type plotShape struct {
	Shape    string           `json:"shape"`
	Title    remark           `json:"title"`
	Unit     string           `json:"unit,omitempty"`
	Decimals int              `json:"decimals"`
	Points   []plotPointShape `json:"points"`
}

type plotPointShape struct {
	Label  string   `json:"label"`
	Value  *float64 `json:"value"`
	Low    *float64 `json:"low,omitempty"`
	High   *float64 `json:"high,omitempty"`
	Centre *float64 `json:"centre,omitempty"`
	Lower  *float64 `json:"lower,omitempty"`
	Upper  *float64 `json:"upper,omitempty"`
	K      *int     `json:"k,omitempty"`
	N      *int     `json:"n,omitempty"`
	Signal bool     `json:"signal"`
}

func reviewLineOf(r models.Review, names map[string]string) reviewLine {
	return reviewLine{ID: r.ID, Period: r.Period, FirstDay: r.FirstDay, Edition: r.Edition, Hash: r.ContentHash, MadeBy: named(names, r.MadeBy), MadeAt: instant(r.MadeAt)}
}

func reviewOf(r models.Review, c models.ReviewContent, names map[string]string) reviewShape {
	out := reviewShape{reviewLine: reviewLineOf(r, names), Title: english.ReviewPeriod(c), LastDay: c.LastDay, Through: c.Through, Sections: make([]reviewSectionShape, len(c.Sections))}
	for i, section := range c.Sections {
		shape := reviewSectionShape{About: section.About, Asks: english.Asks(section.About), Sentences: sentencesOf(section.Sentences), More: section.More, Plots: make([]plotShape, len(section.Plots))}
		for k, p := range section.Plots {
			shape.Plots[k] = plotOf(p)
		}
		out.Sections[i] = shape
	}
	return out
}

func plotOf(p models.Plot) plotShape {
	out := plotShape{Shape: p.Shape, Title: alone(p.Title), Unit: p.Unit, Decimals: p.Decimals, Points: make([]plotPointShape, len(p.Points))}
	for i, pt := range p.Points {
		shape := plotPointShape{Label: words.Sentence(english.Remark(pt.Label)), Value: pt.Value, Low: pt.Low, High: pt.High, Centre: pt.Centre, Lower: pt.Lower, Upper: pt.Upper, Signal: pt.Signal}
		if pt.K+pt.N > 0 {
			shape.K = &p.Points[i].K
		}
		if pt.N > 0 {
			shape.N = &p.Points[i].N
		}
		out.Points[i] = shape
	}
	return out
}

// reviews lists the kept ones, the newest time first.
func (a *api) reviews(c *gin.Context) error {
	ctx := c.Request.Context()
	list, err := a.services.Reviews.List(ctx)
	if err != nil {
		return err
	}
	names, err := a.names(ctx)
	if err != nil {
		return err
	}
	lines := make([]reviewLine, len(list))
	for i, r := range list {
		lines[i] = reviewLineOf(r, names)
	}
	return answer(c, http.StatusOK, gin.H{"reviews": lines})
}

// makeReview looks back on a week or a month and keeps what it says; where nothing
// else is to be said than the newest edition says, it answers with that one.
func (a *api) makeReview(c *gin.Context) error {
	var in struct {
		Period string `json:"period"`
		Day    string `json:"day"`
	}
	if err := httpx.DecodeJSON(c, &in); err != nil {
		return err
	}
	r, made, err := a.services.Reviews.Make(c.Request.Context(), httpx.Actor(c), in.Period, in.Day)
	if err != nil {
		return err
	}
	if !made {
		return a.sendReview(c, http.StatusOK, r.ID)
	}
	c.Header("Location", Base+"/reviews/"+r.ID)
	return a.sendReview(c, http.StatusCreated, r.ID)
}

func (a *api) review(c *gin.Context) error {
	return a.sendReview(c, http.StatusOK, c.Param("id"))
}

func (a *api) sendReview(c *gin.Context, status int, id string) error {
	ctx := c.Request.Context()
	r, content, err := a.services.Reviews.One(ctx, id)
	if err != nil {
		return err
	}
	names, err := a.names(ctx)
	if err != nil {
		return err
	}
	return answer(c, status, reviewOf(r, content, names))
}

// reviewPaper sends the paper as it was kept.
func (a *api) reviewPaper(c *gin.Context) error {
	pdf, name, err := a.services.Reviews.Paper(c.Request.Context(), c.Param("id"))
	if err != nil {
		return err
	}
	c.Header("Content-Disposition", `inline; filename="`+name+`"`)
	httpx.Send(c, http.StatusOK, "application/pdf", pdf)
	return nil
}
