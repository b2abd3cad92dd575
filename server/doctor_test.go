package main

import (
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"tracewright/models"
	"tracewright/models/store/storetest"
	"tracewright/models/words"
	"tracewright/server/trust"
)

// diagnosis is what the doctor tells as JSON.
type diagnosis struct {
	Status   int
	Findings []finding
}

// examined runs the doctor and gives its findings, those that are not good by code.
func examined(t *testing.T, args ...string) (diagnosis, map[string]finding) {
	t.Helper()
	got := command(t, "", append([]string{"doctor", "--json"}, args...)...)
	var d diagnosis
	if err := json.Unmarshal([]byte(got.out), &d); err != nil || d.Status != got.status || got.err != "" {
		t.Fatalf("%v: %+v", err, got)
	}
	wrong := map[string]finding{}
	for _, f := range d.Findings {
		if f.State != good {
			wrong[f.Code] = f
		}
		if f.Says == "" || strings.ContainsAny(f.Says, "{}[]") {
			t.Errorf("%s says %q", f.Code, f.Says)
		}
	}
	return d, wrong
}

// clockIsKept makes the test independent of this machine's time service.
func clockIsKept(t *testing.T, kept bool) {
	t.Helper()
	before := clockKept
	clockKept = func() (bool, bool) { return kept, true }
	t.Cleanup(func() { clockKept = before })
}

// A shop that is in order has nothing to be done; each thing that goes wrong is
// found by its code, with what to do.
func TestDoctor(t *testing.T) {
	storetest.EachDSN(t, func(t *testing.T, dsn string) {
		clockIsKept(t, true)
		b := newBackedUp(t, dsn)
		b.shop.Must(b.shop.Store.SetSetting(t.Context(), models.NewStamp(b.shop.Owner, time.Now()), models.SettingTimeZone, "Europe/Lisbon"))
		// The shop of the tests is of a year to come.
		do(t, dsn, "UPDATE trail_entries SET at = ?", time.Now().Add(-time.Hour).UTC().Truncate(time.Millisecond))
		all := []string{"--database", dsn, "--keys", b.keys, "--backups", b.folder}
		postgres := !strings.HasPrefix(dsn, "sqlite:")
		look := func(more ...string) map[string]finding {
			t.Helper()
			_, wrong := examined(t, append(all, more...)...)
			if _, newer := wrong["schema_newer"]; postgres && !newer { // The server of the tests does not wait for the disk, and that is told.
				if wrong["unsafe"].State != bad || !strings.Contains(wrong["unsafe"].Says, "fsync") {
					t.Errorf("fsync is off: %+v", wrong)
				}
				delete(wrong, "unsafe")
			}
			return wrong
		}
		if wrong := look(); len(wrong) != 1 || wrong["no_backup"].State != bad {
			t.Errorf("before the first backup: %+v", wrong)
		}
		b.make()
		if wrong := look(); len(wrong) > 0 {
			t.Errorf("in order: %+v", wrong)
		}
		d, _ := examined(t, all...)
		checks := map[string]bool{}
		for _, f := range d.Findings {
			checks[f.Check] = true
		}
		for _, check := range []string{"disk", "clock", "backups", "keys", "certificate", "database"} {
			if !checks[check] {
				t.Errorf("the %s was not looked at", check)
			}
		}
		if got := command(t, "", append([]string{"doctor"}, all...)...); !postgres && (got.status != 0 || !strings.HasSuffix(got.out, "All is well.\n")) {
			t.Errorf("in words: %+v", got)
		}

		do(t, dsn, "UPDATE backup_runs SET begun_at = ?", time.Now().Add(-50*time.Hour).UTC().Truncate(time.Millisecond))
		if wrong := look(); len(wrong) != 1 || wrong["backup_too_old"].State != bad {
			t.Errorf("two days later: %+v", wrong)
		}
		if wrong := look("--no-daily-backups"); len(wrong) > 0 {
			t.Errorf("two days later, where another program makes them: %+v", wrong)
		}
		do(t, dsn, "UPDATE backup_runs SET begun_at = ?", time.Now().UTC().Truncate(time.Millisecond))
		clockIsKept(t, false)
		if wrong := look(); wrong["clock_alone"].State != warning {
			t.Errorf("nothing keeps the clock: %+v", wrong)
		}
		clockIsKept(t, true)
		private := filepath.Join(b.keys, keyIn(t, b.keys))
		for _, fault := range []struct {
			name, code string
			more       []string
			fails      func()
			mends      func()
		}{
			{"a folder of backups that is gone", "backup_no_folder", nil, func() { os.Rename(b.folder, b.folder+"x") }, func() { os.Rename(b.folder+"x", b.folder) }},
			{"keys that others read", "keys_unreadable", nil, func() { os.Chmod(private, 0o644) }, func() { os.Chmod(private, 0o600) }},
			{"a key that is gone", "no_key_signs", nil, func() { os.Rename(private, private+"x") }, func() { os.Rename(private+"x", private) }},
			{"the keys of another log", "keys_of_another", nil, func() { os.WriteFile(filepath.Join(b.keys, "log"), []byte(models.NewID()+"\n"), 0o600) }, func() { os.WriteFile(filepath.Join(b.keys, "log"), []byte(logOf(t, b)+"\n"), 0o600) }},
			{"a folder of keys that is not there", "no_keys", []string{"--keys", filepath.Join(b.folder, "none")}, func() {}, func() {}},
			{"a folder of checkpoints that is not there", "checkpoints", []string{"--checkpoints", filepath.Join(b.folder, "none")}, func() {}, func() {}},
			{"a zone that is none", "zone_unknown", nil, func() { do(t, dsn, "UPDATE settings SET value = 'Mars/Olympus' WHERE name = 'time_zone'") }, func() { do(t, dsn, "UPDATE settings SET value = 'Europe/Lisbon' WHERE name = 'time_zone'") }},
			{"a record of tomorrow", "clock_behind", nil, func() { b.dateNewest(24 * time.Hour) }, func() { b.dateNewest(0) }},
			{"an older schema", "schema_older", nil, func() {
				do(t, dsn, "UPDATE goose_db_version SET version_id = -version_id WHERE version_id = (SELECT max(version_id) FROM goose_db_version)")
			},
				func() { do(t, dsn, "UPDATE goose_db_version SET version_id = -version_id WHERE version_id < 0") }},
			{"a newer schema", "schema_newer", nil, func() { do(t, dsn, "INSERT INTO goose_db_version (version_id, is_applied) VALUES (999999, true)") },
				func() { do(t, dsn, "DELETE FROM goose_db_version WHERE version_id = 999999") }},
			{"a certificate that is no certificate", "certificate_unusable", []string{"--tls-cert", "doctor_test.go", "--tls-key", "doctor_test.go"}, func() {}, func() {}},
		} {
			fault.fails()
			wrong := look(fault.more...)
			fault.mends()
			if wrong[fault.code].Says == "" {
				t.Errorf("%s: found %+v, want %s", fault.name, wrong, fault.code)
			}
		}
		if wrong := look(); len(wrong) > 0 {
			t.Errorf("in order again: %+v", wrong)
		}
	})
}

