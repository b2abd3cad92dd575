package web

import (
	"strconv"
	"strings"

	"tracewright/models"
	"tracewright/models/trade/pack"
)

// FieldGroup is a part of a long form under its own legend.
type FieldGroup struct {
	Legend, Hint string
	Fields       []Field
}

// productGroups are the questions of a product's short form. Names are those
// that a problem names: form.wheel.holes. named are the products that it may name:
// block models in a pack, wheels and packs in a kit.
func productGroups(kind string, f *form, named ...Choice) []FieldGroup {
	switch kind {
	case models.KindPack:
		return packGroups(f, named)
	case models.KindBlock:
		return blockGroups(f, true)
	case models.KindKit:
		return kitGroups(f, named)
	}
	return wheelGroups(f)
}

func wheelGroups(f *form) []FieldGroup {
	w := func(name string) string { return "form.wheel." + name }
	references := choices([]string{models.DishShoulders, models.DishFace, models.DishFrameGauge}, dishReference)
	crossings := []Choice{{"0", "none, radial"}, {"1", "1"}, {"2", "2"}, {"3", "3"}, {"4", "4"}}
	length := func(name, label string) Field {
		return f.field(Field{Name: w("geometry." + name), Label: label, Unit: "mm", Mode: "decimal", Width: "w4", Optional: true})
	}
	return []FieldGroup{
		{Legend: "The wheel", Fields: []Field{
			f.field(Field{Name: w("rim"), Label: "Rim", Width: "w6", Hint: "As the shop calls it.", Optional: true}),
			f.field(Field{Name: w("motor"), Label: "Motor", Width: "w6", Hint: "Supplier and model.", Optional: true}),
			f.field(Field{Name: w("holes"), Label: "Spokes", Mode: "numeric", Width: "w3"}),
			f.field(Field{Name: w("crossing"), Label: "Crossings", Kind: "select", Width: "w3", Choices: crossings}),
			f.field(Field{Name: w("spoke_type"), Label: "Spoke", Width: "w6", Hint: "Wire, butting, material.", Optional: true}),
			f.field(Field{Name: w("side_a"), Label: "Side A is the", Width: "w6", Hint: "What can be seen on it: cable side.", Optional: true}),
			f.field(Field{Name: w("side_b"), Label: "Side B is the", Width: "w6", Optional: true}),
		}},
		{Legend: "Dish and tension", Fields: []Field{
			f.field(Field{Name: w("dish_reference"), Label: "Dish is read from", Kind: "select", Width: "w4", Choices: references}),
			f.field(Field{Name: w("dish_target"), Label: "Dish target, toward A", Unit: "mm", Mode: "decimal", Width: "w4", Optional: true}),
			f.field(Field{Name: w("dish_nominal"), Label: "Reading on a perfect wheel", Unit: "mm", Mode: "decimal", Width: "w4", Optional: true, Hint: "Only when read from a face."}),
			f.field(Field{Name: w("rim_max_tension"), Label: "Most tension the rim maker allows", Unit: "N", Mode: "decimal", Width: "w6", Optional: true}),
			f.field(Field{Name: w("expected_ratio"), Label: "Mean tension, A over B", Mode: "decimal", Width: "w6", Optional: true, Hint: "Empty: not judged."}),
		}},
		{Legend: "Geometry", Hint: "Where the spokes’ angle follows from. All or nothing.", Fields: []Field{
			length("rim_radius", "Radius of the rim’s centroid"), length("nipple_inset", "Nipple seat inward of it"), length("spoke_diameter", "Spoke diameter"),
			length("flange_radius_a", "Flange hole radius, A"), length("flange_radius_b", "Flange hole radius, B"), length("flange_offset_a", "Flange from centre, A"), length("flange_offset_b", "Flange from centre, B"),
		}},
		truingGroup(f),
	}
}

