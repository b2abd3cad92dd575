package models

// TrailName implements Recorded.
func (u Unplaced) TrailName() (string, string, int) { return "unplaced", u.ID, 1 }

// Canonical covers the submission by its hash.
func (u Unplaced) Canonical() map[string]any {
	f := fields{"id": u.ID, "sent": u.SentHash, "cause": u.Cause.Code, "person": u.PersonID, "offset_ms": u.OffsetMS, "received_at": TimeText(u.ReceivedAt)}
	putPointer(f, "device", u.DeviceID)
	return f
}

// TrailName implements Recorded.
func (s UnplacedSettlement) TrailName() (string, string, int) {
	return "unplaced_settlement", s.UnplacedID, 1
}

// Canonical implements Recorded.
func (s UnplacedSettlement) Canonical() map[string]any {
	f := fields{"unplaced": s.UnplacedID, "reason": s.Reason, "settled_by": s.SettledBy, "settled_at": TimeText(s.SettledAt)}
	putPointer(f, "inspection", s.InspectionID)
	return f
}
