package web

import (
	"tracewright/models"
	"tracewright/models/trade/wheel"
)

const truingPrefix = "form.wheel.truing."

// truingGroup asks for what the turn list needs beside the geometry.
func truingGroup(f *form) FieldGroup {
	sections := []Choice{{"", "no turn list"}}
	for _, s := range wheel.Sections() {
		sections = append(sections, Choice{s.Code, s.Name})
	}
	sections = append(sections, Choice{models.SectionOwn, "figures of our own"})
	parts := []Choice{{"", "not said"}, {"0.25", "a quarter"}, {"0.125", "an eighth"}, {"0.0625", "a sixteenth"}}
	figure := func(name, label, unit, hint string) Field {
		return f.field(Field{Name: truingPrefix + name, Label: label, Unit: unit, Mode: "decimal", Width: "w3", Optional: true, Hint: hint})
	}
	return FieldGroup{Legend: "For the turn list",
		Hint: "What says which nipple to turn by how much. All or nothing, with the geometry and the rim maker’s most tension above. Rim figures from the table are assumed, not measured: plan for two or three rounds.",
		Fields: []Field{
			f.field(Field{Name: truingPrefix + "section", Label: "Rim like", Kind: "select", Width: "w6", Choices: sections, Hint: "Fills in the four figures that are left empty."}),
			f.field(Field{Name: truingPrefix + "smallest_turn", Label: "Smallest turn", Kind: "select", Width: "w3", Choices: parts, Hint: "Sixteenths are taken where more would be too much."}),
			figure("thread_pitch", "Thread of the spoke", "mm", "For one turn: 0.454 on wire of 1.8 to 2.6 mm."),
			figure("ea", "Rim, stretching", "MN", "EA"), figure("ei_in_plane", "Rim, bending in its plane", "N m²", "EI"),
			figure("ei_lateral", "Rim, bending to the side", "N m²", "EI"), figure("gj", "Rim, twisting", "N m²", "GJ"),
			figure("gauge_outset", "Lateral gauge, outward of the centroid", "mm", "Where its tip touches the rim."),
			figure("tension_uncertainty", "Uncertainty of the tension gauge", "N", "Only where the gauge’s own is not typed in."),
			figure("ends_length", "Butted spoke: thick ends together", "mm", "Empty for plain wire."), figure("middle_diameter", "Butted spoke: wire between them", "mm", ""),
		}}
}

// truingForm reads the group back; nil where nothing of it was answered.
func truingForm(value func(string) string) *models.WheelTruing {
	v := func(name string) string { return value("truing." + name) }
	t := models.WheelTruing{Section: v("section"), EA: v("ea"), InPlaneEI: v("ei_in_plane"), LateralEI: v("ei_lateral"), GJ: v("gj"), GaugeOutset: v("gauge_outset"), ThreadPitch: v("thread_pitch"),
		SmallestTurn: v("smallest_turn"), EndsLength: v("ends_length"), MiddleDiameter: v("middle_diameter"), TensionUncertainty: v("tension_uncertainty")}
	if t == (models.WheelTruing{}) {
		return nil
	}
	return &t
}

// truingValues adds the answers that stand.
func truingValues(v map[string]string, t *models.WheelTruing) {
	if t == nil {
		return
	}
	for name, value := range map[string]string{"section": t.Section, "ea": t.EA, "ei_in_plane": t.InPlaneEI, "ei_lateral": t.LateralEI, "gj": t.GJ, "gauge_outset": t.GaugeOutset, "thread_pitch": t.ThreadPitch,
		"smallest_turn": t.SmallestTurn, "ends_length": t.EndsLength, "middle_diameter": t.MiddleDiameter, "tension_uncertainty": t.TensionUncertainty} {
		v[truingPrefix+name] = value
	}
}
