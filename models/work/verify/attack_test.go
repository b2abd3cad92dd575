package verify_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"tracewright/models"
	"tracewright/models/store"
	"tracewright/models/store/storetest"
	"tracewright/models/trail"
	"tracewright/models/work/verify"
)

// A clean database passes, with what is not under a checkpoint counted; and each
// attack on a copy of it is named. Checkpoints are held elsewhere, except where
// one is not needed.
func TestAttacks(t *testing.T) {
	storetest.EachDSN(t, func(t *testing.T, dsn string) {
		v := made(t, dsn)
		report := look(t, dsn, v.trusted, v.held)
		if !report.Sound() || report.Entries != v.size || report.Checkpoints != 2 || report.Uncheckpointed != 0 || report.Unsealed != 1 || report.Files != 3 || len(report.Findings) != 0 {
			t.Fatalf("clean: %v, %+v", told(report), report.Report)
		}
		for _, attack := range attacks(v) {
			t.Run(attack.name, func(t *testing.T) {
				dsn := storetest.Copy(t, v.dsn)
				c := connect(t, dsn)
				attack.do(c)
				if err := c.db.Close(); err != nil {
					t.Fatal(err)
				}
				report := look(t, dsn, v.trusted, v.held)
				sound := !slices.ContainsFunc(attack.want, func(line string) bool { return strings.HasPrefix(line, "E_") })
				if got := told(report); !slices.Equal(got, attack.want) || report.Sound() != sound {
					t.Errorf("found %q, sound %t; want %q", got, report.Sound(), attack.want)
				}
				if attack.name == keyReplaced { // The key alone gives it away.
					if got := told(look(t, dsn, v.trusted, nil)); !slices.Equal(got, []string{"E_KEY"}) {
						t.Errorf("without checkpoints from elsewhere found %q; want E_KEY", got)
					}
				}
			})
		}
	})
}

type attack struct {
	name string
	do   func(c client)
	want []string
}

