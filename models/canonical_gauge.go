package models

// TrailName implements Recorded.
func (r CalibrationReport) TrailName() (string, string, int) { return "calibration_report", r.ID, 1 }

// Canonical implements Recorded.
func (r CalibrationReport) Canonical() map[string]any {
	points := make([]any, len(r.Points))
	for i, p := range r.Points {
		f := fields{"reference": p.Reference, "as_found": p.AsFound, "as_left": p.AsLeft, "tolerance": p.Tolerance}
		put(f, "u", p.U)
		points[i] = f
	}
	f := fields{"id": r.ID, "instrument": r.InstrumentID, "n": r.N, "made_at": TimeText(r.MadeAt), "points": points, "adjusted": r.Adjusted, "as_found_good": r.AsFoundGood, "as_left_good": r.AsLeftGood,
		"entered_at": TimeText(r.EnteredAt), "entered_by": r.EnteredBy}
	put(f, "made_by", r.MadeBy)
	putPointer(f, "standard_id", r.StandardID)
	put(f, "standard", r.Standard)
	put(f, "note", r.Note)
	return f
}

// TrailName implements Recorded.
func (c GaugeCheck) TrailName() (string, string, int) { return "gauge_check", c.ID, 1 }

// Canonical implements Recorded.
func (c GaugeCheck) Canonical() map[string]any {
	f := fields{"id": c.ID, "instrument": c.InstrumentID, "what": c.What, "reference": c.Reference, "low": c.Low, "high": c.High, "added_at": TimeText(c.AddedAt), "added_by": c.AddedBy}
	put(f, "piece", c.Piece)
	putPointer(f, "standard_id", c.StandardID)
	if c.EndedAt != nil {
		f["ended_at"] = TimeText(*c.EndedAt)
	}
	putPointer(f, "ended_by", c.EndedBy)
	return f
}

// TrailName implements Recorded.
func (r GaugeReading) TrailName() (string, string, int) { return "gauge_reading", r.ID, 1 }

// Canonical implements Recorded.
func (r GaugeReading) Canonical() map[string]any {
	f := fields{"id": r.ID, "check": r.CheckID, "instrument": r.InstrumentID, "value": r.Value, "good": r.Good, "read_at": TimeText(r.ReadAt), "read_by": r.ReadBy}
	put(f, "place", r.Place)
	return f
}

// TrailName implements Recorded.
func (t GaugeTrace) TrailName() (string, string, int) { return "gauge_trace", t.ID, 1 }

// Canonical covers the content by its hash.
func (t GaugeTrace) Canonical() map[string]any {
	return fields{"id": t.ID, "instrument": t.InstrumentID, "cause": t.Cause, "cause_id": t.CauseID, "n": t.N, "content": t.ContentHash, "made_at": TimeText(t.MadeAt), "made_by": t.MadeBy}
}
