package wheel

import (
	"fmt"

	"tracewright/models/numbers/measure"
)

// Codes of the results that a grade limits, in the order in which they are
// listed. Lengths in mm, the last two in percent of the mean of the side.
const (
	LateralTIR       = "lateral_tir"
	RadialTIR        = "radial_tir"
	DishAbsolute     = "dish_abs"
	SideDeviationPct = "side_tension_dev_pct"
	AdjacentPct      = "adjacent_diff_pct"
)

// GradedCodes lists the codes that a grade limits, in order.
func GradedCodes() []string {
	return []string{LateralTIR, RadialTIR, DishAbsolute, SideDeviationPct, AdjacentPct}
}

// GradesVersion names the grade table below; it is stored with a verdict made
// by it and raised with every change.
const GradesVersion = "grades-1"

// Grade is one set of upper limits, as exact decimals in text. A value equal
// to its limit passes.
type Grade struct {
	Name        string
	LateralTIR  string // mm
	RadialTIR   string // mm
	DishAbs     string // mm, distance from the target
	SideDevPct  string // %, largest deviation from the mean of the side
	AdjacentPct string // %, largest step between neighbours of a side
	CVWarnPct   string // %, spread of a side above which a page warns; no limit
}

// Limit gives the upper limit of a code of GradedCodes, and whether there is
// one.
func (g Grade) Limit(code string) (limit string, ok bool) {
	switch code {
	case LateralTIR:
		return g.LateralTIR, true
	case RadialTIR:
		return g.RadialTIR, true
	case DishAbsolute:
		return g.DishAbs, true
	case SideDeviationPct:
		return g.SideDevPct, true
	case AdjacentPct:
		return g.AdjacentPct, true
	}
	return "", false
}

// Grades gives the default grades, best first: common practice, no source,
// editable in a specification. Standards give less to go by: ISO 4210-2
// (clause 4.10.1, quoted from memory) allows 1.0 mm run-out where the rim is
// braked and 2.0 mm elsewhere, and no standard known limits spoke tension.
func Grades() []Grade {
	return []Grade{
		{"fine", "0.20", "0.30", "0.50", "10", "15", "5"},
		{"standard", "0.30", "0.50", "1.00", "15", "20", "7"},
		{"utility", "0.50", "0.80", "1.00", "20", "30", "10"},
		{"minimum", "1.00", "1.00", "2.00", "25", "40", "12"},
	}
}

// GradeNamed gives a default grade by its name.
func GradeNamed(name string) (Grade, bool) {
	for _, g := range Grades() {
		if g.Name == name {
			return g, true
		}
	}
	return Grade{}, false
}

// Limits without a grade, common practice, no source; the rim maker's greatest
// tension comes first. Newtons.
const (
	TightSideMeanLowN  = 800  // mean of the tighter side, at least
	TightSideMeanHighN = 1300 // and at most
	LowestTensionN     = 450  // any spoke, at least
)

// GradeVerdict says which grade a wheel reaches. An empty name is no grade:
// the wheel is held.
type GradeVerdict struct {
	Grade          string              // best grade whose limits all hold
	Guarded        bool                // uncertainties were given
	GradeWithGuard string              // the same with value + U in place of the value
	FailedLimits   map[string][]string // grade name -> codes above its limit, in order
}

// GradeOf compares results with the default grades, in exact decimals: a grade
// is reached when every value is at most its limit. With expanded
// uncertainties U it also gives the grade for which value + U is at most the
// limit, so that a shop can see what a guarded rule would cost. It is a
// comparison for the eye, not a verdict on paper: noise makes a TIR too large
// already, so a guarded verdict on TIR needs more than adding U. Source: common
// practice, no source.
//
// Every code of GradedCodes must have a value, and U, unless nil, too;
// otherwise ErrInput names the first that is missing or negative.
func GradeOf(values, expanded map[string]measure.Decimal) (GradeVerdict, error) {
	if err := checkGraded("values", values); err != nil {
		return GradeVerdict{}, err
	}
	out := GradeVerdict{Guarded: expanded != nil, FailedLimits: map[string][]string{}}
	guarded := values
	if expanded != nil {
		if err := checkGraded("expanded_uncertainty", expanded); err != nil {
			return GradeVerdict{}, err
		}
		guarded = map[string]measure.Decimal{}
		for _, code := range GradedCodes() {
			sum, err := values[code].Add(expanded[code])
			if err != nil {
				return GradeVerdict{}, fmt.Errorf("add uncertainty of %s: %w", code, err)
			}
			guarded[code] = sum
		}
	}
	for _, g := range Grades() {
		failed, err := g.failed(values)
		if err != nil {
			return GradeVerdict{}, err
		}
		out.FailedLimits[g.Name] = failed
		if len(failed) == 0 && out.Grade == "" {
			out.Grade = g.Name
		}
		if expanded == nil || out.GradeWithGuard != "" {
			continue
		}
		if failed, err = g.failed(guarded); err != nil {
			return GradeVerdict{}, err
		}
		if len(failed) == 0 {
			out.GradeWithGuard = g.Name
		}
	}
	return out, nil
}

// failed lists the codes whose value lies above the grade's limit.
func (g Grade) failed(values map[string]measure.Decimal) ([]string, error) {
	codes := []string{}
	for _, code := range GradedCodes() {
		text, _ := g.Limit(code)
		limit, err := measure.Parse(text)
		if err != nil {
			return nil, fmt.Errorf("limit of %s in grade %s: %w", code, g.Name, err)
		}
		if values[code].Cmp(limit) > 0 {
			codes = append(codes, code)
		}
	}
	return codes, nil
}

// checkGraded refuses a list of values with a gap, or below zero.
func checkGraded(field string, values map[string]measure.Decimal) error {
	for _, code := range GradedCodes() {
		v, ok := values[code]
		if !ok || !v.Given() {
			return fieldf(field+"."+code, "is missing")
		}
		if v.Sign() < 0 {
			return fieldf(field+"."+code, "cannot be negative")
		}
	}
	return nil
}
