package storetest

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// Copy copies a database that nobody has open, and gives the copy's address. It
// goes with the test.
func Copy(t testing.TB, dsn string) string {
	t.Helper()
	if path, isFile := strings.CutPrefix(dsn, "sqlite:"); isFile {
		raw, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		to := filepath.Join(t.TempDir(), "copy.db")
		if err := os.WriteFile(to, raw, 0o600); err != nil {
			t.Fatal(err)
		}
		return "sqlite:" + to
	}
	return copied(t, named(dsn))
}

// named is the database that an address made by within names.
func named(dsn string) string {
	if strings.Contains(dsn, "://") {
		address, _, _ := strings.Cut(dsn, "?")
		return address[strings.LastIndexByte(address, '/')+1:]
	}
	return dsn[strings.LastIndex(dsn, "dbname=")+len("dbname="):]
}
