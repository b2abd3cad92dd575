package migrations

import (
	"bytes"
	"io/fs"
	"os"
	"slices"
	"testing"
)

// What the program holds is what can be read beside it, file by file.
func TestPackedAsTheyStand(t *testing.T) {
	for _, folder := range []string{"sqlite", "postgres"} {
		names := func(files fs.FS) []string {
			list, err := fs.Glob(files, folder+"/*.sql")
			if err != nil || len(list) == 0 {
				t.Fatalf("%s: %d files, %v", folder, len(list), err)
			}
			return list
		}
		here := os.DirFS(".")
		if packed, there := names(Files), names(here); !slices.Equal(packed, there) {
			t.Fatalf("packed are %v, beside it lie %v: go generate ./migrations", packed, there)
		}
		for _, name := range names(here) {
			packed, err := fs.ReadFile(Files, name)
			if err != nil {
				t.Fatal(err)
			}
			if there, err := fs.ReadFile(here, name); err != nil || !bytes.Equal(packed, there) {
				t.Errorf("%s is packed otherwise than it stands, %v: go generate ./migrations", name, err)
			}
		}
	}
}
