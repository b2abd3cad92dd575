package webtest

import (
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp/kb"

	"tracewright/models"
)

// After a backup was put back, the desk is asked on Today for the last printed
// label and gives it without a mouse; the owner reads what else is wrong.
func TestTheLastLabelAfterARestoration(t *testing.T) {
	for _, size := range []struct {
		name          string
		width, height int64
	}{{"office", 1024, 768}, {"phone", 390, 844}} {
		t.Run(size.name, func(t *testing.T) {
			p := sitDown(t, size.width, size.height)
			stamp := models.NewStamp(models.Actor{}, p.Shop.Now)
			_, err := p.Shop.Store.AddRestoration(t.Context(), stamp, models.Restoration{BackupAt: p.Shop.Now.Add(-26 * time.Hour), BackupSHA256: strings.Repeat("5a", 32), BackupProgram: "v1", BackupSchema: 43, Forward: models.RestorationForward}, nil)
			p.Shop.Must(err)
			good := models.BackupRun{Kind: models.BackupDaily, BegunAt: p.Shop.Now.Add(-26 * time.Hour), EndedAt: p.Shop.Now, File: "a.twbackup", Size: 1, SHA256: "ab", Sealed: true}
			p.Shop.Must(p.Shop.Store.AddBackupRun(t.Context(), good))
			full := models.BackupRun{Kind: models.BackupAsked, BegunAt: p.Shop.Now.Add(-time.Hour), EndedAt: p.Shop.Now, Trouble: "disk_full"}
			p.Shop.Must(p.Shop.Store.AddBackupRun(t.Context(), full))

			p.signInAs("desk")
			p.sees("main", "Give the last printed label before another is printed")
			p.misses("main", "The disk is full")
			p.picture("today")
			p.tabTo("Give the label")
			p.presses(kb.Enter)
			p.sees("h1", "No backup was made since this shop was put back")
			p.sees("main", "serials printed since the backup may be given out again")
			p.accessible("asked for the label")
			p.picture("asked")
			p.tabTo("Last serial")
			p.types("W31-0000")
			p.sees("main", "W31-0000")
			p.accessible("a serial that is none")
			p.picture("wrong")
			p.awaits("serial")
			p.tabTo("Last serial")
			p.presses(strings.Repeat(kb.Backspace, 20))
			p.types(p.Shop.Serial[models.KindWheel])
			p.misses("main", "given out again")
			p.sees("main", "these were given as last printed")

			owner := p.beside(size.width, size.height)
			owner.signInAs("owner")
			owner.sees("main", "Backups need a look")
			owner.sees("main", "The disk is full")
			owner.open("/backups")
			owner.sees("main", "tracewright backup --check")
			owner.accessible("what is wrong with backups")
			owner.picture("owner")
			owner.tabTo("Recovery key")
			owner.presses(kb.Enter)
			owner.sees("h1", "Backups have no recovery key yet")
			owner.accessible("no recovery key")
			owner.picture("no key")
			owner.tabTo("Make the recovery key")
			owner.presses(kb.Enter)
			owner.sees("h1", "Recovery key of the backups")
			owner.sees(".key", "QQQQ QQQQ")
			owner.accessible("a recovery key, shown once")
			owner.picture("key")
			owner.tabTo("It is on paper: use it")
			owner.presses(kb.Enter)
			owner.sees(".done .pass", "Backups are encrypted to this key from now on.")
			owner.open("/backups/key")
			owner.sees("h1", "Backups are encrypted to a recovery key")
			owner.misses("main", "QQQQ QQQQ")
			owner.accessible("a recovery key that is there")
		})
	}
}