func packGroups(f *form, blocks []Choice) []FieldGroup {
	p := func(name string) string { return "form.pack." + name }
	return []FieldGroup{
		{Legend: "The blocks", Fields: []Field{
			f.field(Field{Name: p("block_product"), Label: "Block model", Kind: "select", Width: "w6", Choices: blocks, Optional: true, Hint: "One that is named gives the figures of its blocks at the revision in force."}),
			f.field(Field{Name: p("block_model"), Label: "Block", Width: "w6", Hint: "Supplier and model.", Optional: true}),
			f.field(Field{Name: p("chemistry"), Label: "Made of", Kind: "select", Width: "w6", Choices: blockChemistries()}),
			f.field(Field{Name: p("cells"), Label: "Cells in a block", Mode: "numeric", Width: "w3"}),
			f.field(Field{Name: p("capacity_ah"), Label: "Rated capacity", Unit: "Ah", Mode: "decimal", Width: "w3", Optional: true}),
			f.field(Field{Name: p("rate"), Label: "At the rate of", Width: "w3", Optional: true, Hint: "C20: empty in 20 hours."}),
		}},
		{Legend: "The pack", Fields: []Field{
			f.field(Field{Name: p("blocks"), Label: "Blocks in a string", Mode: "numeric", Width: "w3"}),
			f.field(Field{Name: p("strings"), Label: "Strings side by side", Mode: "numeric", Width: "w3"}),
			f.field(Field{Name: p("nominal_v"), Label: "Nominal voltage", Unit: "V", Mode: "decimal", Width: "w3", Optional: true}),
		}},
		{Legend: "How it is measured", Fields: []Field{
			f.field(Field{Name: p("resistance_method"), Label: "Resistance by", Kind: "select", Width: "w6", Choices: choices([]string{models.ResistanceAC, models.ResistanceDC}, english.Manner), Hint: "The two ways are never mixed."}),
			f.field(Field{Name: p("resistance_low"), Label: "Plausible from", Unit: "mΩ", Mode: "decimal", Width: "w3", Optional: true}),
			f.field(Field{Name: p("resistance_high"), Label: "to", Unit: "mΩ", Mode: "decimal", Width: "w3", Optional: true}),
			f.field(Field{Name: p("min_rest_hours"), Label: "Rest before a voltage counts", Unit: "h", Mode: "decimal", Width: "w6", Optional: true}),
		}},
		{Legend: "Lithium: carriage", Hint: "A lithium pack is not released without the test summary of its own design: that of its cells does not do. The maker and the carrier say what holds.", Fields: []Field{
			f.field(Field{Name: p("transport_test_summary"), Label: "Transport test summary (UN 38.3)", Width: "w6", Optional: true, Hint: "Its number, or the exception that holds."}),
		}},
	}
}

func dishReference(code string) string {
	switch code {
	case models.DishShoulders:
		return "the two axle shoulders"
	case models.DishFace:
		return "one face of the motor"
	case models.DishFrameGauge:
		return "a gauge of the frame"
	}
	return code
}

// productForm reads the short form back from what was posted.
func productForm(kind string, value func(string) string) models.ProductForm {
	text := func(name string) string { return strings.TrimSpace(value(name)) }
	number := func(name string) int {
		n, err := strconv.Atoi(text(name))
		if err != nil {
			return 0 // Out of every allowed range: the service names the field.
		}
		return n
	}
	if kind == models.KindBlock {
		return models.ProductForm{Block: blockForm(text, number)}
	}
	if kind == models.KindKit {
		return models.ProductForm{Kit: kitForm(text)}
	}
	if kind == models.KindPack {
		p := func(name string) string { return text("form.pack." + name) }
		n := func(name string) int { return number("form.pack." + name) }
		return models.ProductForm{Pack: &models.PackForm{BlockModel: p("block_model"), Chemistry: p("chemistry"), Cells: n("cells"), CapacityAh: p("capacity_ah"), Rate: p("rate"), Strings: n("strings"), Blocks: n("blocks"),
			NominalV: p("nominal_v"), ResistanceMethod: p("resistance_method"), ResistanceLow: p("resistance_low"), ResistanceHigh: p("resistance_high"), MinRestHours: p("min_rest_hours"),
			BlockProduct: p("block_product"), TestSummary: p("transport_test_summary")}}
	}
	w := func(name string) string { return text("form.wheel." + name) }
	form := models.WheelForm{Rim: w("rim"), Motor: w("motor"), Holes: number("form.wheel.holes"), Crossing: number("form.wheel.crossing"), SpokeType: w("spoke_type"), SideA: w("side_a"), SideB: w("side_b"),
		DishTarget: w("dish_target"), DishReference: w("dish_reference"), DishNominal: w("dish_nominal"), RimMaxTension: w("rim_max_tension"), ExpectedRatio: w("expected_ratio")}
	g := func(name string) string { return w("geometry." + name) }
	geometry := models.WheelGeometry{RimRadius: g("rim_radius"), NippleInset: g("nipple_inset"), FlangeRadiusA: g("flange_radius_a"), FlangeRadiusB: g("flange_radius_b"), FlangeOffsetA: g("flange_offset_a"), FlangeOffsetB: g("flange_offset_b"), SpokeDiameter: g("spoke_diameter")}
	if geometry != (models.WheelGeometry{}) {
		form.Geometry = &geometry
	}
	form.Truing = truingForm(w)
	return models.ProductForm{Wheel: &form}
}

