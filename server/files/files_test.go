package files_test

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"testing"

	"tracewright/server/files"
)

// A file is written over whole, has the mode that was asked for, and nothing is left
// beside it, whether it could be written or not.
func TestWrite(t *testing.T) {
	folder := t.TempDir()
	path := filepath.Join(folder, "a.key")
	for _, text := range []string{"the first, which is longer", "the second"} {
		if err := files.Write(path, 0o640, []byte(text)); err != nil {
			t.Fatal(err)
		}
		if raw, err := os.ReadFile(path); err != nil || string(raw) != text {
			t.Errorf("the file holds %q, %v; want %q", raw, err, text)
		}
	}
	if info, err := os.Stat(path); err != nil || info.Mode().Perm() != 0o640 && runtime.GOOS != "windows" {
		t.Errorf("the file is %v, %v", info, err)
	}
	taken := filepath.Join(folder, "taken")
	if err := os.Mkdir(taken, 0o700); err != nil {
		t.Fatal(err)
	}
	if err := files.Write(taken, 0o600, nil); err == nil {
		t.Error("a file takes the name of a folder")
	}
	if err := files.Write(filepath.Join(folder, "missing", "a"), 0o600, nil); !errors.Is(err, fs.ErrNotExist) {
		t.Errorf("a file in a folder that is not there: %v", err)
	}
	if left, err := os.ReadDir(folder); err != nil || len(left) != 2 {
		t.Errorf("the folder holds %v, %v; want the file and the folder", left, err)
	}
}
