package specify

import (
	"fmt"

	"tracewright/models"
	"tracewright/models/numbers/measure"
)

const (
	fewestHoles = 12
	mostHoles   = 72
)

// wheelForm checks the short form of a wheel and brings its texts to the form
// in which they are stored. prefix is the path of the form: "form.wheel.".
//
// A spoke may cross at most N/8 spokes of its own side: with N spokes the angle
// between nipple and flange hole is then a right angle, the spoke leaves the
// flange along its edge, and more crossings would only go back (geometry).
func (c *checker) wheelForm(prefix string, w *models.WheelForm) {
	for _, t := range []struct {
		field string
		value *string
	}{{"rim", &w.Rim}, {"motor", &w.Motor}, {"spoke_type", &w.SpokeType}, {"side_a", &w.SideA}, {"side_b", &w.SideB}} {
		c.text(prefix+t.field, t.value, longestName)
	}
	c.whole(prefix+"holes", w.Holes, fewestHoles, mostHoles)
	if w.Holes%2 != 0 {
		c.Add(prefix+"holes", "must_be_even")
	}
	c.whole(prefix+"crossing", w.Crossing, 0, max(w.Holes, fewestHoles)/8)
	c.dish(prefix, w)
	c.decimal(prefix+"rim_max_tension", &w.RimMaxTension, above)
	c.decimal(prefix+"expected_ratio", &w.ExpectedRatio, above)
	if w.Geometry != nil {
		c.geometry(prefix+"geometry.", w.Geometry)
	}
	if w.Truing != nil {
		c.truing(prefix+"truing.", w)
	}
}

// dish checks target and reference. A wheel read from one face needs the
// distance that a perfect one shows; no other may name it.
func (c *checker) dish(prefix string, w *models.WheelForm) {
	if w.DishTarget == "" {
		w.DishTarget = "0"
	}
	if w.DishReference == "" {
		w.DishReference = models.DishShoulders
	}
	c.decimal(prefix+"dish_target", &w.DishTarget, anySign)
	switch w.DishReference {
	case models.DishShoulders, models.DishFrameGauge:
		c.decimal(prefix+"dish_nominal", &w.DishNominal, notBelow)
	case models.DishFace:
		if _, ok := c.decimal(prefix+"dish_nominal", &w.DishNominal, above); !ok && w.DishNominal == "" {
			c.Add(prefix+"dish_nominal", "missing")
		}
	default:
		c.Add(prefix+"dish_reference", "unknown_choice", "typed", models.Shortened(w.DishReference))
	}
}

// geometry checks the lengths that the angle of the spokes follows from: all
// given, and the flanges inside the circle of the nipple seats.
func (c *checker) geometry(prefix string, g *models.WheelGeometry) {
	lengths := map[string]measure.Decimal{}
	for _, l := range []struct {
		field   string
		value   *string
		allowed sign
	}{
		{"rim_radius", &g.RimRadius, above}, {"nipple_inset", &g.NippleInset, notBelow},
		{"flange_radius_a", &g.FlangeRadiusA, above}, {"flange_radius_b", &g.FlangeRadiusB, above},
		{"flange_offset_a", &g.FlangeOffsetA, above}, {"flange_offset_b", &g.FlangeOffsetB, above},
		{"spoke_diameter", &g.SpokeDiameter, above},
	} {
		d, ok := c.decimal(prefix+l.field, l.value, l.allowed)
		if ok {
			lengths[l.field] = d
		} else if *l.value == "" {
			c.Add(prefix+l.field, "missing")
		}
	}
	rim, okRim := lengths["rim_radius"]
	inset, okInset := lengths["nipple_inset"]
	if !okRim || !okInset {
		return
	}
	seat, err := rim.Sub(inset)
	if err != nil {
		c.Add(prefix+"rim_radius", "too_many_digits", "typed", g.RimRadius)
		return
	}
	for _, field := range []string{"flange_radius_a", "flange_radius_b"} {
		if radius, ok := lengths[field]; ok && radius.Cmp(seat) >= 0 {
			c.Add(prefix+field, "flange_too_large", "most", fmt.Sprint(seat))
		}
	}
}
