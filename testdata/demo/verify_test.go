package demo

import (
	"path/filepath"
	"testing"

	"tracewright/models/store"
	"tracewright/models/trail"
	"tracewright/models/work/verify"
)

// What the invented shop has recorded, changed in place, corrected and erased is
// just what its trail says: every kind of record stands in the store's table.
func TestInventedShopVerifies(t *testing.T) {
	full(t, Story)
	s, err := store.Open(t.Context(), "sqlite:"+filepath.Join(wholeFolder, Story, "shop.db"), store.Options{})
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	keys, err := s.ServerKeys(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	trusted := trail.Keys{}
	for _, k := range keys {
		if trusted[k.ID], err = trail.ParsePublicKey(k.Public); err != nil {
			t.Fatal(err)
		}
	}
	err = s.Freeze(t.Context(), func(frozen *store.Frozen) error {
		report, err := verify.Database(frozen, trail.NewVerifier(trusted), nil)
		if err != nil {
			return err
		}
		t.Logf("%d records, %d files, %d entries sealed and %d not, %d checkpoints", report.Records, report.Files, report.Entries, report.Unsealed, report.Checkpoints)
		if report.Problem != nil {
			t.Errorf("the chain: %+v", *report.Problem)
		}
		for _, f := range report.Findings {
			t.Errorf("%s: %s %s", f.Code, f.Kind, f.Subject)
		}
		if report.Records < 10_000 {
			t.Errorf("only %d records were looked at", report.Records)
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
}
