package specify

import (
	"fmt"
	"strings"

	"tracewright/models"
	"tracewright/models/numbers/conformity"
	"tracewright/models/numbers/measure"
)

// rules checks the decision rule for all and those of single results against
// limits and uncertainties.
func (c *checker) rules(in *SpecificationChange) {
	factor, ok := measure.Decimal{}, true
	switch rule := conformity.Rule(in.Rule); rule {
	case "", conformity.Simple:
		in.Rule, in.GuardFactor = string(conformity.Simple), ""
	case conformity.Guarded:
		factor, ok = c.factor("guard_factor", rule, &in.GuardFactor)
	default:
		c.Add("rule", "unknown_choice", "typed", models.Shortened(in.Rule))
		return
	}
	for i := range in.Characteristics {
		x := &in.Characteristics[i]
		for j := range x.Results {
			l, field := &x.Results[j], fmt.Sprintf("characteristics[%d].results[%d]", i, j)
			if l.Rule == "" || !l.HasLimit() {
				l.Rule, l.GuardFactor = "", ""
				if ok && l.HasLimit() {
					c.judgeable("rule", field, conformity.Rule(in.Rule), factor, *l)
				}
				continue
			}
			rule, own := conformity.Rule(l.Rule), measure.Decimal{}
			switch {
			case !rule.Known():
				c.Add(field+".rule", "unknown_choice", "typed", models.Shortened(l.Rule))
				continue
			case rule == conformity.Simple:
				l.GuardFactor = ""
			default:
				var known bool
				if own, known = c.factor(field+".guard_factor", rule, &l.GuardFactor); !known {
					continue
				}
			}
			c.judgeable(field+".rule", field, rule, own, *l)
		}
	}
}

// factor reads a guard factor, the usual one where it is empty.
func (c *checker) factor(field string, rule conformity.Rule, text *string) (measure.Decimal, bool) {
	if strings.TrimSpace(*text) == "" {
		*text = rule.UsualFactor()
	}
	return c.decimal(field, text, above)
}

// judgeable refuses a rule that cannot be applied honestly to a limit; atRule is
// the field that the rule was chosen in.
//
// A full indicator reading is the difference of two extremes, so noise makes it
// too large on average, by about 4.2 standard deviations at 36 stations of a
// flat rim (the expected range of 36 normal values): value plus U would count
// that twice. It needs a margin found by simulation; until there is one, no
// limited full reading may be judged with a guard band.
func (c *checker) judgeable(atRule, field string, rule conformity.Rule, factor measure.Decimal, limit models.Limit) {
	if !rule.NeedsUncertainty() {
		c.fit(field, limit)
		return
	}
	if strings.HasSuffix(limit.Result, "_tir") {
		c.Add(atRule, "guarded_not_for_runout", "code", limit.Result)
		return
	}
	if limit.U == "" {
		c.Add(field+".u", "guarded_needs_uncertainty", "code", limit.Result)
		return
	}
	q, ok := question(limit)
	if !ok {
		return // Said where it was typed.
	}
	q.Rule, q.R = rule, factor
	judgement, err := conformity.Judge(q)
	if err != nil {
		return
	}
	if judgement.Outcome == conformity.Refused || limit.Low == "" && q.Limits.High.Sign() > 0 && judgement.AcceptHigh.Sign() < 0 {
		// What has an upper limit alone is never below 0.
		c.Add(field+".u", "no_acceptance_zone", "code", limit.Result)
	}
}

// fit refuses an uncertainty larger than the tolerance, which under simple
// acceptance moves no limit and would pass unseen. What has an upper limit alone
// has its tolerance above 0.
func (c *checker) fit(field string, limit models.Limit) {
	q, ok := question(limit)
	if !ok || q.U == nil || q.Limits.High == nil {
		return
	}
	width := *q.Limits.High
	if q.Limits.Low != nil {
		var err error
		if width, err = width.Sub(*q.Limits.Low); err != nil {
			return
		}
	}
	if width.Sign() > 0 && q.U.Cmp(width) > 0 {
		c.Add(field+".u", "gauge_unfit", "code", limit.Result)
	}
}

// question holds the figures of a limit, with one of its own limits as the
// value. It reports false for one that is no number, which has been refused
// already.
func question(limit models.Limit) (conformity.Question, bool) {
	var q conformity.Question
	for _, side := range []struct {
		text string
		into **measure.Decimal
	}{{limit.U, &q.U}, {limit.Low, &q.Limits.Low}, {limit.High, &q.Limits.High}} {
		if side.text == "" {
			continue
		}
		d, err := measure.Parse(side.text)
		if err != nil {
			return q, false
		}
		*side.into, q.Value = &d, d
	}
	return q, true
}
