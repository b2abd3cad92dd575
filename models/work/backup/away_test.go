package backup_test

import (
	"context"
	"errors"
	"slices"
	"strings"
	"testing"
	"time"

	"tracewright/models"
	"tracewright/models/work/backup"
	"tracewright/models/work/worktest"
)

// The folder of a disk that is not there is an empty one of the disk below. Nothing
// is made in it by the clock or before an upgrade, and that is told at once; a person
// who means it makes the first on a new disk by hand.
func TestEmptiedFolder(t *testing.T) {
	worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
		p := &shelf{}
		s, _ := opened(h, p)
		h.Must(s.UseKey(t.Context(), h.Owner, "", "age1recipient"))
		s.Look(t.Context()) // The first of all: the folder may be empty.
		kept := p.files
		if len(kept) != 1 {
			t.Fatalf("the first was not made: %v", kept)
		}
		told := func(name, want string) {
			t.Helper()
			if _, trouble, err := s.LastGood(t.Context()); err != nil || trouble != want {
				t.Errorf("%s: told as %q, %v; want %q", name, trouble, err, want)
			}
		}
		p.files = nil // The stick is pulled out; the folder it was mounted on stays.
		h.Now = h.Now.Add(25 * time.Hour)
		s.Look(t.Context())
		told("the disk is not there", backup.Emptied)
		if len(p.files) > 0 {
			t.Errorf("%v was made on the disk below", p.files)
		}
		var trouble *backup.TroubleError
		if _, err := s.BeforeMigrating(t.Context()); !errors.As(err, &trouble) || trouble.Code != backup.Emptied {
			t.Errorf("before an upgrade: %v", err)
		}
		p.files = kept
		s.Look(t.Context())
		told("the disk is back", "")
		if len(p.files) != 2 {
			t.Errorf("with the disk back there lie %v, want another", p.files)
		}
		p.files = nil // A new stick.
		if _, err := s.Make(t.Context(), models.BackupAsked); err != nil || len(p.files) != 1 {
			t.Errorf("by hand on a new disk: %v, %v", p.files, err)
		}
		h.Now = h.Now.Add(25 * time.Hour)
		s.Look(t.Context())
		told("a new disk", "")
		if len(p.files) != 2 {
			t.Errorf("on the new disk lie %v, want another", p.files)
		}
		// On the machine on which it was put back the folder is a new one.
		p.files = nil
		h.Now = h.Now.Add(time.Minute)
		if _, err := s.Restored(t.Context(), models.Actor{}, models.Restoration{BackupAt: h.Now, BackupSHA256: strings.Repeat("5a", 32), BackupProgram: "v", BackupSchema: 49}); err != nil {
			t.Fatal(err)
		}
		h.Now = h.Now.Add(time.Minute)
		s.Look(t.Context())
		told("put back elsewhere", "")
		if len(p.files) != 1 {
			t.Errorf("after it was put back lie %v", p.files)
		}
		// Beside the database there is no other disk: the folder was cleared away.
		beside := &shelf{clear: true}
		s, _ = opened(h, beside)
		h.Now = h.Now.Add(25 * time.Hour)
		s.Look(t.Context())
		if len(beside.files) != 1 {
			t.Error("beside the database nothing was made in an emptied folder")
		}
	})
}

// For two years the clock was three years ahead. What is made once it was set right
// stays although all of those are newer by their names, and they stay too.
func TestBackupsOfAClockThatWasAhead(t *testing.T) {
	worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
		p := &shelf{clear: true}
		s, _ := opened(h, p)
		for day := range 2 * 365 {
			at := h.Now.AddDate(3, 0, day)
			p.files = append(p.files, backup.File{Name: "daily" + at.Format("-20060102T150405"), Kind: models.BackupDaily, At: at})
		}
		ahead := len(p.files)
		for night := range 3 {
			s.Look(t.Context())
			if !slices.ContainsFunc(p.files, func(f backup.File) bool { return f.At.Equal(h.Now) }) {
				t.Errorf("night %d: what was made is taken away again", night+1)
			}
			h.Now = h.Now.Add(25 * time.Hour)
		}
		if len(p.files) != ahead+3 {
			t.Errorf("%d lie there, want the %d of before and 3", len(p.files), ahead)
		}
	})
}

