package web

import (
	"testing"

	"tracewright/models"
)

// Whatever keeps the records out of reach has its words for a page, and where pages
// can be shown still, for the band on top of them.
func TestTroublesHaveWords(t *testing.T) {
	for _, code := range []string{models.DatabaseAway, models.DatabaseBusy, models.DiskFull, models.DiskReadOnly, models.DiskFailing, models.DatabaseDamaged} {
		if w := errorWords[code]; w.means == "" || w.todo == "" {
			t.Errorf("%s has no words for a page", code)
		}
		if away := (&models.UnavailableError{Code: code}); away.Readable() != english.Has("trouble."+code) {
			t.Errorf("%s: readable %t, and words for the band %t", code, away.Readable(), english.Has("trouble."+code))
		}
	}
}
