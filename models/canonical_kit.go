package models

import "tracewright/models/trail"

func (k KitForm) canonical() map[string]any {
	lines := make([]any, len(k.Lines))
	for i, l := range k.Lines {
		f := fields{"quantity": l.Quantity}
		put(f, "product", l.Product)
		put(f, "part", l.Part)
		lines[i] = f
	}
	return fields{"lines": lines}
}

// putAgainst keeps what the gate said where something went all the same.
func putAgainst(f fields, against []Remark) {
	if len(against) > 0 {
		f["against"] = canonicalRemarks(against)
	}
}

// TrailName implements Recorded.
func (p KitPacking) TrailName() (string, string, int) { return "kit_packing", p.ID, 1 }

// Canonical implements Recorded.
func (p KitPacking) Canonical() map[string]any {
	f := fields{"id": p.ID, "kit": p.KitID, "quantity": p.Quantity, "added": p.Added, "packed_by": p.PackedBy, "packed_at": TimeText(p.PackedAt)}
	putPointer(f, "item", p.ItemID)
	put(f, "part", p.Part)
	put(f, "reason", p.Reason)
	putAgainst(f, p.Against)
	return f
}

// TrailName implements Recorded.
func (o Order) TrailName() (string, string, int) { return "order", o.ID, 1 }

// Canonical implements Recorded.
func (o Order) Canonical() map[string]any {
	lines := make([]any, len(o.Lines))
	for i, l := range o.Lines {
		lines[i] = fields{"product": l.Product, "quantity": l.Quantity}
	}
	f := fields{"id": o.ID, "ref": o.Ref, "lines": lines, "entered_by": o.EnteredBy, "entered_at": TimeText(o.EnteredAt)}
	put(f, "customer", o.Customer)
	put(f, "due_on", o.DueOn)
	return f
}

// TrailName implements Recorded.
func (e OrderEnd) TrailName() (string, string, int) { return "order_end", e.OrderID, 1 }

// Canonical implements Recorded.
func (e OrderEnd) Canonical() map[string]any {
	return fields{"order": e.OrderID, "reason": e.Reason, "ended_by": e.EndedBy, "ended_at": TimeText(e.EndedAt)}
}

// TrailName implements Recorded.
func (s Shipment) TrailName() (string, string, int) { return "shipment", s.ID, 1 }

// Canonical names the customer by the key alone.
func (s Shipment) Canonical() map[string]any {
	f := fields{"id": s.ID, "number": s.Number, "shipped_by": s.ShippedBy, "shipped_at": TimeText(s.ShippedAt)}
	put(f, "order", s.OrderRef)
	put(f, "carrier", s.Carrier)
	put(f, "tracking", s.Tracking)
	put(f, "customer", s.Customer)
	put(f, "reason", s.Reason)
	putTexts(f, "items", s.Items)
	putAgainst(f, s.Against)
	return f
}

// TrailName implements Recorded.
func (v ShipmentVoid) TrailName() (string, string, int) { return "shipment_void", v.ShipmentID, 1 }

// Canonical implements Recorded.
func (v ShipmentVoid) Canonical() map[string]any {
	return fields{"shipment": v.ShipmentID, "reason": v.Reason, "voided_by": v.VoidedBy, "voided_at": TimeText(v.VoidedAt)}
}

// TrailName implements Recorded.
func (c Customer) TrailName() (string, string, int) { return "customer", c.ID, 1 }

// Canonical says nothing of the person: the row can be erased, an entry cannot.
func (c Customer) Canonical() map[string]any { return fields{"id": c.ID} }

// Digest is of what stands of the person, unlike that of an entry: what a change is made on.
// Only who may read them is given it, and it is kept nowhere.
func (c Customer) Digest() (string, error) {
	return trail.DigestOf([]string{c.Name, c.Address, c.Email, c.Phone, c.Note})
}

// TrailName implements Recorded. Version 2 covers the reason by its salted hash.
func (l CustomerLook) TrailName() (string, string, int) {
	if l.Salt != "" {
		return "customer_look", l.ID, 2
	}
	return "customer_look", l.ID, 1
}

// Canonical says why by a hash that nobody can guess a text from once the salt is erased.
func (l CustomerLook) Canonical() map[string]any {
	f := fields{"id": l.ID, "customer": l.Customer, "person": l.PersonID, "looked_at": TimeText(l.LookedAt)}
	if l.Salt != "" {
		f["reason"] = saltedHash(l.Salt, l.Reason)
		return f
	}
	put(f, "reason", l.Reason)
	return f
}
