package store_test

import (
	"context"
	"crypto/ed25519"
	"database/sql"
	"encoding/hex"
	"errors"
	"strings"
	"testing"
	"time"

	"tracewright/models"
	"tracewright/models/store"
	"tracewright/models/store/storetest"
	"tracewright/models/trail"
)

// sealingKey is a key made of one repeated byte: of tests alone.
func sealingKey(b byte) (ed25519.PrivateKey, models.ServerKey) {
	seed := make([]byte, ed25519.SeedSize)
	for i := range seed {
		seed[i] = b
	}
	key := ed25519.NewKeyFromSeed(seed)
	public := key.Public().(ed25519.PublicKey)
	return key, models.ServerKey{ID: trail.KeyID(public), Public: hex.EncodeToString(public), Server: "bench"}
}

// adopted is how many records come with the schema, of which the log's beginning
// makes entries.
const adopted = 5

func beginLog(t *testing.T, s *store.Store) (log string, key ed25519.PrivateKey) {
	t.Helper()
	log = models.NewID()
	key, record := sealingKey(1)
	if err := s.BeginLog(t.Context(), models.NewStamp(models.Actor{}, moment), log, record); err != nil {
		t.Fatal(err)
	}
	return log, key
}

// settingAt leaves one entry in the trail, by a change of that moment.
func settingAt(t *testing.T, s *store.Store, at time.Time, value string) {
	t.Helper()
	if err := s.SetSetting(t.Context(), models.NewStamp(models.Actor{}, at), models.SettingShopName, value); err != nil {
		t.Fatal(err)
	}
}

// verified walks along the sealed entries with the verifier of package trail,
// which knows nothing of the store.
func verified(t *testing.T, s *store.Store, log string, first ed25519.PublicKey) []models.TrailEntry {
	t.Helper()
	entries := must(s.SealedEntries(t.Context(), 0, 1_000_000))
	v := trail.NewVerifier(trail.Keys{trail.KeyID(first): first})
	for _, c := range must(s.Checkpoints(t.Context(), 0, 1000)) {
		v.Checkpoint(c.Signed())
	}
	for _, e := range entries {
		chained, err := e.Sealed()
		if err != nil {
			t.Fatal(err)
		}
		if err := v.Entry(chained); err != nil {
			t.Fatal(err)
		}
	}
	if r := v.Report(); r.Problem != nil || r.Log != log || r.WarningCount != 0 {
		t.Errorf("the chain does not verify: %+v of log %s, %d warnings, want log %s", r.Problem, r.Log, r.WarningCount, log)
	}
	return entries
}

// Entries are numbered by the moment of their change, those of one moment by
// their ids, after those that were sealed before, however late they come.
func TestSealOrdersByTheMomentOfTheChange(t *testing.T) {
	storetest.Each(t, func(t *testing.T, s *store.Store) {
		ctx := t.Context()
		settingAt(t, s, moment.Add(2*time.Second), "c")
		settingAt(t, s, moment.Add(time.Second), "b")
		if _, err := s.Seal(ctx, moment, 10); !errors.Is(err, models.ErrNotFound) {
			t.Fatalf("sealing before the log has begun: %v, want not found", err)
		}
		log, key := beginLog(t, s)
		if err := s.BeginLog(ctx, models.NewStamp(models.Actor{}, moment), log, must1(sealingKey(2))); !errors.Is(err, models.ErrConflict) {
			t.Errorf("beginning again: %v, want a conflict", err)
		}
		first := must(s.Seal(ctx, moment.Add(time.Minute), 10))
		if first.Count != adopted+2 || first.Size != adopted+3 || first.ClockBack != 0 {
			t.Errorf("first turn %+v, want 2 entries and 3 in all", first)
		}
		settingAt(t, s, moment, "late")
		settingAt(t, s, moment.Add(3*time.Second), "d")
		if few := must(s.Seal(ctx, moment.Add(2*time.Minute), 1)); few.Count != 1 || few.Size != adopted+4 {
			t.Errorf("a turn of one: %+v", few)
		}
		must(s.Seal(ctx, moment.Add(2*time.Minute), 10))
		entries := verified(t, s, log, key.Public().(ed25519.PublicKey))
		var offsets []time.Duration
		for _, e := range entries {
			if e.Note != models.NoteAdopted {
				offsets = append(offsets, e.At.Sub(moment))
			}
		}
		same(t, "order", offsets, []time.Duration{0, time.Second, 2 * time.Second, 0, 3 * time.Second})
		if waits := must(s.Unsealed(ctx)); waits {
			t.Error("entries wait still")
		}
		if idle := must(s.Seal(ctx, moment.Add(time.Hour), 10)); idle.Count != 0 || idle.Size != adopted+5 {
			t.Errorf("a turn with nothing to do: %+v", idle)
		}
	})
}

// A clock that went back gives no seal before the last: the new ones are dated
// like it, and how far the clock stands behind is told.
func TestSealWithAClockThatWentBack(t *testing.T) {
	storetest.Each(t, func(t *testing.T, s *store.Store) {
		log, key := beginLog(t, s)
		settingAt(t, s, moment, "a")
		must(s.Seal(t.Context(), moment.Add(time.Hour), 10))
		settingAt(t, s, moment.Add(time.Second), "b")
		back := must(s.Seal(t.Context(), moment.Add(30*time.Minute), 10))
		if back.Count != 1 || back.ClockBack != 30*time.Minute {
			t.Errorf("sealed %+v, want one entry and half an hour", back)
		}
		entries := verified(t, s, log, key.Public().(ed25519.PublicKey))
		if at := *entries[adopted+2].SealedAt; !at.Equal(moment.Add(time.Hour)) {
			t.Errorf("sealed at %v, want the moment of the seal before", at)
		}
	})
}

