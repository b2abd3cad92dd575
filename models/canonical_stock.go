package models

// TrailName implements Recorded.
func (r BlockReceipt) TrailName() (string, string, int) { return "block_receipt", r.ItemID, 1 }

// Canonical implements Recorded.
func (r BlockReceipt) Canonical() map[string]any {
	f := fields{"item": r.ItemID, "row": r.RowID, "n": r.N, "sent": r.SentHash, "received_by": r.ReceivedBy, "received_at": TimeText(r.ReceivedAt)}
	putPointer(f, "lot", r.LotID)
	put(f, "date_code", r.DateCode)
	put(f, "made_on", r.MadeOn)
	return f
}

// TrailName implements Recorded.
func (d Disposition) TrailName() (string, string, int) { return "disposition", d.ID, 1 }

// Canonical implements Recorded.
func (d Disposition) Canonical() map[string]any {
	f := fields{"id": d.ID, "item": d.ItemID, "decision": d.Decision, "code": d.Code, "decided_by": d.DecidedBy, "decided_at": TimeText(d.DecidedAt)}
	put(f, "reason", d.Reason)
	return f
}

// TrailName implements Recorded.
func (m Match) TrailName() (string, string, int) { return "match", m.ID, 1 }

// Canonical covers the content by its hash.
func (m Match) Canonical() map[string]any {
	return fields{"id": m.ID, "product": m.ProductID, "blocks": m.Blocks, "content": m.ContentHash, "made_by": m.MadeBy, "made_at": TimeText(m.MadeAt)}
}

// TrailName implements Recorded.
func (p MatchPlacement) TrailName() (string, string, int) { return "match_placement", p.ID, 1 }

// Canonical implements Recorded.
func (p MatchPlacement) Canonical() map[string]any {
	f := fields{"id": p.ID, "match": p.MatchID, "pack": p.Pack, "place": p.Place, "item": p.ItemID, "placed_by": p.PlacedBy, "placed_at": TimeText(p.PlacedAt)}
	put(f, "override", p.Override)
	return f
}

// TrailName implements Recorded.
func (e MatchEnd) TrailName() (string, string, int) { return "match_end", e.MatchID, 1 }

// Canonical implements Recorded.
func (e MatchEnd) Canonical() map[string]any {
	f := fields{"match": e.MatchID, "kept": e.Kept, "ended_by": e.EndedBy, "ended_at": TimeText(e.EndedAt)}
	put(f, "reason", e.Reason)
	putTexts(f, "packs", e.Packs)
	return f
}
