package models

import "time"

// The canonical encodings, version 1, of the records that hold no readings.
// Absent values are left out; times are RFC 3339 UTC with milliseconds.

const timeForm = "2006-01-02T15:04:05.000Z"

// TimeText is a time as encodings and certificates write it.
func TimeText(t time.Time) string { return t.UTC().Format(timeForm) }

type fields = map[string]any

func put(f fields, name, value string) {
	if value != "" {
		f[name] = value
	}
}

func putPointer(f fields, name string, value *string) {
	if value != nil {
		f[name] = *value
	}
}

// TrailName implements Recorded.
func (p Person) TrailName() (string, string, int) { return "person", p.ID, 1 }

// Canonical leaves the secrets out: a change of password is told by the
// entry's note, never by its hash.
func (p Person) Canonical() map[string]any {
	f := fields{"id": p.ID, "name": p.Name, "role": string(p.Role), "active": p.Active, "created_at": TimeText(p.CreatedAt)}
	putPointer(f, "login", p.Login)
	return f
}

// TrailName implements Recorded.
func (d Device) TrailName() (string, string, int) { return "device", d.ID, 1 }

// Canonical leaves out what its key is and opens, as it does of a person's secrets.
func (d Device) Canonical() map[string]any {
	f := fields{"id": d.ID, "name": d.Name, "place": d.Place, "enrolled_by": d.EnrolledBy, "enrolled_at": TimeText(d.EnrolledAt)}
	if d.RevokedAt != nil {
		f["revoked_at"] = TimeText(*d.RevokedAt)
	}
	putPointer(f, "revoked_by", d.RevokedBy)
	return f
}

// TrailName implements Recorded.
func (s Setting) TrailName() (string, string, int) { return "setting", s.Name, 1 }

// Canonical implements Recorded.
func (s Setting) Canonical() map[string]any { return fields{"name": s.Name, "value": s.Value} }

// TrailName implements Recorded.
func (x Family) TrailName() (string, string, int) { return "family", x.ID, 1 }

// Canonical implements Recorded.
func (x Family) Canonical() map[string]any {
	return fields{"id": x.ID, "kind": x.Kind, "name": x.Name, "created_by": x.CreatedBy, "created_at": TimeText(x.CreatedAt)}
}

// TrailName implements Recorded.
func (p Product) TrailName() (string, string, int) { return "product", p.ID, 1 }

// Canonical implements Recorded.
func (p Product) Canonical() map[string]any {
	return fields{"id": p.ID, "family": p.FamilyID, "name": p.Name, "created_by": p.CreatedBy, "created_at": TimeText(p.CreatedAt)}
}

// TrailName implements Recorded.
func (l Lot) TrailName() (string, string, int) { return "lot", l.ID, 1 }

// Canonical implements Recorded.
func (l Lot) Canonical() map[string]any {
	f := fields{"id": l.ID, "code": l.Code, "material": l.Material, "quantity": l.Quantity, "received_at": TimeText(l.ReceivedAt), "received_by": l.ReceivedBy}
	put(f, "description", l.Description)
	put(f, "supplier", l.Supplier)
	put(f, "supplier_code", l.SupplierCode)
	put(f, "date_code", l.DateCode)
	return f
}

// TrailName implements Recorded.
func (i Instrument) TrailName() (string, string, int) {
	if i.OutNote != "" {
		return "instrument", i.ID, 2
	}
	return "instrument", i.ID, 1
}

// Canonical leaves ChangedAt out: it is derived. Version 2 is that of an instrument
// that is out and may be used all the same.
func (i Instrument) Canonical() map[string]any {
	f := fields{"id": i.ID, "code": i.Code, "kind": i.Kind, "name": i.Name, "unit": i.Unit, "state": i.State, "created_by": i.CreatedBy, "created_at": TimeText(i.CreatedAt)}
	put(f, "place", i.Place)
	put(f, "range_low", i.RangeLow)
	put(f, "range_high", i.RangeHigh)
	put(f, "resolution", i.Resolution)
	put(f, "uncertainty", i.Uncertainty)
	put(f, "calibrated_on", i.CalibratedOn)
	put(f, "due_on", i.DueOn)
	put(f, "certificate_number", i.CertificateNumber)
	put(f, "out_note", i.OutNote)
	return f
}

// TrailName implements Recorded.
func (i Item) TrailName() (string, string, int) {
	if i.BuiltOn != "" {
		return "item", i.ID, 2
	}
	return "item", i.ID, 1
}

