package web

import (
	"crypto/tls"
	"net/http"
	"strings"
	"testing"
	"time"

	"tracewright/models"
	"tracewright/models/work/backup"
)

// Whoever makes a key is warned where others on the way could read it, and nowhere else.
func TestOpenRequest(t *testing.T) {
	for _, x := range []struct {
		from string
		tls  *tls.ConnectionState
		want bool
	}{
		{"192.0.2.7:51000", nil, true},
		{"[2001:db8::7]:51000", nil, true},
		{"", nil, true},
		{"127.0.0.1:51000", nil, false}, // on the server itself, or by a proxy there
		{"[::1]:51000", nil, false},
		{"192.0.2.7:51000", &tls.ConnectionState{}, false},
	} {
		if got := openRequest(&http.Request{RemoteAddr: x.from, TLS: x.tls}); got != x.want {
			t.Errorf("from %q, TLS %t: %t, want %t", x.from, x.tls != nil, got, x.want)
		}
	}
}

// What was made before the shop was put back lies elsewhere, and is not told as the last
// good one of a folder that holds nothing.
func TestBackupsOfWhatWasPutBack(t *testing.T) {
	v := backup.State{Kept: true, LastGood: sampleNow.Add(-time.Hour), Restored: &models.Restoration{RestoredAt: sampleNow.Add(-time.Minute)}}
	if got := sampleSite().backupAnswer(v); got != "No backup was made since this shop was put back" {
		t.Error(got)
	}
	if v.LastGood = sampleNow; sampleSite().backupAnswer(v) != "The last good backup is less than a minute old" {
		t.Error(sampleSite().backupAnswer(v))
	}
}

// Of each backup the page says what it opens with: after another key was made, the
// sheet of one is of no use for what another opens.
func TestWhatABackupOpensWith(t *testing.T) {
	files := []backup.File{{Name: "a", Size: 40_100, Clear: true}, {Name: "b", Size: 2_000_000, Key: "age1" + strings.Repeat("q", 50) + "z7x3k2m9"}, {Name: "c", Size: 999_999}}
	page := sampleSite().backupsPage(sampleFrame("Backups", "/backups"), backup.State{Kept: true}, files, filled(map[string]string{}))
	want := []BackupRow{
		{Name: "c", Size: "1000 kB", Opens: "unknown: its beginning cannot be read"},
		{Name: "b", Size: "2.0 MB", Opens: "the key that ends in", Key: "z7x3k2m9"},
		{Name: "a", Size: "41 kB", Opens: "without a key: it is in the clear"},
	}
	for i, row := range page.Rows {
		if row.When = ""; row != want[i] {
			t.Errorf("%+v, want %+v", row, want[i])
		}
	}
	if len(page.Rows) != len(want) || !page.Keyed {
		t.Errorf("%d rows, want %d; keyed: %t", len(page.Rows), len(want), page.Keyed)
	}
}
