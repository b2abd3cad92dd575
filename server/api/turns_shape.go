package api

import (
	"math"
	"strings"

	"tracewright/models"
	"tracewright/models/words"
	"tracewright/models/work/truing"
)

// turnsShape is a turn list; State says which parts are there.
type turnsShape struct {
	Inspection string `json:"inspection"`
	Serial     string `json:"serial"`
	Print      string `json:"print"`
	Product    string `json:"product"`
	Holes      int    `json:"holes"`
	Stage      string `json:"stage"`
	Round      int    `json:"round"`
	State      string `json:"state"`

	Missing  []missingShape  `json:"missing,omitempty"`
	Slack    *slackShape     `json:"slack,omitempty"`
	Measured *readingsShape  `json:"measured,omitempty"`
	Limits   *truing.Limits  `json:"limits,omitempty"`
	Before   *conditionShape `json:"before,omitempty"`

	Step           float64         `json:"step,omitempty"`
	LargestTurn    float64         `json:"largest_turn,omitempty"`
	Learned        *truing.Learned `json:"learned,omitempty"`
	Short          *listShape      `json:"short,omitempty"`
	All            *listShape      `json:"all,omitempty"`
	Begun          string          `json:"begun"`
	Closed         bool            `json:"closed"`
	TakeTensionOut bool            `json:"take_tension_out"`
	WorstExcess    float64         `json:"worst_excess"`
	TargetsLowered bool            `json:"targets_lowered"`
	RimNotBuilder  []string        `json:"rim_not_builder"`
	Rim            rimShape        `json:"rim"`
	Honest         string          `json:"honest"`

	Stop     *stopShape     `json:"stop,omitempty"`
	Answered *answeredShape `json:"answered,omitempty"`
	After    *roundShape    `json:"after,omitempty"`
}

type missingShape struct {
	Code string `json:"code"`
	Text string `json:"text"`
	Href string `json:"href,omitempty"` // page where it is filled in
}

type slackShape struct {
	Spokes []int  `json:"spokes"`
	Text   string `json:"text"`
}

// readingsShape is one value for each spoke: mm, mm, N.
type readingsShape struct {
	Lateral []float64 `json:"lateral"`
	Radial  []float64 `json:"radial"`
	Tension []float64 `json:"tension"`
}

type conditionShape struct {
	LateralTIR  float64 `json:"lateral_tir"`
	RadialTIR   float64 `json:"radial_tir"`
	LateralMean float64 `json:"lateral_mean"`
	DeviationA  float64 `json:"deviation_pct_a"`
	DeviationB  float64 `json:"deviation_pct_b"`
	CVA         float64 `json:"cv_pct_a"`
	CVB         float64 `json:"cv_pct_b"`
	MeanA       float64 `json:"mean_a"`
	MeanB       float64 `json:"mean_b"`
	Highest     float64 `json:"highest"`
	Lowest      float64 `json:"lowest"`
}

type turnShape struct {
	N         int      `json:"n"`
	Spoke     int      `json:"spoke"`
	Side      string   `json:"side"`
	Lean      string   `json:"lean"` // leading, trailing, radial
	Turns     float64  `json:"turns"`
	Highest   float64  `json:"highest"`
	HighestAt int      `json:"highest_at"`
	Turned    bool     `json:"turned"`
	TurnedBy  string   `json:"turned_by"` // name
	TurnedAt  *instant `json:"turned_at"`
}

type listShape struct {
	Turns        []turnShape    `json:"turns"`
	Nipples      int            `json:"nipples"`
	Predicted    readingsShape  `json:"predicted"`
	After        conditionShape `json:"after"`
	Highest      float64        `json:"highest"`
	HighestAt    int            `json:"highest_at"`
	HighestAfter int            `json:"highest_after"`
	Halved       []int          `json:"halved"`
	Dropped      []int          `json:"dropped"`
	Lift         float64        `json:"lift"` // N
}

type rimShape struct {
	Text  string      `json:"text"`
	At    *int        `json:"at,omitempty"`
	Joint *jointShape `json:"joint,omitempty"`
}

type jointShape struct {
	From int `json:"from"`
	To   int `json:"to"`
}

type answeredShape struct {
	Cause  string  `json:"cause"`
	Person string  `json:"person"` // name
	At     instant `json:"at"`
}

func turnsOf(s truing.Sheet) turnsShape {
	shape := turnsShape{Inspection: s.Inspection.ID, Serial: pointed(s.Item.Serial), Print: words.Serial(s.Item.Name()), Product: s.Product.Name, Holes: s.Holes,
		Stage: s.Inspection.Stage, Round: s.Inspection.Round, State: string(s.State), Begun: s.Begun, Closed: s.Closed, RimNotBuilder: []string{}, Honest: english.Say("turns.honest", nil)}
	for _, m := range s.Missing {
		shape.Missing = append(shape.Missing, missingOf(m, s.Product))
	}
	if len(s.Slack) > 0 {
		shape.Slack = &slackShape{s.Slack, english.Say("turns.slack", nil)}
	}
	if s.Measured != nil {
		m := readingsOf(*s.Measured, 0)
		shape.Measured = &m
	}
	if s.Plan != nil {
		shape.fillPlan(s)
	}
	if s.Stop != nil && s.After != nil {
		stop := stopOf(*s.Stop, *s.After)
		shape.Stop = &stop
	}
	if s.Answered != nil {
		shape.Answered = &answeredShape{s.Answered.Cause, named(s.People, s.Answered.AnsweredBy), instant(s.Answered.AnsweredAt)}
	}
	if s.After != nil {
		round := roundOf(*s.After)
		shape.After = &round
	}
	return shape
}

