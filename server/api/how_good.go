package api

import (
	"net/http"

	"github.com/gin-gonic/gin"

	"tracewright/models"
	"tracewright/models/numbers/stats"
	"tracewright/models/work/goodness"
)

// countedShare is k of n with its exact interval, null where there are too few for one.
type countedShare struct {
	K        int          `json:"k"`
	N        int          `json:"n"`
	Interval *shareBounds `json:"interval"`
}

type shareBounds struct {
	Low  float64 `json:"low"`
	High float64 `json:"high"`
}

func countedShareOf(k, n int, few bool, i stats.Interval) countedShare {
	s := countedShare{K: k, N: n}
	if !few {
		s.Interval = &shareBounds{i.Low, i.High}
	}
	return s
}

// goodLine is one result in the overview of a family.
type goodLine struct {
	Result string       `json:"result"`
	Name   string       `json:"name"`
	Unit   string       `json:"unit,omitempty"`
	Ticked bool         `json:"ticked"`
	Limits int          `json:"limits"` // how many different ones the values were judged by
	Low    string       `json:"low,omitempty"`
	High   string       `json:"high,omitempty"`
	Beyond countedShare `json:"beyond"`
}

type goodOverview struct {
	Family    familyLine    `json:"family"`
	Product   *productLine  `json:"product"`
	Place     string        `json:"place,omitempty"`
	Results   []goodLine    `json:"results"`
	Rounds    *countedShare `json:"rounds"` // that needed more than one; null but for wheels
	Sentences []sentence    `json:"sentences"`
}

// goodShape is how good one result is.
type goodShape struct {
	Family       familyLine     `json:"family"`
	Product      *productLine   `json:"product"`
	Place        string         `json:"place,omitempty"`
	Result       string         `json:"result"`
	Name         string         `json:"name"`
	Unit         string         `json:"unit,omitempty"`
	Ticked       bool           `json:"ticked"` // it has no value, and so no histogram, law or index
	Limits       []limitCount   `json:"limits"`
	Beyond       countedShare   `json:"beyond"`
	Below        int            `json:"below"`
	Above        int            `json:"above"`
	Truncated    bool           `json:"truncated"`
	Control      string         `json:"control"`
	Signals      int            `json:"signals"`
	Histogram    histogramShape `json:"histogram"`
	Law          *lawShape      `json:"law"`
	LawRefused   string         `json:"law_refused,omitempty"`
	Index        *indexShape    `json:"index"`
	IndexRefused string         `json:"index_refused,omitempty"`
	Rounds       *countedShare  `json:"rounds"`
	Certified    *certified     `json:"certified"`
	Lots         []lotMean      `json:"lots"`
	Falls        []lotMean      `json:"falls"`
	Sentences    []sentence     `json:"sentences"`
}

type limitCount struct {
	Low  string `json:"low,omitempty"`
	High string `json:"high,omitempty"`
	N    int    `json:"n"`
}

// histogramShape counts what is above the lower edge of a bin, up to and with its upper.
type histogramShape struct {
	First  float64 `json:"first"`
	Width  float64 `json:"width"`
	Counts []int   `json:"counts"`
}

type lawShape struct {
	Name       string             `json:"name"`
	Parameters map[string]float64 `json:"parameters"`
	Distance   float64            `json:"distance"`
	Limit      float64            `json:"limit"`
	Beyond     *float64           `json:"beyond"` // null: too few values for a tail
	Interval   *shareBounds       `json:"interval"`
}

type indexShape struct {
	Value    float64      `json:"value"`
	Interval *shareBounds `json:"interval"`
}

type certified struct {
	N         int            `json:"n"`
	Beyond    int            `json:"beyond"`
	Histogram histogramShape `json:"histogram"`
}

type lotMean struct {
	Lot   string  `json:"lot"`
	N     int     `json:"n"`
	Mean  float64 `json:"mean"`
	Apart string  `json:"apart,omitempty"` // high or low
}

func (a *api) goodQuery(c *gin.Context) (goodness.Query, error) {
	given := query(c)
	q := goodness.Query{ChartKey: models.ChartKey{FamilyID: given["family"], ProductID: given["product"], Place: given["place"], Result: c.Param("result")}}
	invalid := &models.InvalidError{}
	zone := a.services.Zone(c.Request.Context())
	q.From, q.To = day(invalid, "from", given["from"], zone, 0), day(invalid, "to", given["to"], zone, 1)
	return q, invalid.OrNil()
}