// formValues are the answers a product's form stands with.
func formValues(form models.ProductForm) map[string]string {
	v := map[string]string{}
	if w := form.Wheel; w != nil {
		p := "form.wheel."
		v[p+"rim"], v[p+"motor"], v[p+"holes"], v[p+"crossing"], v[p+"spoke_type"] = w.Rim, w.Motor, strconv.Itoa(w.Holes), strconv.Itoa(w.Crossing), w.SpokeType
		v[p+"side_a"], v[p+"side_b"], v[p+"dish_target"], v[p+"dish_reference"], v[p+"dish_nominal"] = w.SideA, w.SideB, w.DishTarget, w.DishReference, w.DishNominal
		v[p+"rim_max_tension"], v[p+"expected_ratio"] = w.RimMaxTension, w.ExpectedRatio
		if g := w.Geometry; g != nil {
			p += "geometry."
			v[p+"rim_radius"], v[p+"nipple_inset"], v[p+"spoke_diameter"] = g.RimRadius, g.NippleInset, g.SpokeDiameter
			v[p+"flange_radius_a"], v[p+"flange_radius_b"], v[p+"flange_offset_a"], v[p+"flange_offset_b"] = g.FlangeRadiusA, g.FlangeRadiusB, g.FlangeOffsetA, g.FlangeOffsetB
		}
		truingValues(v, w.Truing)
	}
	if b := form.Pack; b != nil {
		p := "form.pack."
		v[p+"block_model"], v[p+"chemistry"], v[p+"cells"], v[p+"capacity_ah"], v[p+"rate"] = b.BlockModel, b.Chemistry, strconv.Itoa(b.Cells), b.CapacityAh, b.Rate
		v[p+"strings"], v[p+"blocks"], v[p+"nominal_v"] = strconv.Itoa(b.Strings), strconv.Itoa(b.Blocks), b.NominalV
		v[p+"resistance_method"], v[p+"resistance_low"], v[p+"resistance_high"], v[p+"min_rest_hours"] = b.ResistanceMethod, b.ResistanceLow, b.ResistanceHigh, b.MinRestHours
		v[p+"block_product"], v[p+"transport_test_summary"] = b.BlockProduct, b.TestSummary
	}
	blockValues(v, form.Block)
	kitValues(v, form.Kit)
	return v
}

// usual is a form to begin a product with.
func usual(kind string) models.ProductForm {
	if kind == models.KindBlock {
		return usualBlock()
	}
	if kind == models.KindKit {
		return models.ProductForm{Kit: &models.KitForm{}}
	}
	if kind == models.KindPack {
		return models.ProductForm{Pack: &models.PackForm{Chemistry: string(pack.AGM), Cells: 6, Strings: 1, Blocks: 4, Rate: "C20", NominalV: "48", ResistanceMethod: models.ResistanceAC}}
	}
	return models.ProductForm{Wheel: &models.WheelForm{Holes: 36, Crossing: 1, DishTarget: "0", DishReference: models.DishShoulders, SideA: "cable side"}}
}
