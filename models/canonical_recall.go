package models

// TrailName implements Recorded.
func (r Recall) TrailName() (string, string, int) {
	if r.Scope.Trace != "" {
		return "recall", r.ID, 2
	}
	return "recall", r.ID, 1
}

// Canonical implements Recorded. Version 2 is that of a recall of what a reverse
// trace found.
func (r Recall) Canonical() map[string]any {
	s := fields{}
	put(s, "lot", r.Scope.Lot)
	put(s, "part", r.Scope.Part)
	put(s, "instrument", r.Scope.Instrument)
	put(s, "trace", r.Scope.Trace)
	put(s, "place", r.Scope.Place)
	put(s, "person", r.Scope.Person)
	if !r.Scope.From.IsZero() {
		s["from"] = TimeText(r.Scope.From)
	}
	if !r.Scope.To.IsZero() {
		s["to"] = TimeText(r.Scope.To)
	}
	return fields{"id": r.ID, "number": r.Number, "reason": r.Reason, "wanted": r.Wanted, "scope": s, "made_by": r.MadeBy, "made_at": TimeText(r.MadeAt)}
}

// TrailName implements Recorded.
func (r RecallRun) TrailName() (string, string, int) { return "recall_run", r.ID, 1 }

// Canonical implements Recorded.
func (r RecallRun) Canonical() map[string]any {
	items := make([]any, len(r.Items))
	for i, x := range r.Items {
		f := fields{"item": x.Item, "where": x.Where}
		if x.Possibly {
			f["possibly"] = true
		}
		items[i] = f
	}
	return fields{"id": r.ID, "recall": r.RecallID, "n": r.N, "items": items, "run_by": r.RunBy, "run_at": TimeText(r.RunAt)}
}

// TrailName implements Recorded.
func (r RecallResponse) TrailName() (string, string, int) { return "recall_response", r.ID, 1 }

// Canonical implements Recorded.
func (r RecallResponse) Canonical() map[string]any {
	return fields{"id": r.ID, "recall": r.RecallID, "item": r.ItemID, "response": r.Response, "responded_by": r.RespondedBy, "responded_at": TimeText(r.RespondedAt)}
}

// TrailName implements Recorded.
func (e RecallEnd) TrailName() (string, string, int) { return "recall_end", e.RecallID, 1 }

// Canonical implements Recorded.
func (e RecallEnd) Canonical() map[string]any {
	return fields{"recall": e.RecallID, "reason": e.Reason, "ended_by": e.EndedBy, "ended_at": TimeText(e.EndedAt)}
}
