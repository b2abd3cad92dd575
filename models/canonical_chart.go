package models

import "tracewright/models/trail"

// TrailName implements Recorded.
func (b ChartBaseline) TrailName() (string, string, int) { return "chart_baseline", b.ID, 1 }

// Canonical implements Recorded. Of the limits it holds the hash.
func (b ChartBaseline) Canonical() map[string]any {
	f := fields{"id": b.ID, "family": b.FamilyID, "result": b.Result, "specification": b.SpecificationID, "first": b.FirstInspection, "last": b.LastInspection,
		"holds_from": TimeText(b.HoldsFrom), "limits": trail.Digest([]byte(b.Limits)), "made_by": b.MadeBy, "made_at": TimeText(b.MadeAt)}
	putPointer(f, "product", b.ProductID)
	put(f, "place", b.Place)
	put(f, "note", b.Note)
	if len(b.Excluded) > 0 {
		rows := make([]any, len(b.Excluded))
		for i, e := range b.Excluded {
			rows[i] = fields{"inspection": e.InspectionID, "reason": e.Reason}
		}
		f["excluded"] = rows
	}
	return f
}

// TrailName implements Recorded.
func (c SignalCause) TrailName() (string, string, int) { return "signal_cause", c.ID, 1 }

// Canonical implements Recorded.
func (c SignalCause) Canonical() map[string]any {
	f := fields{"id": c.ID, "family": c.FamilyID, "result": c.Result, "rule": c.Rule, "side": c.Side, "inspection": c.InspectionID, "code": c.Code,
		"made_by": c.MadeBy, "made_at": TimeText(c.MadeAt)}
	putPointer(f, "product", c.ProductID)
	put(f, "place", c.Place)
	put(f, "note", c.Note)
	put(f, "action", c.Action)
	return f
}

// TrailName implements Recorded.
func (e ChartEvent) TrailName() (string, string, int) { return "chart_event", e.ID, 1 }

// Canonical implements Recorded.
func (e ChartEvent) Canonical() map[string]any {
	f := fields{"id": e.ID, "at": TimeText(e.At), "words": e.Words, "made_by": e.MadeBy, "made_at": TimeText(e.MadeAt)}
	putPointer(f, "family", e.FamilyID)
	put(f, "place", e.Place)
	return f
}
