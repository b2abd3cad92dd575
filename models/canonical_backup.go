package models

// TrailName implements Recorded.
func (r Restoration) TrailName() (string, string, int) { return "restoration", r.ID, 1 }

// Canonical implements Recorded.
func (r Restoration) Canonical() map[string]any {
	return fields{"id": r.ID, "backup_at": TimeText(r.BackupAt), "backup_sha256": r.BackupSHA256, "backup_program": r.BackupProgram, "backup_schema": r.BackupSchema,
		"changes": r.Changes, "forward": r.Forward, "restored_at": TimeText(r.RestoredAt), "restored_by": r.RestoredBy}
}

// TrailName implements Recorded.
func (l RestoredLabel) TrailName() (string, string, int) { return "restored_label", l.ID, 1 }

// Canonical implements Recorded.
func (l RestoredLabel) Canonical() map[string]any {
	return fields{"id": l.ID, "restoration": l.RestorationID, "serial": l.Serial, "given_by": l.GivenBy, "given_at": TimeText(l.GivenAt)}
}
