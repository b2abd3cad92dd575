package models

func putList(f fields, name string, list []string) {
	if len(list) == 0 {
		return
	}
	rows := make([]any, len(list))
	for i, x := range list {
		rows[i] = x
	}
	f[name] = rows
}

// TrailName implements Recorded.
func (n Nonconformity) TrailName() (string, string, int) { return "nonconformity", n.ID, 1 }

// Canonical implements Recorded. The state follows from the steps.
func (n Nonconformity) Canonical() map[string]any {
	f := fields{"id": n.ID, "number": n.Number, "item": n.ItemID, "code": n.Code, "severity": string(n.Severity), "opened_by": n.OpenedBy, "opened_at": TimeText(n.OpenedAt)}
	putPointer(f, "inspection", n.InspectionID)
	put(f, "note", n.Note)
	putList(f, "failed", n.Failed)
	putList(f, "holds", n.Holds)
	return f
}

// TrailName implements Recorded. A step that says how bad it is is of version 2.
func (s NonconformityStep) TrailName() (string, string, int) {
	if s.Severity != "" {
		return "nonconformity_step", s.ID, 2
	}
	return "nonconformity_step", s.ID, 1
}

// Canonical implements Recorded.
func (s NonconformityStep) Canonical() map[string]any {
	f := fields{"id": s.ID, "nonconformity": s.NonconformityID, "what": s.What, "made_by": s.MadeBy, "made_at": TimeText(s.MadeAt)}
	putPointer(f, "inspection", s.InspectionID)
	putList(f, "results", s.Results)
	put(f, "work", s.Work)
	putList(f, "again", s.Again)
	put(f, "supplier", s.Supplier)
	put(f, "lot", s.Lot)
	if s.Marked {
		f["marked"] = true
	}
	putList(f, "holds", s.Holds)
	put(f, "severity", string(s.Severity))
	put(f, "note", s.Note)
	return f
}

// TrailName implements Recorded.
func (d DefectRevision) TrailName() (string, string, int) { return "defect_revision", d.ID, 1 }

// Canonical implements Recorded.
func (d DefectRevision) Canonical() map[string]any {
	f := fields{"id": d.ID, "code": d.Code, "revision": d.Revision, "severity": string(d.Severity), "reason": d.Reason, "made_by": d.MadeBy, "made_at": TimeText(d.MadeAt)}
	put(f, "name", d.Name)
	if d.Retired {
		f["retired"] = true
	}
	return f
}

// TrailName implements Recorded.
func (a CorrectiveAction) TrailName() (string, string, int) { return "corrective_action", a.ID, 1 }

// Canonical implements Recorded. The state follows from the steps.
func (a CorrectiveAction) Canonical() map[string]any {
	return fields{"id": a.ID, "number": a.Number, "opened_by": a.OpenedBy, "opened_at": TimeText(a.OpenedAt)}
}

// TrailName implements Recorded.
func (s CorrectiveActionStep) TrailName() (string, string, int) {
	return "corrective_action_step", s.ID, 1
}

// Canonical implements Recorded.
func (s CorrectiveActionStep) Canonical() map[string]any {
	f := fields{"id": s.ID, "corrective_action": s.ActionID, "what": s.What, "made_by": s.MadeBy, "made_at": TimeText(s.MadeAt)}
	put(f, "problem", s.Problem)
	put(f, "containment", s.Containment)
	put(f, "cause", s.Cause)
	put(f, "action", s.Action)
	put(f, "owner", s.OwnerID)
	put(f, "due_on", s.DueOn)
	put(f, "check_on", s.CheckOn)
	putList(f, "codes", s.Codes)
	putList(f, "lots", s.Lots)
	putList(f, "nonconformities", s.Nonconformities)
	if s.Worked {
		f["worked"] = true
	}
	put(f, "note", s.Note)
	return f
}