// keyIn is the name of the private key in a folder.
func keyIn(t *testing.T, folder string) string {
	t.Helper()
	found, err := filepath.Glob(filepath.Join(folder, "*.key"))
	if err != nil || len(found) != 1 {
		t.Fatalf("%v, %v", found, err)
	}
	return filepath.Base(found[0])
}

func logOf(t *testing.T, b *backedUp) string {
	t.Helper()
	head, err := b.shop.Store.TrailHead(t.Context())
	b.shop.Must(err)
	return head.Log
}

// dateNewest writes the moment of the newest change over, as a clock that stood
// ahead would have.
func (b *backedUp) dateNewest(ahead time.Duration) {
	b.t.Helper()
	newest := "(SELECT id FROM trail_entries ORDER BY at DESC, id DESC LIMIT 1)"
	do(b.t, b.database, "UPDATE trail_entries SET at = ? WHERE id = "+newest, time.Now().Add(ahead).UTC().Truncate(time.Millisecond))
}

// A database that cannot be opened is a finding like any other, and what can be
// looked at without it is looked at.
func TestDoctorWithoutADatabase(t *testing.T) {
	clockIsKept(t, true)
	folder := t.TempDir()
	d, wrong := examined(t, "--database", "sqlite:"+filepath.Join(folder, "shpo.db"))
	if d.Status != 1 || wrong["database_not_there"].State != bad {
		t.Errorf("a slip in the name: %d, %+v", d.Status, wrong)
	}
	if entries := left(t, folder); len(entries) > 0 {
		t.Errorf("the doctor made %v", entries)
	}
	if _, wrong := examined(t, "--database", "postgres://nobody@127.0.0.1:1/none?connect_timeout=1", "--keys", folder); wrong["unreachable"].State != bad {
		t.Errorf("a server that does not answer: %+v", wrong)
	}
	path := filepath.Join(folder, "shop.db")
	says(t, "make it", command(t, "", "migrate", "up", "--database", "sqlite:"+path), 0, "applied", "")
	raw, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	for at := 20 * 4096; at < 60*4096; at++ {
		raw[at] = 0xff
	}
	if err := os.WriteFile(path, raw, 0o600); err != nil {
		t.Fatal(err)
	}
	if _, wrong := examined(t, "--database", "sqlite:"+path); wrong["damaged"].State != bad && wrong["database_damaged"].State != bad {
		t.Errorf("forty pages of 0xff: %+v", wrong)
	}
}

