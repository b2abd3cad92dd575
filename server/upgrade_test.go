package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"tracewright/models"
	"tracewright/models/store"
	"tracewright/models/store/storetest"
	"tracewright/server/backups"
)

// An upgrade makes a backup before it changes anything, and changes nothing
// without one; other commands leave it alone.
func TestUpgradeMakesABackup(t *testing.T) {
	storetest.EachDSN(t, func(t *testing.T, dsn string) {
		b := newBackedUp(t, dsn)
		b.shop.Must(b.shop.Store.Close())
		older := func() {
			do(t, dsn, "DROP TABLE restored_labels")
			do(t, dsn, "DROP TABLE restorations")
			do(t, dsn, "DROP TABLE backup_runs")
			for _, table := range []string{"device_doubts", "device_sightings", "device_uses", "secret_tries", "recovery_codes", "second_secrets"} {
				do(t, dsn, "DROP TABLE "+table)
			}
			for _, index := range []string{"customers_entered", "orders_customer", "claims_customer", "nonconformity_steps_made", "hold_lifts_lifted", "items_family", "items_maker_number_folded", "gauge_traces_made", "gauge_traces_arrived"} {
				do(t, dsn, "DROP INDEX IF EXISTS "+index)
			}
			do(t, dsn, "DROP TABLE instrument_states")
			for table, column := range map[string]string{"nonconformity_steps": "severity", "customer_looks": "salt", "calibrations": "reported", "gauge_traces": "arrived_at", "instruments": "changed_at", "items": "left_from", "devices": "program"} {
				do(t, dsn, "ALTER TABLE "+table+" DROP COLUMN "+column)
			}
			if !strings.HasPrefix(dsn, "sqlite:") { // 0051
				do(t, dsn, "DROP FUNCTION results_refer, reading_sets_refer, keeps_what_it_names, is_not_named CASCADE")
				do(t, dsn, "ALTER TABLE results ADD CONSTRAINT results_inspection_id_fkey FOREIGN KEY (inspection_id) REFERENCES inspections (id)")
				do(t, dsn, `ALTER TABLE reading_sets ADD CONSTRAINT reading_sets_inspection_id_fkey FOREIGN KEY (inspection_id) REFERENCES inspections (id),
					ADD CONSTRAINT reading_sets_instrument_id_fkey FOREIGN KEY (instrument_id) REFERENCES instruments (id),
					ADD CONSTRAINT reading_sets_person_id_fkey FOREIGN KEY (person_id) REFERENCES people (id)`)
			}
			do(t, dsn, "DELETE FROM goose_db_version WHERE version_id >= 43")
		}
		older()
		up := func(rest ...string) ran {
			return command(t, "", append([]string{"migrate", "up", "--database", dsn, "--keys", b.keys}, rest...)...)
		}
		for _, args := range [][]string{{"user", "list"}, {"export", "trail"}, {"export", "list", "lots"}} {
			says(t, strings.Join(args, " "), command(t, "", append(args, "--database", dsn)...), 1, "", "tracewright migrate up")
		}
		says(t, "no folder", up("--backups", filepath.Join(b.folder, "gone")), 1, "A backup is made first", "Nothing was changed")
		if got := command(t, "", "migrate", "status", "--database", dsn); !strings.Contains(got.out, "missing  0043_backups") {
			t.Errorf("without a backup: %s", got.out)
		}
		got := up("--backups", b.folder)
		says(t, "with one", got, 0, "0043_backups applied", "")
		list, err := backups.List(b.folder)
		if err != nil || len(list) != 1 || list[0].Kind != backups.Before {
			t.Fatalf("in the folder %v, %v", list, err)
		}
		header, err := backups.Peek(filepath.Join(b.folder, list[0].Name))
		if err != nil || header.Schema >= 43 || header.Schema < 30 || !header.Sealed() {
			t.Errorf("the backup from before says %+v, %v", header, err)
		}
		s := storetest.Open(t, dsn)
		run, err := s.LastGoodBackup(t.Context(), time.Now())
		if err != nil || run.Kind != models.BackupBefore || filepath.Base(run.File) != list[0].Name {
			t.Errorf("written down: %+v, %v", run, err)
		}
		// The older schema is brought up to date on the way back in.
		database, keys := b.emptyPlace()
		says(t, "put it back", command(t, "", "restore", filepath.Join(b.folder, list[0].Name), "--database", database, "--keys", keys, "--key-file", b.key, "--last-label", b.shop.Serial[models.KindWheel]), 0, "Put back at", "")
		b.shop.Must(s.Close())
		older()
		says(t, "said to go on", up("--backups", filepath.Join(b.folder, "gone"), "--without-backup"), 0, "0043_backups applied", "")
	})
}

// An upgrade that fails is tried again and again by whatever keeps the server running:
// the backup from before it is made once, and where records were added between, no more
// are kept than of upgrades that went well.
func TestAnUpgradeThatFailsAgainAndAgain(t *testing.T) {
	storetest.EachDSN(t, func(t *testing.T, dsn string) {
		b := newBackedUp(t, dsn)
		b.shop.Must(b.shop.Store.Close())
		// The shop of the tests is of a year to come.
		do(t, dsn, "UPDATE trail_entries SET at = ?", time.Now().Add(-time.Hour).UTC().Truncate(time.Millisecond))
		// Tables of these names stand in the way.
		do(t, dsn, "DELETE FROM goose_db_version WHERE version_id >= 43")
		lie := func(changes int) []backups.Kept {
			t.Helper()
			do(t, dsn, "UPDATE trail_heads SET size = size + ?", changes)
			got := command(t, "", "migrate", "up", "--database", dsn, "--keys", b.keys, "--backups", b.folder)
			if got.status == 0 || !strings.Contains(got.out, "Backup from before: "+b.folder) {
				t.Fatalf("migrated: %+v", got)
			}
			list, err := backups.List(b.folder)
			b.shop.Must(err)
			return list
		}
		var list []backups.Kept
		for range 4 {
			list = lie(0)
		}
		if len(list) != 1 {
			t.Errorf("with nothing recorded between there lie %v", list)
		}
		first := filepath.Join(b.folder, list[0].Name)
		// One that was damaged meanwhile does not do.
		raw, err := os.ReadFile(first)
		b.shop.Must(err)
		raw[len(raw)/2] ^= 1
		b.shop.Must(os.WriteFile(first, raw, 0o600))
		if list = lie(0); len(list) != 2 {
			t.Errorf("beside a damaged one there lie %v", list)
		}
		for range 4 {
			list = lie(1)
		}
		if len(list) != 3 {
			t.Errorf("with records between there lie %v", list)
		}
	})
}

// A newer database is left alone by every command.
func TestNewerDatabaseIsLeftAlone(t *testing.T) {
	dsn := storetest.SQLite(t)
	do(t, dsn, "INSERT INTO goose_db_version (version_id, is_applied) VALUES (999999, true)")
	for _, args := range [][]string{{"backup"}, {"backup", "--new-key"}, {"migrate", "up"}, {"user", "list"}, {"serve", "--listen", "127.0.0.1:0"}} {
		says(t, strings.Join(args, " "), command(t, "", append(args, "--database", dsn)...), 1, "", store.ErrNewerDatabase.Error())
	}
}