func attacks(v *history) []attack {
	at := func(code trail.Code, n int64) string { return fmt.Sprintf("%s at %d", code, n) }
	record := func(code trail.Code, kind, subject string) string {
		return fmt.Sprintf("%s %s %s", code, kind, subject)
	}
	return []attack{
		{"edit a reading", func(c client) {
			c.do(`UPDATE reading_sets SET readings = '["0,03","-0.09"]' WHERE inspection_id = ? AND code = 'lateral_runout'`, v.inspection)
		}, []string{record(verify.Edited, "inspection", v.inspection)}},
		{"edit a result", func(c client) {
			c.do("UPDATE results SET value = '0.11' WHERE inspection_id = ? AND code = 'lateral_tir'", v.inspection)
		}, []string{record(verify.Edited, "inspection", v.inspection)}},
		{"swap two certificates' results", func(c client) {
			c.do("UPDATE certificates SET content = ? WHERE id = ?", v.pack.Content, v.wheel.ID)
			c.do("UPDATE certificates SET content = ? WHERE id = ?", v.wheel.Content, v.pack.ID)
		}, sorted(record(verify.Content, "certificate", v.wheel.ID), record(verify.Content, "certificate", v.pack.ID))},
		{"swap them with their hashes", func(c client) {
			c.do("UPDATE certificates SET content = ?, content_hash = ? WHERE id = ?", v.pack.Content, v.pack.ContentHash, v.wheel.ID)
			c.do("UPDATE certificates SET content = ?, content_hash = ? WHERE id = ?", v.wheel.Content, v.wheel.ContentHash, v.pack.ID)
		}, append(sorted(record(verify.Edited, "certificate", v.wheel.ID), record(verify.Edited, "certificate", v.pack.ID)),
			sorted(record(verify.Paper, "certificate", v.wheel.ID), record(verify.Paper, "certificate", v.pack.ID))...)},
		{"delete the last week", func(c client) {
			c.do("DELETE FROM trail_entries WHERE seq >= ?", v.lastWeek)
			c.do("DELETE FROM shelf_temperatures")
			c.do("UPDATE people SET role = 'operator' WHERE id = ?", v.person)
			c.do("UPDATE instruments SET place = '', due_on = '2031-12-01' WHERE code = 'D-1'")
			c.do("DELETE FROM checkpoints WHERE size > ?", v.lastWeek)
			c.do("UPDATE trail_heads SET size = ?, hash = ?", v.lastWeek, v.held[0].Body.Head)
		}, []string{at(trail.CodeTruncated, v.lastWeek)}},
		{"delete a record and its entry", func(c client) {
			c.do("DELETE FROM trail_entries WHERE subject = ?", v.temperature)
			c.do("DELETE FROM shelf_temperatures WHERE id = ?", v.temperature)
		}, []string{at(trail.CodeSeq, v.lastWeek+2)}},
		{"delete a record", func(c client) {
			c.do("DELETE FROM shelf_temperatures WHERE id = ?", v.temperature)
		}, []string{record(verify.Gone, "shelf_temperature", v.temperature)}},
		{"reorder", func(c client) {
			c.do("UPDATE trail_entries SET seq = 1000000 WHERE seq = 5")
			c.do("UPDATE trail_entries SET seq = 5 WHERE seq = 6")
			c.do("UPDATE trail_entries SET seq = 6 WHERE seq = 1000000")
		}, []string{at(trail.CodePrev, 5)}},
		{"edit an entry", func(c client) {
			c.do("UPDATE trail_entries SET actor = ? WHERE seq = 5", v.person)
		}, []string{at(trail.CodeHash, 5)}},
		{"edit a reading and hash everything anew without the key", func(c client) {
			c.do("UPDATE results SET value = '0.11' WHERE inspection_id = ? AND code = 'lateral_tir'", v.inspection)
			c.rehash(v)
		}, []string{at(trail.CodeCheckpoint, v.lastWeek-1)}},
		{keyReplaced, func(c client) {
			c.do("UPDATE results SET value = '0.11' WHERE inspection_id = ? AND code = 'lateral_tir'", v.inspection)
			c.replaceKey(v)
		}, []string{at(trail.CodeCheckpoint, v.lastWeek-1)}},
		{"insert a record without its entry", func(c client) {
			c.do("INSERT INTO shelf_temperatures (id, place, c, at, entered_by, entered_at) SELECT ?, place, '25', at, entered_by, entered_at FROM shelf_temperatures WHERE id = ?", anID, v.temperature)
		}, []string{record(verify.Unentered, "shelf_temperature", anID)}},
		{"insert an entry without its record", func(c client) {
			c.do("INSERT INTO trail_entries (id, at, actor, kind, subject, encoding, digest, note) SELECT ?, at, actor, kind, ?, encoding, digest, note FROM trail_entries WHERE seq = ?", anID, anID, v.lastWeek)
		}, []string{record(verify.Gone, "shelf_temperature", anID)}},
		{"insert an entry into the chain", func(c client) {
			c.do("INSERT INTO trail_entries (id, at, actor, kind, subject, encoding, digest, note, seq, prev, hash, sealed_at) SELECT ?, at, actor, 'person', 'nobody', encoding, digest, note, ?, prev, hash, sealed_at FROM trail_entries WHERE seq = ?", anID, v.size, v.size-1)
		}, []string{at(trail.CodePrev, v.size), record(verify.Gone, "person", "nobody")}},
		{"make somebody an owner", func(c client) {
			c.do("UPDATE people SET role = 'owner' WHERE id = ?", v.person)
		}, []string{record(verify.Edited, "person", v.person)}},
		{"put a person back to an older state", func(c client) {
			c.do("UPDATE people SET role = 'operator' WHERE id = ?", v.person)
		}, []string{record(verify.Edited, "person", v.person)}},
		{"change a kept paper", func(c client) {
			c.do("UPDATE files SET bytes = ? WHERE hash = ?", []byte("paper of "+v.pack.Content), paperOf(v.wheel))
		}, []string{record(verify.File, "certificate", v.wheel.ID) + " " + paperOf(v.wheel), record(verify.Paper, "certificate", v.wheel.ID)}},
		{"change a kept photo", func(c client) {
			c.do("UPDATE files SET bytes = ? WHERE hash = ?", []byte("another dial"), v.photo)
		}, []string{record(verify.File, "inspection", v.inspection) + " " + v.photo}},
		{"change a file that is kept for nothing", func(c client) {
			c.do("INSERT INTO files (hash, media_type, bytes, created_at) SELECT ?, media_type, bytes, created_at FROM files WHERE hash = ?", strings.Repeat("0", 64), v.photo)
		}, []string{"E_FILE   " + strings.Repeat("0", 64)}},
		{"take a kept paper away", func(c client) {
			c.unminded()
			c.do("DELETE FROM files WHERE hash = ?", paperOf(v.wheel))
		}, []string{record(verify.FileGone, "certificate", v.wheel.ID) + " " + paperOf(v.wheel)}},
		{"take a kept photo away", func(c client) {
			c.unminded()
			c.do("DELETE FROM files WHERE hash = ?", v.photo)
		}, []string{record(verify.FileGone, "inspection", v.inspection) + " " + v.photo}},
		{"swap two papers", func(c client) {
			c.do("UPDATE certificate_papers SET file_hash = ? WHERE certificate_id = ?", paperOf(v.pack), v.wheel.ID)
			c.do("UPDATE certificate_papers SET file_hash = ? WHERE certificate_id = ?", paperOf(v.wheel), v.pack.ID)
		}, sorted(record(verify.Paper, "certificate", v.wheel.ID), record(verify.Paper, "certificate", v.pack.ID))},
		{"a kind of record that is not known", func(c client) {
			c.do("INSERT INTO trail_entries (id, at, actor, kind, subject, encoding, digest, note) SELECT ?, at, actor, 'spell', ?, encoding, digest, note FROM trail_entries WHERE seq = ?", anID, anID, v.lastWeek)
		}, []string{record(verify.UnknownKind, "spell", anID)}}, // a warning
		{"the sealer goes on elsewhere", func(c client) {
			c.do("UPDATE trail_heads SET hash = ?", v.held[0].Body.Head)
		}, []string{at(trail.CodePrev, v.size)}},
		{"a column that came later", func(c client) {
			for _, table := range []string{"shelf_temperatures", "inspections", "results", "people", "certificates", "trail_entries"} {
				c.do("ALTER TABLE " + table + " ADD COLUMN colour TEXT NOT NULL DEFAULT 'grey'")
			}
		}, nil},
	}
}

