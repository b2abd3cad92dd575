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
	err = s.Freeze(t.Context(), func(frozen *store.Frozen) error {
		report, err := verify.Database(frozen, trail.NewVerifier(nil), nil)
		if err != nil {
			return err
		}
		t.Logf("%d records, %d files, %d entries not sealed", report.Records, report.Files, report.Unsealed)
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