// What was put back is kept anew at once, however young the backup was.
func TestARestorationIsBackedUpAtOnce(t *testing.T) {
	worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
		p := &shelf{clear: true}
		s, _ := opened(h, p)
		s.Look(t.Context())
		h.Now = h.Now.Add(time.Hour)
		s.Look(t.Context())
		if len(p.files) != 1 {
			t.Fatalf("%v", p.files)
		}
		if _, err := s.Restored(t.Context(), models.Actor{}, models.Restoration{BackupAt: h.Now.Add(-time.Hour), BackupSHA256: strings.Repeat("5a", 32), BackupProgram: "v", BackupSchema: 49}); err != nil {
			t.Fatal(err)
		}
		h.Now = h.Now.Add(2 * time.Minute)
		at := h.Now
		s.Look(t.Context())
		h.Now = h.Now.Add(10 * time.Minute)
		s.Look(t.Context())
		if len(p.files) != 2 || !p.files[1].At.Equal(at) { // That of before may be the original's.
			t.Errorf("after a restoration there lie %v, want another of %s", p.files, at)
		}
	})
}

// awaited is a place that tells when it is asked for a backup.
type awaited struct {
	*shelf
	asked func()
}

func (a awaited) Make(ctx context.Context, kind, recipient string) (models.BackupRun, error) {
	a.asked()
	return a.shelf.Make(ctx, kind, recipient)
}

// A server that starts on what was put back makes the first backup without the wait
// that it otherwise leaves a start.
func TestAServerOnWhatWasPutBackDoesNotWait(t *testing.T) {
	worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
		p := &shelf{clear: true, now: h.Clock}
		asked := func(most time.Duration) (made bool) {
			ctx, stop := context.WithTimeout(t.Context(), most)
			defer stop()
			place := awaited{p, func() { made = true; stop() }}
			backup.New(h.Store, backup.Options{Place: place, Now: h.Clock, Zone: worktest.Zone}).Run(ctx)
			return made
		}
		if asked(200 * time.Millisecond) {
			t.Error("a shop that was never put back: made before the start had its time")
		}
		s, _ := opened(h, p)
		if _, err := s.Restored(t.Context(), models.Actor{}, models.Restoration{BackupAt: h.Now.Add(-time.Hour), BackupSHA256: strings.Repeat("5a", 32), BackupProgram: "v", BackupSchema: 49}); err != nil {
			t.Fatal(err)
		}
		if !asked(20 * time.Second) {
			t.Error("what was put back has no backup of its own yet, and none was made")
		}
	})
}

// deaf is a store that takes no word of a backup, as on a disk that is full.
type deaf struct {
	backup.Store
	full bool
}

func (d *deaf) AddBackupRun(ctx context.Context, run models.BackupRun) error {
	if d.full {
		return &models.UnavailableError{Code: models.DiskFull}
	}
	return d.Store.AddBackupRun(ctx, run)
}

// On a disk that takes not even the word that no backup was made, that is told all the
// same, and it is not tried again at every look.
func TestTroubleThatCannotBeWrittenDown(t *testing.T) {
	worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
		store := &deaf{Store: h.Store, full: true}
		p := &shelf{clear: true, now: h.Clock}
		tries := 0
		counted := &counting{shelf: p, tries: &tries}
		s := backup.New(store, backup.Options{Place: counted, Now: h.Clock, Zone: worktest.Zone})
		p.fails = &backup.TroubleError{Code: backup.DiskFull, Cause: errors.New("no room")}
		for range 7 { // an hour
			s.Look(t.Context())
			if v, err := s.State(t.Context()); err != nil || !slices.Equal(v.Trouble, []string{backup.DiskFull}) {
				t.Errorf("told as %v, %v", v.Trouble, err)
			}
			h.Now = h.Now.Add(10 * time.Minute)
		}
		if tries != 2 {
			t.Errorf("tried %d times within an hour and its end, want 2", tries)
		}
		store.full, p.fails = false, nil
		h.Now = h.Now.Add(time.Hour)
		s.Look(t.Context())
		if last, trouble, err := s.LastGood(t.Context()); err != nil || trouble != "" || last.IsZero() {
			t.Errorf("once there is room: %s, %q, %v", last, trouble, err)
		}
	})
}

// counting counts how often a backup is tried.
type counting struct {
	*shelf
	tries *int
}

func (c *counting) Make(ctx context.Context, kind, recipient string) (models.BackupRun, error) {
	*c.tries++
	return c.shelf.Make(ctx, kind, recipient)
}