func (a *api) howGood(c *gin.Context) error {
	q, err := a.goodQuery(c)
	if err != nil {
		return err
	}
	o, err := a.services.Goodness.Overview(c.Request.Context(), q)
	if err != nil {
		return err
	}
	shape := goodOverview{Family: familyLineOf(o.Family), Product: productOf(o.Product, o.Family), Place: q.Place, Results: []goodLine{}, Sentences: sentencesOf(o.Says())}
	for _, l := range o.Results {
		low, high := l.Limit.Low, l.Limit.High
		if l.Limits == 1 {
			low, high = l.Judged.Low, l.Judged.High
		}
		shape.Results = append(shape.Results, goodLine{Result: l.Result, Name: english.Result(l.Result), Unit: l.Limit.Unit, Ticked: l.Ticked, Limits: l.Limits, Low: low, High: high,
			Beyond: countedShareOf(l.Share.K, l.Share.N, l.Share.Few, l.Share.Interval)})
	}
	shape.Rounds = goodShare(o.Rounds)
	return answer(c, http.StatusOK, shape)
}

func (a *api) howGoodResult(c *gin.Context) error {
	q, err := a.goodQuery(c)
	if err != nil {
		return err
	}
	v, err := a.services.Goodness.View(c.Request.Context(), q)
	if err != nil {
		return err
	}
	shape := goodShape{Family: familyLineOf(v.Family), Product: productOf(v.Product, v.Family), Place: q.Place, Result: q.Result, Name: english.Result(q.Result), Unit: v.Unit, Ticked: v.Ticked, Limits: []limitCount{},
		Beyond: countedShareOf(v.Share.K, v.Share.N, v.Share.Few, v.Share.Interval), Below: v.Below, Above: v.Above, Truncated: v.Truncated, Control: string(v.Charted.Control), Signals: v.Charted.Signals,
		Histogram: histogramShapeOf(v.Histogram), LawRefused: v.LawRefused, IndexRefused: v.IndexRefused, Rounds: goodShare(v.Rounds), Lots: lotMeans(v.Lots), Falls: lotMeans(v.Falls), Sentences: sentencesOf(v.Says())}
	for _, l := range v.Limits {
		shape.Limits = append(shape.Limits, limitCount(l))
	}
	if l := v.Law; l != nil {
		shape.Law = &lawShape{Name: string(l.Fitted.Shape()), Parameters: map[string]float64{}, Distance: l.Goodness.Distance, Limit: l.Goodness.Limit}
		for _, p := range l.Fitted.Parameters() {
			shape.Law.Parameters[p.Name] = p.Value
		}
		if p := l.Predicted; p != nil {
			shape.Law.Beyond, shape.Law.Interval = &p.Share, shareBoundsOf(p.Interval)
		}
	}
	if v.Index != nil {
		shape.Index = &indexShape{v.Index.Value, shareBoundsOf(v.Index.Interval)}
	}
	if v.Final != nil {
		shape.Certified = &certified{v.Final.N, v.Final.Beyond, histogramShapeOf(v.Final.Histogram)}
	}
	return answer(c, http.StatusOK, shape)
}

func shareBoundsOf(i *stats.Interval) *shareBounds {
	if i == nil {
		return nil
	}
	return &shareBounds{i.Low, i.High}
}

func goodShare(s *goodness.Share) *countedShare {
	if s == nil {
		return nil
	}
	shape := countedShareOf(s.K, s.N, s.Few, s.Interval)
	return &shape
}

func histogramShapeOf(h goodness.Histogram) histogramShape {
	counts := h.Counts
	if counts == nil {
		counts = []int{}
	}
	return histogramShape{h.First, h.Width, counts}
}

func lotMeans(l *goodness.Lots) []lotMean {
	out := []lotMean{}
	if l != nil {
		for _, r := range l.Rows {
			out = append(out, lotMean{r.Lot, r.N, r.Mean, r.Side})
		}
	}
	return out
}

func productOf(p *models.Product, family models.Family) *productLine {
	if p == nil {
		return nil
	}
	line := productLineOf(*p, family.Name)
	return &line
}
