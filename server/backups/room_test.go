package backups_test

import (
	"errors"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"tracewright/server/backups"
)

// A small file may hold much: what does not fit beside what the disk is to keep free is
// refused before it is written, in one part or in many.
func TestABackupThatUnpacksBeyondTheDisk(t *testing.T) {
	const mega = 1 << 20
	for _, c := range []struct {
		name string
		part backups.Part
		free uint64
		most int64 // written at last
		want error
	}{
		{"one part", text("database.sqlite", strings.Repeat("\x00", 20*mega)), 51 * mega, 0, backups.ErrNoRoom},
		{"one part that just fits", text("database.sqlite", strings.Repeat("\x00", 20*mega)), 52 * mega, 20 * mega, nil},
		{"pieces of 8 MB, the third too many", stream("database.pgdump", make([]byte, 30*mega)), 50 * mega, 16 * mega, backups.ErrNoRoom},
		{"pieces that fit", stream("database.pgdump", make([]byte, 30*mega)), 80 * mega, 30 * mega, nil},
	} {
		t.Run(c.name, func(t *testing.T) {
			path, folder := filepath.Join(t.TempDir(), "b"), t.TempDir()
			write(t, path, header(""), c.part)
			if info, err := os.Stat(path); err != nil || info.Size() > 100<<10 {
				t.Fatalf("the file is not small: %v, %v", info, err)
			}
			name, written := c.part.Name, int64(0)
			free := func(string) (uint64, uint64, error) {
				written = 0
				if info, err := os.Stat(filepath.Join(folder, name)); err == nil {
					written = info.Size()
				}
				return c.free - uint64(written), 1 << 40, nil
			}
			_, err := backups.Extract(t.Context(), path, nil, folder, free)
			free("")
			if !errors.Is(err, c.want) || written != c.most {
				t.Errorf("%v with %d bytes written, want %v with %d", err, written, c.want, c.most)
			}
		})
	}
	// Where nobody can tell, the disk does.
	path := filepath.Join(t.TempDir(), "b")
	write(t, path, header(""), text("database.sqlite", "x"))
	for _, c := range []struct{ said, want error }{{errors.ErrUnsupported, nil}, {io.ErrClosedPipe, io.ErrClosedPipe}} {
		if _, err := backups.Extract(t.Context(), path, nil, t.TempDir(), func(string) (uint64, uint64, error) { return 0, 0, c.said }); !errors.Is(err, c.want) {
			t.Errorf("%v: %v, want %v", c.said, err, c.want)
		}
	}
}
