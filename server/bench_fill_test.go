package main

import (
	"os"
	"path/filepath"
	"testing"

	"tracewright/models/store/storetest"
)

// A database that holds a shop is refused before a folder of keys is made.
func TestFillRefusesAShopBeforeItMakesKeys(t *testing.T) {
	b := newBackedUp(t, storetest.NeedPostgres(t))
	keys := filepath.Join(t.TempDir(), "keys")
	says(t, "fill", command(t, "", "bench", "--fill", "5", "--database", b.database, "--keys", keys), 2, "", "holds a shop already")
	if _, err := os.Lstat(keys); err == nil {
		t.Error("keys were made")
	}
}