// Canonical leaves State and TurnsOpen out: they are derived. Version 2 is that of
// an item with the day it was built on.
func (i Item) Canonical() map[string]any {
	f := fields{"id": i.ID, "kind": i.Kind, "origin": i.Origin, "created_by": i.CreatedBy, "created_at": TimeText(i.CreatedAt)}
	putPointer(f, "serial", i.Serial)
	put(f, "supplier", i.Supplier)
	put(f, "model", i.Model)
	putPointer(f, "maker_number", i.MakerNumber)
	putPointer(f, "family", i.FamilyID)
	putPointer(f, "product", i.ProductID)
	put(f, "built_on", i.BuiltOn)
	return f
}

// TrailName implements Recorded.
func (p FittedPart) TrailName() (string, string, int) { return "fitted_part", p.ID, 1 }

// Canonical implements Recorded.
func (p FittedPart) Canonical() map[string]any {
	f := fields{"id": p.ID, "item": p.ItemID, "role": p.Role, "quantity": p.Quantity, "fitted_by": p.FittedBy, "fitted_at": TimeText(p.FittedAt)}
	put(f, "place", p.Place)
	put(f, "reason", p.Reason)
	putPointer(f, "lot", p.LotID)
	putPointer(f, "part", p.PartID)
	return f
}

// TrailName implements Recorded.
func (r PartRemoval) TrailName() (string, string, int) { return "part_removal", r.ID, 1 }

// Canonical implements Recorded.
func (r PartRemoval) Canonical() map[string]any {
	f := fields{"id": r.ID, "fitted": r.FittedID, "item": r.ItemID, "quantity": r.Quantity, "code": r.Code, "fate": r.Fate, "removed_by": r.RemovedBy, "removed_at": TimeText(r.RemovedAt)}
	put(f, "reason", r.Reason)
	return f
}

// TrailName implements Recorded.
func (r SerialRoll) TrailName() (string, string, int) { return "serial_roll", r.ID, 1 }

// Canonical implements Recorded.
func (r SerialRoll) Canonical() map[string]any {
	f := fields{"id": r.ID, "letter": r.Letter, "year": r.Year, "first": r.First, "last": r.Last, "printed_by": r.PrintedBy, "printed_at": TimeText(r.PrintedAt)}
	putPointer(f, "product", r.ProductID)
	return f
}

// TrailName implements Recorded.
func (h Hold) TrailName() (string, string, int) { return "hold", h.ID, 1 }

// Canonical implements Recorded.
func (h Hold) Canonical() map[string]any {
	f := fields{"id": h.ID, "code": h.Code, "reason": h.Reason, "raised_by": h.RaisedBy, "raised_at": TimeText(h.RaisedAt)}
	putPointer(f, "item", h.ItemID)
	putPointer(f, "lot", h.LotID)
	put(f, "state_before", h.StateBefore)
	return f
}

// TrailName implements Recorded.
func (l HoldLift) TrailName() (string, string, int) { return "hold_lift", l.HoldID, 1 }

// Canonical implements Recorded.
func (l HoldLift) Canonical() map[string]any {
	return fields{"hold": l.HoldID, "code": l.Code, "reason": l.Reason, "lifted_by": l.LiftedBy, "lifted_at": TimeText(l.LiftedAt)}
}

// TrailName implements Recorded. A signed certificate is of version 2.
func (c Certificate) TrailName() (string, string, int) {
	if c.Signed() != nil {
		return "certificate", c.ID, 2
	}
	return "certificate", c.ID, 1
}

// Canonical covers the content by its hash, and the signature where there is
// one.
func (c Certificate) Canonical() map[string]any {
	f := fields{"id": c.ID, "number": c.Number, "revision": c.Revision, "item": c.ItemID, "inspection": c.InspectionID, "content": c.ContentHash,
		"issued_by": c.IssuedBy, "issued_at": TimeText(c.IssuedAt)}
	putPointer(f, "replaces", c.Replaces)
	put(f, "reason", c.Reason)
	putPointer(f, "signature", c.Signature)
	putPointer(f, "key", c.KeyID)
	return f
}

// TrailName implements Recorded.
func (c CertificateChange) TrailName() (string, string, int) {
	return "certificate_change", c.CertificateID, 1
}

// Canonical implements Recorded.
func (c CertificateChange) Canonical() map[string]any {
	return fields{"certificate": c.CertificateID, "state": c.State, "reason": c.Reason, "changed_by": c.ChangedBy, "changed_at": TimeText(c.ChangedAt)}
}
