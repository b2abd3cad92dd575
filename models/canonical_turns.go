package models

// TrailName implements Recorded.
func (l TurnList) TrailName() (string, string, int) { return "turn_list", l.ID, 1 }

// Canonical covers the content by its hash.
func (l TurnList) Canonical() map[string]any {
	f := fields{"id": l.ID, "inspection": l.InspectionID, "item": l.ItemID, "n": l.N, "short": l.Short, "content": l.ContentHash,
		"made_by": l.MadeBy, "made_at": TimeText(l.MadeAt)}
	put(f, "rim_type", l.RimType)
	return f
}

// TrailName implements Recorded.
func (d TurnDone) TrailName() (string, string, int) { return "turn_done", d.ID, 1 }

// Canonical implements Recorded.
func (d TurnDone) Canonical() map[string]any {
	return fields{"id": d.ID, "turn_list": d.TurnListID, "list": d.List, "n": d.N, "turned": d.Turned, "done_by": d.DoneBy, "done_at": TimeText(d.DoneAt)}
}

// TrailName implements Recorded.
func (r TurnRound) TrailName() (string, string, int) { return "turn_round", r.InspectionID, 1 }

// Canonical covers the content, the scales among it, by its hash.
func (r TurnRound) Canonical() map[string]any {
	f := fields{"inspection": r.InspectionID, "turn_list": r.TurnListID, "item": r.ItemID, "teaches": r.Teaches, "stop": r.Stop, "content": r.ContentHash,
		"compared_by": r.ComparedBy, "compared_at": TimeText(r.ComparedAt)}
	put(f, "rim_type", r.RimType)
	put(f, "cause", r.Cause)
	return f
}

// TrailName implements Recorded.
func (a TurnAnswer) TrailName() (string, string, int) { return "turn_answer", a.ID, 1 }

// Canonical implements Recorded.
func (a TurnAnswer) Canonical() map[string]any {
	return fields{"id": a.ID, "inspection": a.InspectionID, "cause": a.Cause, "settles": a.Settles, "answered_by": a.AnsweredBy, "answered_at": TimeText(a.AnsweredAt)}
}
