package models

// TrailName implements Recorded.
func (c Charge) TrailName() (string, string, int) { return "charge", c.ID, 1 }

// Canonical implements Recorded.
func (c Charge) Canonical() map[string]any {
	f := fields{"id": c.ID, "item": c.ItemID, "kind": c.Kind, "started_at": TimeText(c.StartedAt), "started_by": c.StartedBy, "entered_at": TimeText(c.EnteredAt)}
	put(f, "charger", c.Charger)
	return f
}

// TrailName implements Recorded.
func (e ChargeEnd) TrailName() (string, string, int) { return "charge_end", e.ChargeID, 1 }

// Canonical implements Recorded.
func (e ChargeEnd) Canonical() map[string]any {
	f := fields{"charge": e.ChargeID, "ended_at": TimeText(e.EndedAt), "ended_by": e.EndedBy, "entered_at": TimeText(e.EnteredAt)}
	put(f, "end_current", e.EndCurrent)
	return f
}

// TrailName implements Recorded.
func (p ShelfPlace) TrailName() (string, string, int) { return "shelf_place", p.ID, 1 }

// Canonical implements Recorded.
func (p ShelfPlace) Canonical() map[string]any {
	f := fields{"id": p.ID, "item": p.ItemID, "since": TimeText(p.Since), "placed_by": p.PlacedBy, "entered_at": TimeText(p.EnteredAt)}
	put(f, "place", p.Place)
	return f
}

// TrailName implements Recorded.
func (t ShelfTemperature) TrailName() (string, string, int) { return "shelf_temperature", t.ID, 1 }

// Canonical implements Recorded.
func (t ShelfTemperature) Canonical() map[string]any {
	f := fields{"id": t.ID, "place": t.Place, "c": t.C, "at": TimeText(t.At), "entered_by": t.EnteredBy, "entered_at": TimeText(t.EnteredAt)}
	putPointer(f, "device", t.DeviceID)
	return f
}

// TrailName implements Recorded.
func (w WantedDate) TrailName() (string, string, int) { return "wanted_date", w.ID, 1 }

// Canonical implements Recorded.
func (w WantedDate) Canonical() map[string]any {
	f := fields{"id": w.ID, "item": w.ItemID, "set_by": w.SetBy, "set_at": TimeText(w.SetAt)}
	put(f, "day", w.Day)
	return f
}

// TrailName implements Recorded.
func (l BuildList) TrailName() (string, string, int) { return "build_list", l.FamilyID, 1 }

// Canonical implements Recorded.
func (l BuildList) Canonical() map[string]any {
	steps := make([]any, len(l.Steps))
	for i, s := range l.Steps {
		steps[i] = fields{"code": s.Code, "words": s.Words}
	}
	return fields{"family": l.FamilyID, "n": l.N, "steps": steps, "reason": l.Reason, "made_by": l.MadeBy, "made_at": TimeText(l.MadeAt)}
}

// TrailName implements Recorded.
func (t BuildTick) TrailName() (string, string, int) { return "build_tick", t.ID, 1 }

// Canonical implements Recorded.
func (t BuildTick) Canonical() map[string]any {
	f := fields{"id": t.ID, "item": t.ItemID, "step": t.Step, "done": t.Done, "done_by": t.DoneBy, "done_at": TimeText(t.DoneAt)}
	if len(t.Volts) > 0 {
		volts := make([]any, len(t.Volts))
		for i, v := range t.Volts {
			volts[i] = v
		}
		f["volts"] = volts
	}
	return f
}

// TrailName implements Recorded.
func (t CapacityTest) TrailName() (string, string, int) { return "capacity_test", t.ID, 1 }

// Canonical covers the log by its hash.
func (t CapacityTest) Canonical() map[string]any {
	return fields{"id": t.ID, "item": t.ItemID, "started_at": TimeText(t.StartedAt), "temperature_c": t.TemperatureC, "rated_ah": t.RatedAh, "cut_off_v": t.CutOffV,
		"coef_per_k": t.CoefPerK, "reference_c": t.ReferenceC, "strings": t.Strings, "accept_pct": t.AcceptPct, "log": t.LogHash, "entered_by": t.EnteredBy, "entered_at": TimeText(t.EnteredAt)}
}