const keyReplaced = "the same, and replace the key"

// paperOf is the hash of a certificate's paper.
func paperOf(c models.Certificate) string { return trail.Digest([]byte("paper of " + c.Content)) }

const anID = "01953a6b-7c00-7000-8000-00000000abcd"

func sorted(lines ...string) []string {
	slices.Sort(lines)
	return lines
}

// rehashed reads the chain, changed by somebody and hashed anew.
func (c client) rehashed(change func(*models.TrailEntry)) []models.TrailEntry {
	c.Helper()
	rows, err := c.db.QueryContext(c.Context(), "SELECT CAST(id AS text), at, actor, kind, subject, encoding, digest, note, data, seq, sealed_at FROM trail_entries WHERE seq IS NOT NULL ORDER BY seq")
	if err != nil {
		c.Fatal(err)
	}
	defer rows.Close()
	prev := trail.FirstPrev
	var entries []models.TrailEntry
	for rows.Next() {
		var e models.TrailEntry
		if err := rows.Scan(&e.ID, &e.At, &e.Actor, &e.Kind, &e.Subject, &e.Encoding, &e.Digest, &e.Note, &e.Data, &e.Seq, &e.SealedAt); err != nil {
			c.Fatal(err)
		}
		change(&e)
		chained, err := e.Chained(*e.Seq, prev, *e.SealedAt)
		if err != nil {
			c.Fatal(err)
		}
		hash, err := trail.EntryHash(chained)
		if err != nil {
			c.Fatal(err)
		}
		before := prev
		e.Prev, e.Hash, prev = &before, &hash, hash
		entries = append(entries, e)
	}
	if err := rows.Err(); err != nil {
		c.Fatal(err)
	}
	return entries
}

// edited is the digest of the wheel's inspection as it stands now.
func (c client) edited(v *history) string {
	c.Helper()
	digest := ""
	s, err := store.Open(c.Context(), c.dsn, store.Options{})
	if err != nil {
		c.Fatal(err)
	}
	defer s.Close()
	err = s.Freeze(c.Context(), func(frozen *store.Frozen) error {
		records, err := frozen.Records("inspection", []string{v.inspection})
		if err != nil {
			return err
		}
		digest, err = models.Digest(records[0])
		return err
	})
	if err != nil {
		c.Fatal(err)
	}
	return digest
}

func (c client) write(entries []models.TrailEntry) {
	c.Helper()
	for _, e := range entries {
		c.do("UPDATE trail_entries SET digest = ?, data = ?, prev = ?, hash = ? WHERE seq = ?", e.Digest, e.Data, *e.Prev, *e.Hash, *e.Seq)
	}
	c.do("UPDATE trail_heads SET hash = ?", *entries[len(entries)-1].Hash)
}

// rehash makes the entry of the edited record fit it and hashes the chain anew.
func (c client) rehash(v *history) {
	c.Helper()
	digest := c.edited(v)
	c.write(c.rehashed(func(e *models.TrailEntry) {
		if e.Kind == "inspection" && e.Subject == v.inspection {
			e.Digest = digest
		}
	}))
}

// replaceKey does the same under a key of its own, which signs the checkpoints
// anew.
func (c client) replaceKey(v *history) {
	c.Helper()
	key, record := keyOf('z')
	digest := c.edited(v)
	entries := c.rehashed(func(e *models.TrailEntry) {
		switch {
		case e.Kind == "inspection" && e.Subject == v.inspection:
			e.Digest = digest
		case e.Kind == trail.KindGenesis:
			raw, err := trail.Canonical(trail.Genesis{Log: e.Subject, Key: record.Public})
			if err != nil {
				c.Fatal(err)
			}
			data := string(raw)
			e.Data, e.Digest = &data, trail.Digest(raw)
		}
	})
	c.write(entries)
	c.do("INSERT INTO server_keys (id, public, server, entry_id, enrolled_at) SELECT ?, ?, server, entry_id, enrolled_at FROM server_keys", record.ID, record.Public)
	var tree trail.Tree
	for _, e := range entries {
		leaf, err := trail.ParseHash(*e.Hash)
		if err != nil {
			c.Fatal(err)
		}
		tree.Append(leaf)
		for _, kept := range v.held {
			body, size := kept.Body, *e.Seq+1
			if body.Size != size {
				continue
			}
			body.Head, body.Root = *e.Hash, tree.Root().String()
			signed, err := body.Sign(key)
			if err != nil {
				c.Fatal(err)
			}
			c.do("UPDATE checkpoints SET key_id = ?, head = ?, root = ?, sig = ? WHERE size = ?", record.ID, signed.Body.Head, signed.Body.Root, signed.Sig, size)
		}
	}
	c.do("DELETE FROM server_keys WHERE id <> ?", record.ID)
}
