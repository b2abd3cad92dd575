package truing

import (
	"errors"
	"fmt"

	"tracewright/models"
	"tracewright/models/numbers/measure"
	"tracewright/models/trade/wheel"
)

// spokeModulus is that of stainless spoke wire, N/mm2: 190 to 210 GPa, middle.
// From memory, no source; what is learned corrects it.
const spokeModulus = 200_000

// notReady says what a product's form lacks for a turn list.
func notReady(form models.ProductForm) []models.Remark {
	var missing []models.Remark
	w := form.Wheel
	if w == nil {
		return []models.Remark{models.NewRemark("product")}
	}
	if w.Holes > wheel.MostSpokes {
		missing = append(missing, models.NewRemark("too_many_spokes", "most", fmt.Sprint(wheel.MostSpokes)))
	}
	if w.RimMaxTension == "" {
		missing = append(missing, models.NewRemark("rim_max_tension"))
	}
	if w.Geometry == nil {
		missing = append(missing, models.NewRemark("geometry"))
	}
	if w.Truing == nil {
		missing = append(missing, models.NewRemark("rim_section"))
	}
	return missing
}

// figures reads decimal texts of a form, which was checked when it was stored.
type figures struct{ err error }

func (f *figures) of(field, text string) float64 {
	if text == "" {
		return 0
	}
	d, err := measure.Parse(text)
	if err != nil {
		f.err = errors.Join(f.err, fmt.Errorf("%s of the product: %w", field, err))
	}
	return d.Float()
}

// build makes the wheel that the model is solved for. EA is kept in MN and the
// bending in N m2, a million times less than in N and N mm2.
func build(w models.WheelForm, tensionA float64) (wheel.Build, error) {
	var f figures
	g, t := w.Geometry, w.Truing
	b := wheel.Build{
		Geometry: wheel.Geometry{
			Spokes:    w.Holes,
			RimRadius: f.of("rim radius", g.RimRadius), NippleInset: f.of("nipple inset", g.NippleInset),
			FlangeRadiusA: f.of("flange radius", g.FlangeRadiusA), FlangeRadiusB: f.of("flange radius", g.FlangeRadiusB),
			FlangeOffsetA: f.of("flange offset", g.FlangeOffsetA), FlangeOffsetB: f.of("flange offset", g.FlangeOffsetB),
			CrossA: w.Crossing, CrossB: w.Crossing, SpokeE: spokeModulus,
			Profile: []wheel.Segment{{Diameter: f.of("spoke diameter", g.SpokeDiameter)}},
		},
		EA: 1e6 * f.of("EA", t.EA), InPlaneEI: 1e6 * f.of("EI", t.InPlaneEI), OutOfPlaneEI: 1e6 * f.of("EI", t.LateralEI), GJ: 1e6 * f.of("GJ", t.GJ),
		TensionA: tensionA, GaugeOutset: f.of("gauge line", t.GaugeOutset), PitchMM: f.of("thread pitch", t.ThreadPitch), Waves: w.Holes,
	}
	if t.MiddleDiameter != "" {
		b.Profile = []wheel.Segment{{Length: f.of("ends of the spoke", t.EndsLength), Diameter: b.Profile[0].Diameter}, {Diameter: f.of("middle of the spoke", t.MiddleDiameter)}}
	}
	return b, f.err
}

// expectedRatio is mean tension of side A over that of side B: the product's
// own figure, or that of its geometry.
func expectedRatio(w models.WheelForm, g wheel.Geometry) (float64, error) {
	var f figures
	if typed := f.of("expected ratio", w.ExpectedRatio); typed > 0 || f.err != nil {
		return typed, f.err
	}
	return g.ExpectedRatio()
}

// rimType is what learning belongs to: rim and spoke as the shop calls them,
// however written; where neither has a name, the product alone.
func rimType(productID string, w models.WheelForm) string {
	if w.Rim == "" && w.SpokeType == "" {
		return "product " + productID
	}
	return models.Alike(w.Rim) + " | " + models.Alike(w.SpokeType)
}
