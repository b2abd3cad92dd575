package models

// TrailName implements Recorded.
func (r Review) TrailName() (string, string, int) { return "review", r.ID, 1 }

// Canonical implements Recorded. The content enters by its hash.
func (r Review) Canonical() map[string]any {
	return fields{"id": r.ID, "period": r.Period, "first_day": r.FirstDay, "edition": r.Edition, "content": r.ContentHash, "file": r.FileHash, "made_by": r.MadeBy, "made_at": TimeText(r.MadeAt)}
}
