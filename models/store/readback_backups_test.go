package store_test

import (
	"strings"
	"testing"
	"time"

	"tracewright/models"
	"tracewright/models/work/worktest"
)

// readBackBackups is the part of TestEveryRecordReadsBack about backups.
func readBackBackups(t *testing.T, h *worktest.Shop, stamp models.Stamp) {
	t.Helper()
	s, ctx := h.Store, t.Context()
	_, err := s.LastBackup(ctx, moment)
	notFound(t, "a backup before the first", err)
	_, err = s.LastRestoration(ctx)
	notFound(t, "a restoration before the first", err)
	good := models.BackupRun{ID: models.NewID(), Kind: models.BackupDaily, BegunAt: moment, EndedAt: moment.Add(time.Second), File: "Ω.twbackup", Size: 5 << 30, SHA256: "ab", Sealed: true}
	bad := models.BackupRun{ID: models.NewID(), Kind: models.BackupAsked, BegunAt: moment.Add(time.Hour), EndedAt: moment.Add(time.Hour), Trouble: "disk_full"}
	h.Must(s.AddBackupRun(ctx, good))
	h.Must(s.AddBackupRun(ctx, bad))
	same(t, "last backup", must(s.LastBackup(ctx, moment.Add(time.Hour))), bad)
	same(t, "last good backup", must(s.LastGoodBackup(ctx, moment.Add(time.Hour))), good)
	same(t, "good backups", must(s.GoodBackups(ctx, time.Time{}, moment.Add(time.Hour))), []models.BackupRun{good})
	same(t, "good backups since", must(s.GoodBackups(ctx, moment.Add(time.Millisecond), moment.Add(time.Hour))), []models.BackupRun{})
	same(t, "last backup by then", must(s.LastBackup(ctx, moment.Add(time.Minute))), good)

	r := models.Restoration{ID: models.NewID(), BackupAt: moment.Add(-time.Hour), BackupSHA256: strings.Repeat("5a", 32), BackupProgram: "v1", BackupSchema: 43, Changes: 9, Forward: 1000, RestoredAt: moment, RestoredBy: h.Owner.PersonID}
	got := must(s.AddRestoration(ctx, stamp, r, []int{31}))
	same(t, "restoration given", got, r)
	same(t, "restoration", must(s.LastRestoration(ctx)), r)
	l := models.RestoredLabel{ID: models.NewID(), RestorationID: r.ID, Serial: *h.AnotherWheel().Serial, GivenBy: h.Owner.PersonID, GivenAt: moment}
	must(s.AddRestoredLabel(ctx, stamp, l))
	same(t, "label of a restoration", must(s.RestoredLabels(ctx, r.ID)), []models.RestoredLabel{l})
}
