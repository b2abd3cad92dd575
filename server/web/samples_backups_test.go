package web

import (
	"strings"
	"time"

	"tracewright/models"
	"tracewright/models/work/backup"
)

// backupPages are the page of backups: as it should be, with what can be wrong,
// and after one was put back.
func backupPages(s *site, owner Frame) map[string][]any {
	none := filled(map[string]string{})
	good := backup.State{Kept: true, LastGood: sampleNow.Add(-9 * time.Hour), Folder: "/srv/tracewright/shop.backups"}
	files := []backup.File{{Name: "before-20270101T010000Z.twbackup", Kind: models.BackupBefore, At: sampleNow.AddDate(0, -5, 0), Size: 90_400, Clear: true}, {Name: "asked-20270301T010000Z.twbackup", Kind: models.BackupAsked, At: sampleNow.AddDate(0, -3, 0), Size: 9_000_000}, {Name: "daily-20270524T010000Z.twbackup", Kind: models.BackupDaily, At: sampleNow, Size: 12_345_678, Key: "age1" + strings.Repeat("q", 50) + "z7x3k2m9"}}
	bad, back := good, good
	bad.LastGood, bad.Trouble = sampleNow.AddDate(0, 0, -5), []string{backup.NoFolder, backup.DiskFull, backup.Damaged, backup.NoRoom, backup.NoTool, backup.NoKeys, backup.NoKey, backup.Failed, backup.ByHand, backup.TooOld, backup.NotSealed}
	back.Trouble, back.Restored = []string{backup.LabelAsked}, &models.Restoration{BackupAt: sampleNow.AddDate(0, 0, -1), RestoredAt: sampleNow}
	given := back
	given.Trouble, given.Labels = nil, []models.RestoredLabel{{Serial: "W27000051"}}
	desk := owner
	desk.Actor.Role = models.Desk
	sheet := models.RecoverySheet{Shop: "Marrow Lane Wheels", Made: "2027-05-24", Secret: "AGE-SECRET-KEY-1" + strings.Repeat("Q", 58), Lines: []string{"QQQQ QQQQ QQQQ QQQQ  7X", "QQQQ QQQQ QQQQ QQQQ  M2"}, Public: "age1qqqq"}
	keyed, away := good, backup.State{Kept: true, Folder: "/media/usb"}
	keyed.Key = "age1qqqq"
	clearly := away
	clearly.Clear = true
	first, another := keyPage(owner, away, true), keyPage(owner, keyed, true)
	first.Made, another.Made = mustSample(keyMade(sheet, false)), mustSample(keyMade(sheet, true))
	asked := keyPage(owner, clearly, true)
	asked.Password, asked.Open = &Field{Name: "confirm.password", Label: "Your password", Kind: "password"}, true
	again := asked
	again.Use = "age1qqqq"
	stale := keyPage(owner, keyed, true)
	stale.Changed = true
	return map[string][]any{"backup_key": {asked, again, stale, keyPage(owner, away, true), keyPage(owner, backup.State{}, false), keyPage(owner, backup.State{}, true), keyPage(owner, keyed, true), first, another}, "backups": {BackupsPage{Frame: owner}, s.backupsPage(owner, good, files, none), s.backupsPage(owner, bad, nil, none), s.backupsPage(desk, back, files, none), s.backupsPage(desk, given, files, none),
		s.backupsPage(owner, back, files, newForm(func(string) string { return "W31" }, backup.CheckLabel("W31"))), s.backupsPage(owner, backup.State{Kept: true, Folder: "/x"}, nil, none), s.backupsPage(owner, backup.State{}, nil, none)}}
}
