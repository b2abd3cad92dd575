package backup_test

import (
	"slices"
	"strings"
	"testing"
	"time"

	"tracewright/models"
	"tracewright/models/work/backup"
	"tracewright/models/work/worktest"
)

// What lies in the folder and is not surely this database's stays: another shop's,
// and those of a copy that was put back and is served beside its original. Of its own
// the rule keeps what it would keep were they alone.
func TestASharedFolder(t *testing.T) {
	worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
		p := &shelf{clear: true}
		s, _ := opened(h, p)
		lies := func(name, kind string, at time.Time, another bool) {
			p.files = append(p.files, backup.File{Name: name, Kind: kind, At: at, Size: 5, Another: another})
		}
		for day := range 10 {
			at := h.Now.AddDate(0, 0, day).Add(time.Hour)
			lies("another"+at.Format("-20060102"), models.BackupDaily, at, true)
			lies("copy"+at.Format("-20060102"), models.BackupDaily, at, false)
			lies("upgrade"+at.Format("-20060102"), models.BackupBefore, at, true)
		}
		theirs := len(p.files)
		for range 20 {
			s.Look(t.Context())
			h.Now = h.Now.Add(24 * time.Hour)
		}
		var left, own int
		for _, f := range p.files {
			if strings.HasPrefix(f.Name, "daily") {
				own++
			} else {
				left++
			}
		}
		// Twenty noons from 12 May 2031 on: seven days, of which 25 May is a Sunday, and the
		// Sunday before, 18 May.
		if left != theirs || own != 8 {
			t.Errorf("%d of %d others are left, and %d of its own, want 8: %v", left, theirs, own, p.files)
		}
		files, err := s.Files(t.Context())
		if err != nil || slices.ContainsFunc(files, func(f backup.File) bool { return f.Another }) || len(files) != 10+own {
			t.Errorf("listed are %v, %v", files, err)
		}
		// What came with a backup was written down by the original.
		if _, err := s.Restored(t.Context(), models.Actor{}, models.Restoration{BackupAt: h.Now, BackupSHA256: strings.Repeat("5a", 32), BackupProgram: "v", BackupSchema: 49}); err != nil {
			t.Fatal(err)
		}
		before := len(p.files)
		for night := range 7 {
			h.Now = h.Now.Add(25 * time.Hour)
			s.Look(t.Context())
			if len(p.files) != before+night+1 {
				t.Errorf("night %d after it was put back: %d lie there", night+1, len(p.files))
			}
		}
	})
}

// A backup on a stick says nothing of the disk that is not there.
func TestEmptiedFolderAfterOneMadeElsewhere(t *testing.T) {
	worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
		p := &shelf{}
		s, _ := opened(h, p)
		h.Must(s.UseKey(t.Context(), h.Owner, "", "age1recipient"))
		s.Look(t.Context())
		p.files = nil
		h.Now = h.Now.Add(time.Hour)
		h.Must(h.Store.AddBackupRun(t.Context(), models.BackupRun{Kind: models.BackupAsked, BegunAt: h.Now, EndedAt: h.Now, File: "/media/usb/asked.twbackup", Size: 5, SHA256: "ab", Sealed: true}))
		h.Now = h.Now.Add(25 * time.Hour)
		s.Look(t.Context())
		if _, trouble, err := s.LastGood(t.Context()); err != nil || trouble != backup.Emptied || len(p.files) > 0 {
			t.Errorf("told as %q, %v; there lie %v", trouble, err, p.files)
		}
	})
}
