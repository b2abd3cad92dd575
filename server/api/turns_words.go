package api

import (
	"fmt"
	"strings"

	"tracewright/models/words"
	"tracewright/models/work/truing"
)

// stopShape is a contradiction with the ways on from it.
type stopShape struct {
	Cause     string        `json:"cause"`
	Title     string        `json:"title"`
	Text      string        `json:"text"`
	Predicted readingsShape `json:"predicted"` // changes
	Observed  readingsShape `json:"observed"`  // changes
	Ways      []wayShape    `json:"ways"`
}

type wayShape struct {
	Cause     string         `json:"cause"`
	Title     string         `json:"title"`
	Text      string         `json:"text"`
	Fit       *fitOfWay      `json:"fit,omitempty"`
	Best      bool           `json:"best"`
	Predicted *readingsShape `json:"predicted,omitempty"` // changes
	Read      []int          `json:"read,omitempty"`
}

type fitOfWay struct {
	Lateral float64 `json:"lateral"`
	Tension float64 `json:"tension"`
}

// roundShape is what readings said about the list before them.
type roundShape struct {
	Of        string         `json:"of"`
	List      string         `json:"list"`
	Turned    int            `json:"turned"`
	Listed    int            `json:"listed"`
	Lateral   fitShape       `json:"lateral"`
	Radial    fitShape       `json:"radial"`
	Tension   fitShape       `json:"tension"`
	Predicted conditionShape `json:"predicted"`
	Observed  conditionShape `json:"observed"`
}

// fitShape compares a channel; Told is false where the change was too small to
// tell.
type fitShape struct {
	Scale       float64 `json:"scale"`
	Correlation float64 `json:"correlation"`
	Told        bool    `json:"told"`
}

func roundOf(r truing.Round) roundShape {
	fit := func(f truing.Fit) fitShape { return fitShape{to(f.Scale, 3), to(f.Correlation, 3), f.Told} }
	return roundShape{Of: r.Of, List: r.List, Turned: r.Turned, Listed: r.Listed, Lateral: fit(r.Lateral), Radial: fit(r.Radial), Tension: fit(r.Tension),
		Predicted: conditionOf(r.Predicted), Observed: conditionOf(r.Observed)}
}

func stopOf(s truing.Stop, r truing.Round) stopShape {
	shape := stopShape{Cause: s.Cause, Title: english.Say("turns.stop."+s.Cause, nil), Text: stopText(r), Predicted: readingsOf(s.Predicted, 0), Observed: readingsOf(s.Observed, 0)}
	for _, w := range s.Ways {
		way := wayShape{Cause: w.Cause, Title: english.Say("turns.way."+w.Cause, nil), Best: w.Best, Read: w.Read}
		way.Text = english.Say("turns.choose."+w.Cause, map[string]string{"spokes": wayText(w)})
		if len(w.Read) == 0 {
			predicted := readingsOf(w.Predicted, 0)
			way.Fit, way.Predicted = &fitOfWay{to(w.Lateral, 2), to(w.Tension, 2)}, &predicted
		}
		shape.Ways = append(shape.Ways, way)
	}
	return shape
}

// stopText says in words what was to happen and what did: of the lateral
// run-out, or of the evenness of the tensions where those contradict alone.
func stopText(r truing.Round) string {
	what, unit, decimals := "lateral", "mm", 2
	before, predicted, observed := r.Before.LateralTIR, r.Predicted.LateralTIR, r.Observed.LateralTIR
	if !contradicts(r.Lateral) && contradicts(r.Tension) {
		what, unit, decimals = "tension", "%", 1
		before, predicted, observed = worse(r.Before), worse(r.Predicted), worse(r.Observed)
	}
	before, predicted, observed = to(before, decimals), to(predicted, decimals), to(observed, decimals)
	shown := func(v float64) string { return words.Quantity(fmt.Sprintf("%.*f", decimals, v), unit) }
	values := map[string]string{"before": shown(before), "predicted": shown(predicted), "observed": shown(observed)}
	way := "fall"
	if predicted > before {
		way = "rise"
	}
	did := "stayed"
	switch {
	case observed > before:
		did = "rose"
	case observed < before:
		did = "fell"
	}
	did = english.Say("turns.stop.it."+did, values)
	return english.Say("turns.stop."+what+"."+way, values) + " " + english.Say("turns.stop.and."+tensionCode(r.Tension), map[string]string{"values": did})
}

// worse is the larger deviation of the two sides.
func worse(c truing.Condition) float64 { return max(c.DeviationA, c.DeviationB) }

// contradicts is what a page calls a channel that did not do as it was to.
func contradicts(f truing.Fit) bool {
	return f.Told && (f.Correlation < 0.7 || f.Scale < 0.4 || f.Scale > 1.5)
}

// tensionCode is how the sentence goes on about the tensions: not at all where
// they were to change too little to tell.
func tensionCode(f truing.Fit) string {
	switch {
	case !f.Told:
		return "nothing"
	case f.Correlation < -0.7:
		return "other"
	case contradicts(f):
		return "where"
	}
	return "as"
}

// wayText is what the sentence of a way counts: the spokes to read again, or by
// how many of its side each turn went astray.
func wayText(w truing.Way) string {
	if len(w.Read) > 0 {
		return spokeNumbers(w.Read)
	}
	return english.Count(max(w.Spokes, -w.Spokes)/2, "spoke")
}

func spokeNumbers(list []int) string {
	parts := make([]string, len(list))
	for i, j := range list {
		parts[i] = fmt.Sprint(j + 1)
	}
	return english.Join(parts)
}

func rimOf(r truing.RimFault) rimShape {
	shape := rimShape{}
	if r.Code == "" {
		return shape
	}
	mm := func(v float64) string { return words.Quantity(strings.TrimRight(fmt.Sprintf("%.2f", v), "0"), "mm") }
	values := map[string]string{"spoke": fmt.Sprint(r.At + 1), "value": words.Quantity(fmt.Sprintf("%.1f", r.Value), "mm"), "limit": mm(r.Limit)}
	if r.Kind != "" {
		values["kind"] = english.Say("turns.rim.kind."+r.Kind, nil)
	}
	at := r.At
	shape.Text, shape.At = english.Say("turns.rim."+r.Code, values), &at
	if r.Code == "joint" || r.Code == "joint_over" {
		shape.Joint = &jointShape{r.JointFrom, r.JointTo}
	}
	return shape
}