// inTheForm are the codes of what a product's form lacks.
var inTheForm = map[string]bool{"geometry": true, "rim_section": true, "rim_max_tension": true, "form_impossible": true, "no_room": true}

func missingOf(m models.Remark, product models.Product) missingShape {
	values := english.Readable(m.Values)
	if spokes, has := values["spokes"]; has {
		values["spokes"] = english.Join(strings.Split(spokes, ", "))
	}
	shape := missingShape{Code: m.Code, Text: english.Say(m.Code, values)}
	if inTheForm[m.Code] && product.ID != "" {
		shape.Href = "/products/" + product.ID + "/revise"
	}
	return shape
}

func (t *turnsShape) fillPlan(s truing.Sheet) {
	p := s.Plan
	limits, before, learned := limitsOf(p.Limits), conditionOf(p.Before), p.Learned
	t.Limits, t.Before, t.Step, t.LargestTurn, t.Learned = &limits, &before, p.Step, p.LargestTurn, &learned
	// Predictions are referred to the dish, readings to the zero of the gauge:
	// on one strip they stand on the gauge's.
	zero := 0.0
	if s.Measured != nil {
		zero = mean(s.Measured.Lateral) - p.Before.LateralMean
	}
	short, all := listOf(p.Short, models.TurnsShort, s, zero), listOf(p.All, models.TurnsAll, s, zero)
	t.Short, t.All = &short, &all
	t.TakeTensionOut, t.WorstExcess, t.TargetsLowered = p.TakeTensionOut, to(p.WorstExcess, 1), p.TargetsLowered
	t.RimNotBuilder = append(t.RimNotBuilder, p.RimNotBuilder...)
	t.Rim = rimOf(p.Rim)
}

func listOf(l truing.List, name string, s truing.Sheet, zero float64) listShape {
	shape := listShape{Turns: make([]turnShape, len(l.Turns)), Nipples: l.Nipples, Predicted: readingsOf(l.Predicted, zero), After: conditionOf(l.After),
		Highest: to(l.Highest, 1), HighestAt: l.HighestAt, HighestAfter: l.HighestAfter, Halved: spokes(l.Halved), Dropped: spokes(l.Dropped), Lift: to(l.Lift, 1)}
	for i, t := range l.Turns {
		shape.Turns[i] = turnShape{N: i + 1, Spoke: t.Spoke, Side: []string{"a", "b"}[t.Spoke%2], Lean: s.Lean(t.Spoke), Turns: t.Turns, Highest: to(t.Highest, 1), HighestAt: t.HighestAt}
	}
	for _, d := range s.Done {
		if d.List == name && d.N <= len(shape.Turns) {
			at := instant(d.At)
			t := &shape.Turns[d.N-1]
			t.Turned, t.TurnedBy, t.TurnedAt = true, named(s.People, d.By), &at
		}
	}
	return shape
}

// spokes is a list that is never null.
func spokes(list []int) []int { return append([]int{}, list...) }

func limitsOf(l truing.Limits) truing.Limits {
	for _, x := range []*float64{&l.LateralTIR, &l.RadialTIR, &l.DishAbs, &l.SideDeviationPct, &l.TensionMin, &l.TensionMax, &l.GaugeUncertainty, &l.Ceiling} {
		*x = to(*x, 4)
	}
	return l
}

func conditionOf(c truing.Condition) conditionShape {
	return conditionShape{LateralTIR: to(c.LateralTIR, 4), RadialTIR: to(c.RadialTIR, 4), LateralMean: to(c.LateralMean, 4), DeviationA: to(c.DeviationA, 2), DeviationB: to(c.DeviationB, 2),
		CVA: to(c.CVA, 2), CVB: to(c.CVB, 2), MeanA: to(c.MeanA, 1), MeanB: to(c.MeanB, 1), Highest: to(c.Highest, 1), Lowest: to(c.Lowest, 1)}
}

// readingsOf rounds values for reading; zero is added to the lateral ones.
func readingsOf(r truing.Readings, zero float64) readingsShape {
	rounded := func(values []float64, add float64, decimals int) []float64 {
		out := make([]float64, len(values))
		for i, v := range values {
			out[i] = to(v+add, decimals)
		}
		return out
	}
	return readingsShape{rounded(r.Lateral, zero, 4), rounded(r.Radial, 0, 4), rounded(r.Tension, 0, 1)}
}

func mean(values []float64) float64 {
	sum := 0.0
	for _, v := range values {
		sum += v
	}
	return sum / float64(max(1, len(values)))
}

// to rounds to some decimals.
func to(x float64, decimals int) float64 {
	unit := math.Pow10(decimals)
	return math.Round(x*unit) / unit
}
