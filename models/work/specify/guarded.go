package specify

import (
	"fmt"
	"strings"

	"tracewright/models"
	"tracewright/models/numbers/conformity"
	"tracewright/models/numbers/measure"
)

// guarded refuses a guarded rule where it cannot be applied honestly, naming
// each limit it fails on.
//
// A full indicator reading is the difference of two extremes, so noise makes it
// too large on average, by about 4.2 standard deviations at 36 stations of a
// flat rim (the expected range of 36 normal values): value plus U would count
// that twice. It needs a margin found by simulation; until there is one, no
// specification with a limited full reading may be guarded.
func (c *checker) guarded(factor measure.Decimal, characteristics []models.Characteristic) {
	for i, characteristic := range characteristics {
		for j, limit := range characteristic.Results {
			if !limit.HasLimit() {
				continue
			}
			field := fmt.Sprintf("characteristics[%d].results[%d]", i, j)
			if strings.HasSuffix(limit.Result, "_tir") {
				c.Add("rule", "guarded_not_for_runout", "code", limit.Result)
				continue
			}
			c.acceptance(field, factor, limit)
		}
	}
}

// acceptance asks the rule itself whether the limits leave anything to accept.
// Limits that are no numbers have been refused already.
func (c *checker) acceptance(field string, factor measure.Decimal, limit models.Limit) {
	if limit.U == "" {
		c.Add(field+".u", "guarded_needs_uncertainty", "code", limit.Result)
		return
	}
	u, err := measure.Parse(limit.U)
	if err != nil {
		return
	}
	q := conformity.Question{Rule: conformity.Guarded, U: &u, R: factor}
	for _, side := range []struct {
		text string
		into **measure.Decimal
	}{{limit.Low, &q.Limits.Low}, {limit.High, &q.Limits.High}} {
		if side.text == "" {
			continue
		}
		d, err := measure.Parse(side.text)
		if err != nil {
			return
		}
		*side.into, q.Value = &d, d
	}
	judgement, err := conformity.Judge(q)
	if err == nil && judgement.Outcome == conformity.Refused {
		c.Add(field+".u", "no_acceptance_zone", "code", limit.Result)
	}
}
