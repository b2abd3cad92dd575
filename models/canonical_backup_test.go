package models

import "time"

func encodingsOfBackups(at time.Time) []encoding {
	return []encoding{
		{Restoration{ID: "r1", BackupAt: at.Add(-time.Hour), BackupSHA256: "ab", BackupProgram: "v1", BackupSchema: 43, Changes: 9, Forward: 1000, RestoredAt: at, RestoredBy: "system"},
			`{"backup_at":"2031-05-12T11:03:02.007Z","backup_program":"v1","backup_schema":43,"backup_sha256":"ab","changes":9,"forward":1000,"id":"r1","restored_at":"2031-05-12T12:03:02.007Z","restored_by":"system"}`},
		{RestoredLabel{ID: "l1", RestorationID: "r1", Serial: "W31000019", GivenBy: "p1", GivenAt: at},
			`{"given_at":"2031-05-12T12:03:02.007Z","given_by":"p1","id":"l1","restoration":"r1","serial":"W31000019"}`},
	}
}
