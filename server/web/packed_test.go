package web

import (
	"bytes"
	"io/fs"
	"os"
	"slices"
	"testing"
)

// What the program holds is what can be read beside it, file by file.
func TestPackedAsTheyStand(t *testing.T) {
	here := os.DirFS(".")
	for _, pattern := range []string{"templates/*.html", "static/*.css", "static/*.js", "static/*.svg"} {
		names := func(in fs.FS) []string {
			list, err := fs.Glob(in, pattern)
			if err != nil || len(list) == 0 {
				t.Fatalf("%s: %d files, %v", pattern, len(list), err)
			}
			return list
		}
		if packed, there := names(packedFiles), names(here); !slices.Equal(packed, there) {
			t.Fatalf("packed are %v, beside it lie %v: go generate ./server/web", packed, there)
		}
		for _, name := range names(here) {
			packed, err := fs.ReadFile(packedFiles, name)
			if err != nil {
				t.Fatal(err)
			}
			if there, err := fs.ReadFile(here, name); err != nil || !bytes.Equal(packed, there) {
				t.Errorf("%s is packed otherwise than it stands, %v: go generate ./server/web", name, err)
			}
		}
	}
}
