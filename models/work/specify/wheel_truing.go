package specify

import (
	"fmt"

	"tracewright/models"
	"tracewright/models/numbers/measure"
	"tracewright/models/trade/wheel"
)

// turnParts are the parts of a turn that a shop may work in.
var turnParts = []string{"0.25", "0.125", "0.0625"}

// usualTurn is what a shop turns by where it does not say otherwise.
const usualTurn = "0.125"

// Bounds of the figures: ten times the stiffest rim of a road vehicle, and
// twice the coarsest thread of a spoke.
const (
	mostEA     = 150    // MN
	mostEI     = 15_000 // N m2
	mostPitch  = 2      // mm
	mostOutset = 60     // mm, either way
)

// truing checks what the turn list needs: all of it or nothing. Figures that
// are empty come from the row of the section; figures that are not those of
// the row are the shop's own, and so says the section then.
func (c *checker) truing(prefix string, w *models.WheelForm) {
	t := w.Truing
	c.section(prefix, t)
	c.atMost(prefix+"thread_pitch", &t.ThreadPitch, above, mostPitch, true)
	if d, ok := c.atMost(prefix+"gauge_outset", &t.GaugeOutset, anySign, mostOutset, true); ok && d.Cmp(measure.FromInt(-mostOutset)) < 0 {
		c.Add(prefix+"gauge_outset", "too_small", "least", fmt.Sprint(-mostOutset))
	}
	c.turnPart(prefix+"smallest_turn", &t.SmallestTurn)
	ends, hasEnds := c.atMost(prefix+"ends_length", &t.EndsLength, above, 1000, false)
	_, hasMiddle := c.atMost(prefix+"middle_diameter", &t.MiddleDiameter, above, 10, false)
	switch {
	case hasEnds && t.MiddleDiameter == "":
		c.Add(prefix+"middle_diameter", "missing")
	case hasMiddle && t.EndsLength == "":
		c.Add(prefix+"ends_length", "missing")
	case hasEnds && w.Geometry != nil:
		c.butted(prefix, ends, w.Geometry)
	}
	u, hasU := c.decimal(prefix+"tension_uncertainty", &t.TensionUncertainty, notBelow)
	if most, err := measure.Parse(w.RimMaxTension); hasU && err == nil && u.Cmp(most) >= 0 {
		c.Add(prefix+"tension_uncertainty", "too_big", "most", w.RimMaxTension)
	}
}

// section checks the four figures of the rim.
func (c *checker) section(prefix string, t *models.WheelTruing) {
	row, known := wheel.SectionCoded(t.Section)
	switch {
	case t.Section == "":
		c.Add(prefix+"section", "missing")
	case !known && t.Section != models.SectionOwn:
		c.Add(prefix+"section", "unknown_choice", "typed", models.Shortened(t.Section))
	}
	for _, x := range []struct {
		field string
		value *string
		row   string
		most  int64
	}{
		{"ea", &t.EA, row.EA, mostEA}, {"ei_in_plane", &t.InPlaneEI, row.InPlaneEI, mostEI},
		{"ei_lateral", &t.LateralEI, row.LateralEI, mostEI}, {"gj", &t.GJ, row.GJ, mostEI},
	} {
		if *x.value == "" && known {
			*x.value = x.row
		}
		d, ok := c.atMost(prefix+x.field, x.value, above, x.most, t.Section != "")
		if is, err := measure.Parse(x.row); ok && known && err == nil && d.Cmp(is) != 0 {
			t.Section = models.SectionOwn
		}
	}
}

// atMost is a decimal up to a bound; one that is needed and empty is missing.
func (c *checker) atMost(field string, value *string, allowed sign, most int64, needed bool) (measure.Decimal, bool) {
	d, ok := c.decimal(field, value, allowed)
	if !ok {
		if *value == "" && needed {
			c.Add(field, "missing")
		}
		return d, false
	}
	if d.Cmp(measure.FromInt(most)) > 0 {
		c.Add(field, "too_big", "most", fmt.Sprint(most))
		return d, false
	}
	return d, true
}

// turnPart is a quarter, an eighth or a sixteenth, the eighth where nothing is
// said.
func (c *checker) turnPart(field string, value *string) {
	if *value == "" {
		*value = usualTurn
	}
	d, ok := c.decimal(field, value, above)
	if !ok {
		return
	}
	for _, part := range turnParts {
		if is, err := measure.Parse(part); err == nil && d.Cmp(is) == 0 {
			*value = part
			return
		}
	}
	c.Add(field, "unknown_choice", "typed", models.Shortened(*value))
}

// butted refuses thick ends that leave nothing of the spoke between them: they
// are together shorter than from the nipple seat to the flange.
func (c *checker) butted(prefix string, ends measure.Decimal, g *models.WheelGeometry) {
	rim, errRim := measure.Parse(g.RimRadius)
	inset, errInset := measure.Parse(g.NippleInset)
	flange, errFlange := measure.Parse(g.FlangeRadiusA)
	if errRim != nil || errInset != nil || errFlange != nil {
		return // Said at the geometry.
	}
	if shortest := rim.Float() - inset.Float() - flange.Float(); ends.Float() >= shortest {
		c.Add(prefix+"ends_length", "too_big", "most", fmt.Sprintf("%.0f", shortest))
	}
}
