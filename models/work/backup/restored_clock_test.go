package backup_test

import (
	"strings"
	"testing"
	"time"

	"tracewright/models"
	"tracewright/models/work/backup"
	"tracewright/models/work/worktest"
)

// putBack writes down that the database was put back now, from a backup of a moment.
func putBack(t *testing.T, s *backup.Service, of time.Time) {
	t.Helper()
	if _, err := s.Restored(t.Context(), models.Actor{}, models.Restoration{BackupAt: of, BackupSHA256: strings.Repeat("5a", 32), BackupProgram: "v", BackupSchema: 49}); err != nil {
		t.Fatal(err)
	}
}

// Once a clock is set right that was ahead while the database was put back, one backup a
// day is made, the rule holds, and an emptied folder is told of; also where the clock was
// ahead already when the backup was made.
func TestARestorationByAClockThatWasAhead(t *testing.T) {
	for name, of := range map[string]int{"put back": 0, "made": 50} {
		t.Run(name, func(t *testing.T) {
			worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
				p := &shelf{clear: true}
				s, _ := opened(h, p)
				right := h.Now
				h.Now = right.AddDate(0, 0, 60)
				putBack(t, s, right.AddDate(0, 0, of))
				h.Now = right.Add(time.Hour)
				for range 2 * 24 {
					s.Look(t.Context())
					h.Now = h.Now.Add(30 * time.Minute)
				}
				if len(p.files) != 2 { // The first, and that of the night.
					t.Errorf("within a day %d were made: %v", len(p.files), p.files)
				}
				for range 20 {
					s.Look(t.Context())
					h.Now = h.Now.Add(25 * time.Hour)
				}
				// The newest of seven days, and those of the weeks before, of which 22 days
				// touch three or four, and of one month or two.
				if n := len(p.files); n < 8 || n > 11 {
					t.Errorf("after twenty days %d lie there", n)
				}
				p.files, p.clear = nil, false
				if told := s.Away(t.Context()); told != backup.Emptied {
					t.Errorf("an emptied folder is told of as %q", told)
				}
			})
		})
	}
}

// What came with a backup was written down by the original, and stays that also where
// a clock that was ahead dated the restoration.
func TestTheOriginalsOfARestorationThatIsDatedAhead(t *testing.T) {
	worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
		p := &shelf{}
		s, _ := opened(h, p)
		h.Must(s.UseKey(t.Context(), h.Owner, "", "age1recipient"))
		s.Look(t.Context())
		right := h.Now.Add(time.Hour)
		h.Now = right.AddDate(0, 0, 60)
		putBack(t, s, right)
		h.Now = right.Add(time.Hour)
		p.files = nil // On the machine on which it was put back the folder is a new one.
		if told := s.Away(t.Context()); told != "" {
			t.Errorf("told as %q", told)
		}
		s.Look(t.Context())
		if len(p.files) != 1 {
			t.Errorf("there lie %v, want what was put back", p.files)
		}
	})
}
