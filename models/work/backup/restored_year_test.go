package backup_test

import (
	"testing"
	"time"

	"tracewright/models"
	"tracewright/models/work/backup"
	"tracewright/models/work/worktest"
)

// What was made before restorations goes once it is older than the rule keeps any: who
// was erased since is in it. Until then it stays, for it may be the original's.
func TestWhatWasMadeBeforeARestorationGoesAfterAYear(t *testing.T) {
	worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
		p := &shelf{clear: true}
		s, _ := opened(h, p)
		if _, err := s.Make(t.Context(), models.BackupAsked); err != nil {
			t.Fatal(err)
		}
		asked := p.files[0]
		p.files = append(p.files, backup.File{Name: "copy", Kind: models.BackupDaily, At: h.Now, Size: 5})
		h.Now = h.Now.Add(time.Hour)
		nights := func(n int) {
			for range n {
				s.Look(t.Context())
				h.Now = h.Now.Add(25 * time.Hour)
			}
		}
		for range 3 {
			nights(20)
			if _, err := s.BeforeMigrating(t.Context()); err != nil {
				t.Fatal(err)
			}
			h.Now = h.Now.Add(time.Minute)
			putBack(t, s, h.Now)
		}
		last, kept := h.Now, len(p.files)
		nights(100)
		if len(p.files) < kept+7 {
			t.Errorf("after 100 days %d lie there, of %d that may be the original's", len(p.files), kept)
		}
		nights(300)
		if p.files[0] != asked || p.files[1].Name != "copy" {
			t.Errorf("what was asked for, and what nobody here wrote down: %v", p.files[:2])
		}
		for _, f := range p.files[2:] {
			if f.At.Before(last) {
				t.Errorf("%s lies there, from before a restoration %s ago", f.Name, h.Now.Sub(last))
			}
		}
	})
}