// Certificates are told by when they end: those of this host's own authority, and
// the shop's own.
func TestDoctorLooksAtCertificates(t *testing.T) {
	folder := t.TempDir()
	if _, err := trust.Open(trust.Options{Folder: folder, Host: trust.Host{}}); err != nil {
		t.Fatal(err)
	}
	cert, key, _ := certificate(t) // It ends in an hour.
	for _, c := range []struct {
		name  string
		flags tlsFlags
		in    time.Duration
		code  string
	}{
		{"none", tlsFlags{}, 0, "no_certificate"},
		{"the host's own", tlsFlags{TLS: "auto", TLSFolder: folder}, 0, "certificate"},
		{"the host's own, not renewed", tlsFlags{TLS: "auto", TLSFolder: folder}, 380 * 24 * time.Hour, "certificate_not_renewed"},
		{"the host's own, ended", tlsFlags{TLS: "auto", TLSFolder: folder}, 400 * 24 * time.Hour, "certificate_ended"},
		{"the host's own, without its files", tlsFlags{TLS: "auto", TLSFolder: t.TempDir()}, 0, "certificate_unusable"},
		{"the shop's own, near its end", tlsFlags{TLSCert: cert, TLSKey: key}, 0, "certificate_ends"},
		{"the shop's own, ended", tlsFlags{TLSCert: cert, TLSKey: key}, 2 * time.Hour, "certificate_ended"},
		{"the shop's own, of tomorrow", tlsFlags{TLSCert: cert, TLSKey: key}, -48 * time.Hour, "certificate_not_yet"},
	} {
		d := &doctor{doctorCommand: &doctorCommand{databaseFlag: databaseFlag{Database: "postgres://x/y"}, tlsFlags: c.flags}, now: time.Now().Add(c.in)}
		d.certificate()
		found := false
		for _, f := range d.found {
			found = found || f.Code == c.code
		}
		if !found {
			t.Errorf("%s: %+v, want %s", c.name, d.found, c.code)
		}
	}
}

// A full disk is told before it is full.
func TestDoctorLooksAtTheDisk(t *testing.T) {
	small := t.TempDir()
	storetest.SmallDisk(t, small, 1)
	database := "sqlite:" + filepath.Join(small, "shop.db")
	if _, wrong := examined(t, "--database", database); wrong["disk_full"].State != bad {
		t.Errorf("a disk of one megabyte: %+v", wrong)
	}
}

// PostgreSQL that is set to lose what was acknowledged is told. The server of the
// tests is: it does not wait for the disk.
func TestDoctorLooksAtPostgres(t *testing.T) {
	d := &doctor{doctorCommand: &doctorCommand{}}
	d.postgres(models.DatabaseLook{Major: 12, Version: "12.9", Encoding: "LATIN1", Unsafe: []string{"fsync"}, Connections: 5, Wants: 12})
	want := map[string]bool{"unsafe": true, "encoding": true, "postgres_old": true, "connections": true}
	for _, f := range d.found {
		if !want[f.Code] || f.State == good {
			t.Errorf("found %+v", f)
		}
		delete(want, f.Code)
	}
	if len(want) > 0 {
		t.Errorf("not found: %v", want)
	}
	if words.In("en").Remark(models.NewRemark("doctor_unsafe", "names", "fsync")) == "" {
		t.Error("no words")
	}
}
