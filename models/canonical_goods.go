package models

// TrailName implements Recorded.
func (m Material) TrailName() (string, string, int) { return "material", m.Code, 1 }

// Canonical implements Recorded.
func (m Material) Canonical() map[string]any {
	f := fields{"code": m.Code, "name": m.Name, "unit": m.Unit, "plan": m.Plan.canonical(), "changed_by": m.ChangedBy, "changed_at": TimeText(m.ChangedAt)}
	putTexts(f, "roles", m.Roles)
	putCount(f, "least", m.Least)
	return f
}

func (p LotPlan) canonical() map[string]any {
	f := fields{}
	put(f, "kind", p.Kind)
	put(f, "bad_percent", p.Bad)
	put(f, "risk_percent", p.Risk)
	put(f, "level", p.Level)
	put(f, "aql", p.AQL)
	return f
}

func putCount(f fields, name string, n int) {
	if n != 0 {
		f[name] = n
	}
}

// TrailName implements Recorded.
func (s Supplier) TrailName() (string, string, int) { return "supplier", s.Name, 1 }

// Canonical implements Recorded.
func (s Supplier) Canonical() map[string]any {
	return fields{"name": s.Name, "added_by": s.AddedBy, "added_at": TimeText(s.AddedAt)}
}

// TrailName implements Recorded.
func (c LotCheck) TrailName() (string, string, int) { return "lot_check", c.ID, 1 }

// Canonical implements Recorded.
func (c LotCheck) Canonical() map[string]any {
	f := fields{"id": c.ID, "lot": c.LotID, "plan": c.Plan.canonical(), "lot_size": c.Lot, "size": c.Size, "accept": c.Accept, "looked": c.Looked, "verdict": c.Verdict,
		"checked_by": c.CheckedBy, "checked_at": TimeText(c.CheckedAt)}
	put(f, "note", c.Note)
	if len(c.Bad) > 0 {
		rows := make([]any, len(c.Bad))
		for i, b := range c.Bad {
			rows[i] = fields{"code": b.Code, "count": b.Count}
		}
		f["bad"] = rows
	}
	return f
}

// TrailName implements Recorded.
func (d LotDecision) TrailName() (string, string, int) { return "lot_decision", d.ID, 1 }

// Canonical implements Recorded.
func (d LotDecision) Canonical() map[string]any {
	f := fields{"id": d.ID, "lot": d.LotID, "decision": d.Decision, "decided_by": d.DecidedBy, "decided_at": TimeText(d.DecidedAt)}
	putPointer(f, "check", d.CheckID)
	putCount(f, "quantity", d.Quantity)
	put(f, "reason", d.Reason)
	return f
}

// TrailName implements Recorded.
func (s LotScrap) TrailName() (string, string, int) { return "lot_scrap", s.ID, 1 }

// Canonical implements Recorded.
func (s LotScrap) Canonical() map[string]any {
	f := fields{"id": s.ID, "lot": s.LotID, "quantity": s.Quantity, "code": s.Code, "scrapped_by": s.ScrappedBy, "scrapped_at": TimeText(s.ScrappedAt)}
	put(f, "reason", s.Reason)
	return f
}

// TrailName implements Recorded.
func (c LotCount) TrailName() (string, string, int) { return "lot_count", c.ID, 1 }

// Canonical implements Recorded.
func (c LotCount) Canonical() map[string]any {
	return fields{"id": c.ID, "lot": c.LotID, "counted": c.Counted, "expected": c.Expected, "counted_by": c.CountedBy, "counted_at": TimeText(c.CountedAt)}
}

// TrailName implements Recorded.
func (e LotExplanation) TrailName() (string, string, int) { return "lot_explanation", e.ID, 1 }

// Canonical implements Recorded.
func (e LotExplanation) Canonical() map[string]any {
	f := fields{"id": e.ID, "lot": e.LotID, "difference": e.Difference, "reason": e.Reason, "explained_by": e.ExplainedBy, "explained_at": TimeText(e.ExplainedAt)}
	putPointer(f, "count", e.CountID)
	return f
}

// TrailName implements Recorded.
func (m LotMix) TrailName() (string, string, int) { return "lot_mix", m.ID, 1 }

// Canonical implements Recorded.
func (m LotMix) Canonical() map[string]any {
	f := fields{"id": m.ID, "mix": m.MixID, "lot": m.LotID, "mixed_by": m.MixedBy, "mixed_at": TimeText(m.MixedAt)}
	putPointer(f, "via", m.ViaID)
	putCount(f, "quantity", m.Quantity)
	return f
}

// TrailName implements Recorded.
func (a Attachment) TrailName() (string, string, int) { return "attachment", a.ID, 1 }

// Canonical covers what may be personal by its salted hash alone.
func (a Attachment) Canonical() map[string]any {
	return fields{"id": a.ID, "subject_kind": a.SubjectKind, "subject": a.SubjectID, "salted": a.salted(), "added_by": a.AddedBy, "added_at": TimeText(a.AddedAt)}
}

func (a Attachment) salted() string { return saltedHash(a.Salt, a.FileHash, a.Name, a.Note) }