// A checkpoint is made of the head as it stands, by a key that may sign; those
// that joined and left are followed by whoever verifies from the first key on.
func TestCheckpointsOfSeveralKeys(t *testing.T) {
	storetest.Each(t, func(t *testing.T, s *store.Store) {
		ctx := t.Context()
		log, first := beginLog(t, s)
		second, record := sealingKey(2)
		stamp := models.NewStamp(models.Actor{}, moment)
		record.VouchedBy = pointer(must(s.ServerKeys(ctx))[0].ID)
		enrolment := must(trail.Enrol(first, log, second.Public().(ed25519.PublicKey)))
		if err := s.EnrolKey(ctx, stamp, record, enrolment); err != nil {
			t.Fatal(err)
		}
		if keys := must(s.ServerKeys(ctx)); len(keys) != 2 || !keys[0].Signs() || keys[1].Signs() {
			t.Errorf("keys %+v: the second may sign once its entry is sealed", keys)
		}
		if err := s.EnrolKey(ctx, stamp, record, enrolment); !errors.Is(err, models.ErrConflict) {
			t.Errorf("enrolled twice: %v, want a conflict", err)
		}
		must(s.Seal(ctx, moment, 10))
		by := func(key ed25519.PrivateKey) (models.Checkpoint, error) { return checkpoint(ctx, s, key) }
		must(by(first))
		settingAt(t, s, moment, "a")
		must(s.Seal(ctx, moment, 10))
		must(by(second))
		if err := s.RetireKey(ctx, stamp, trail.KeyID(first.Public().(ed25519.PublicKey))); err != nil {
			t.Fatal(err)
		}
		if err := s.RetireKey(ctx, stamp, trail.KeyID(first.Public().(ed25519.PublicKey))); !errors.Is(err, models.ErrNotFound) {
			t.Errorf("retired twice: %v, want not found", err)
		}
		must(s.Seal(ctx, moment, 10))
		newest := must(by(second))
		if keys := must(s.ServerKeys(ctx)); keys[0].Signs() || !keys[1].Signs() {
			t.Errorf("keys %+v, want the second alone to sign", keys)
		}
		same(t, "newest checkpoint", must(s.NewestCheckpoint(ctx)), newest)
		if list := must(s.CheckpointsBy(ctx, newest.KeyID, adopted+3, 10)); len(list) != 1 || list[0] != newest {
			t.Errorf("checkpoints of the second key above 3: %+v", list)
		}
		verified(t, s, log, first.Public().(ed25519.PublicKey))
	})
}

func checkpoint(ctx context.Context, s *store.Store, key ed25519.PrivateKey) (models.Checkpoint, error) {
	return s.AddCheckpoint(ctx, func(head models.TrailHead, _ []models.ServerKey) (models.Checkpoint, error) {
		tree, err := head.Tree()
		if err != nil {
			return models.Checkpoint{}, err
		}
		signed, err := trail.Checkpoint{V: trail.CheckpointVersion, Log: head.Log, Size: head.Size, Head: head.Hash, Root: tree.Root().String(), TS: trail.Timestamp(moment)}.Sign(key)
		return models.CheckpointOf(signed, moment), err
	})
}

func must1[A, B any](_ A, b B) B { return b }

// Checkpoints are read along their key, however many there are: one is written
// with each certificate, and each certificate asks for the newest.
func TestCheckpointsAreReadAlongTheirKey(t *testing.T) {
	dsn := storetest.SQLite(t) // PostgreSQL sorts no more than those of one size.
	s := storetest.Open(t, dsn)
	ctx := t.Context()
	db := must(sql.Open("sqlite", strings.TrimPrefix(dsn, "sqlite:")+"?_pragma=query_only(1)"))
	defer db.Close()
	for name, ask := range map[string]func(*store.Store) error{
		"the newest":   func(s *store.Store) error { return second(s.NewestCheckpoint(ctx)) },
		"newest first": func(s *store.Store) error { return second(s.Checkpoints(ctx, 0, 10)) },
		"below a size": func(s *store.Store) error { return second(s.Checkpoints(ctx, 7, 10)) },
		"of a key":     func(s *store.Store) error { return second(s.CheckpointsBy(ctx, "0123456789abcdef", 3, 10)) },
	} {
		statements, err := s.StatementsOf(ask)
		if err != nil && !errors.Is(err, models.ErrNotFound) || len(statements) == 0 {
			t.Fatalf("%s: %d statements, %v", name, len(statements), err)
		}
		for _, x := range statements {
			plan := ""
			rows := must(db.QueryContext(ctx, "EXPLAIN QUERY PLAN "+x))
			for rows.Next() {
				var id, parent, unused int
				var step string
				if err := rows.Scan(&id, &parent, &unused, &step); err != nil {
					t.Fatal(err)
				}
				plan += step + "\n"
			}
			if err := errors.Join(rows.Err(), rows.Close()); err != nil {
				t.Fatal(err)
			}
			if strings.Contains(plan, "TEMP B-TREE") || !strings.Contains(plan, "INDEX") {
				t.Errorf("%s: %s\n%swant the rows as an index gives them", name, x, plan)
			}
		}
	}
}
