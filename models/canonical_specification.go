package models

// TrailName implements Recorded. Version 2 adds what the turn list needs,
// version 3 block models and packs that name theirs, version 4 packs that take
// over their model's table and limits, version 5 packs with a transport test
// summary, version 6 kits; a form without them is encoded as version 1 always was.
func (r ProductRevision) TrailName() (string, string, int) {
	switch f := r.Form; {
	case f.Kit != nil:
		return "product_revision", r.ProductID, 6
	case f.Pack != nil && f.Pack.TestSummary != "":
		return "product_revision", r.ProductID, 5
	case f.Pack != nil && (len(f.Pack.VoltageTable) > 0 || len(f.Pack.Limits) > 0):
		return "product_revision", r.ProductID, 4
	case f.Block != nil, f.Pack != nil && f.Pack.BlockProduct != "":
		return "product_revision", r.ProductID, 3
	case f.Wheel != nil && f.Wheel.Truing != nil:
		return "product_revision", r.ProductID, 2
	}
	return "product_revision", r.ProductID, 1
}

// Canonical implements Recorded.
func (r ProductRevision) Canonical() map[string]any {
	f := fields{"product": r.ProductID, "revision": r.Revision, "reason": r.Reason, "created_by": r.CreatedBy, "created_at": TimeText(r.CreatedAt)}
	if w := r.Form.Wheel; w != nil {
		f["wheel"] = w.canonical()
	}
	if p := r.Form.Pack; p != nil {
		f["pack"] = p.canonical()
	}
	if b := r.Form.Block; b != nil {
		f["block"] = b.canonical()
	}
	if k := r.Form.Kit; k != nil {
		f["kit"] = k.canonical()
	}
	return f
}

func (w WheelForm) canonical() map[string]any {
	f := fields{"holes": w.Holes, "crossing": w.Crossing}
	put(f, "rim", w.Rim)
	put(f, "motor", w.Motor)
	put(f, "spoke_type", w.SpokeType)
	put(f, "side_a", w.SideA)
	put(f, "side_b", w.SideB)
	put(f, "dish_target", w.DishTarget)
	put(f, "dish_reference", w.DishReference)
	put(f, "dish_nominal", w.DishNominal)
	put(f, "rim_max_tension", w.RimMaxTension)
	put(f, "expected_ratio", w.ExpectedRatio)
	if g := w.Geometry; g != nil {
		o := fields{}
		put(o, "rim_radius", g.RimRadius)
		put(o, "nipple_inset", g.NippleInset)
		put(o, "flange_radius_a", g.FlangeRadiusA)
		put(o, "flange_radius_b", g.FlangeRadiusB)
		put(o, "flange_offset_a", g.FlangeOffsetA)
		put(o, "flange_offset_b", g.FlangeOffsetB)
		put(o, "spoke_diameter", g.SpokeDiameter)
		f["geometry"] = o
	}
	if w.Truing != nil {
		f["truing"] = w.Truing.canonical()
	}
	return f
}

func (t WheelTruing) canonical() map[string]any {
	f := fields{}
	put(f, "section", t.Section)
	put(f, "ea", t.EA)
	put(f, "ei_in_plane", t.InPlaneEI)
	put(f, "ei_lateral", t.LateralEI)
	put(f, "gj", t.GJ)
	put(f, "gauge_outset", t.GaugeOutset)
	put(f, "thread_pitch", t.ThreadPitch)
	put(f, "smallest_turn", t.SmallestTurn)
	put(f, "ends_length", t.EndsLength)
	put(f, "middle_diameter", t.MiddleDiameter)
	put(f, "tension_uncertainty", t.TensionUncertainty)
	return f
}

func (p PackForm) canonical() map[string]any {
	f := fields{"cells": p.Cells, "strings": p.Strings, "blocks": p.Blocks}
	put(f, "block_model", p.BlockModel)
	put(f, "chemistry", p.Chemistry)
	put(f, "capacity_ah", p.CapacityAh)
	put(f, "rate", p.Rate)
	put(f, "nominal_v", p.NominalV)
	put(f, "resistance_method", p.ResistanceMethod)
	put(f, "resistance_low", p.ResistanceLow)
	put(f, "resistance_high", p.ResistanceHigh)
	put(f, "min_rest_hours", p.MinRestHours)
	if p.BlockProduct != "" {
		f["block_product"], f["block_revision"] = p.BlockProduct, p.BlockRevision
	}
	put(f, "transport_test_summary", p.TestSummary)
	putFigures(f, p.VoltageTable, p.Limits)
	return f
}

// TrailName implements Recorded. Version 2 adds a result's own rule and the
// budget that its uncertainty comes from; one without them is encoded as version 1
// always was.
func (s Specification) TrailName() (string, string, int) {
	for _, c := range s.Characteristics {
		for _, l := range c.Results {
			if l.Rule != "" || l.Budget != "" {
				return "specification", s.ID, 2
			}
		}
	}
	return "specification", s.ID, 1
}

// Canonical implements Recorded.
func (s Specification) Canonical() map[string]any {
	characteristics := make([]any, len(s.Characteristics))
	for i, c := range s.Characteristics {
		characteristics[i] = c.canonical()
	}
	f := fields{"id": s.ID, "family": s.FamilyID, "revision": s.Revision, "grade": s.Grade, "rule": s.Rule, "applies_to_stock": s.AppliesToStock,
		"characteristics": characteristics, "reason": s.Reason, "created_by": s.CreatedBy, "created_at": TimeText(s.CreatedAt)}
	put(f, "guard_factor", s.GuardFactor)
	putPointer(f, "product", s.ProductID)
	return f
}

func (c Characteristic) canonical() map[string]any {
	results := make([]any, len(c.Results))
	for i, l := range c.Results {
		f := fields{"result": l.Result, "decimals": l.Decimals}
		put(f, "unit", l.Unit)
		put(f, "low", l.Low)
		put(f, "high", l.High)
		put(f, "warn", l.Warn)
		put(f, "u", l.U)
		putTexts(f, "required", l.Required)
		put(f, "rule", l.Rule)
		put(f, "guard_factor", l.GuardFactor)
		put(f, "budget", l.Budget)
		results[i] = f
	}
	f := fields{"code": c.Code, "form": c.Form, "results": results}
	put(f, "unit", c.Unit)
	put(f, "instrument", c.Instrument)
	putTexts(f, "units", c.Units)
	putTexts(f, "methods", c.Methods)
	putTexts(f, "choices", c.Choices)
	if c.Hundredths {
		f["hundredths"] = true
	}
	if len(c.Sample) > 0 {
		sample := make([]any, len(c.Sample))
		for i, n := range c.Sample {
			sample[i] = n
		}
		f["sample"] = sample
	}
	return f
}

func putTexts(f fields, name string, values []string) {
	if len(values) == 0 {
		return
	}
	list := make([]any, len(values))
	for i, v := range values {
		list[i] = v
	}
	f[name] = list
}
