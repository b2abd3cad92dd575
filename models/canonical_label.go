package models

// TrailName implements Recorded.
func (p LabelPrint) TrailName() (string, string, int) { return "label_print", p.ID, 1 }

// Canonical implements Recorded.
func (p LabelPrint) Canonical() map[string]any {
	f := fields{"id": p.ID, "what": p.What, "subject": p.SubjectID, "n": p.N, "printed_by": p.PrintedBy, "printed_at": TimeText(p.PrintedAt)}
	put(f, "size", p.Size)
	put(f, "first", p.First)
	put(f, "last", p.Last)
	if p.Place > 0 {
		f["place"] = p.Place
	}
	return f
}
