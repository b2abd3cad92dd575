package store

import (
	"errors"
	"os"
	"path/filepath"
	"testing"
)

// The lock of migrations is let go, and its file gone, also where no file is taken away
// that somebody has open, as on Windows; and nobody fails where it cannot be at all.
func TestTheLockOfMigrationsIsLetGo(t *testing.T) {
	for _, test := range []struct {
		name   string
		remove func(l *fileLock) error
		left   bool
	}{
		{"here", func(l *fileLock) error { return os.Remove(l.path) }, false},
		{"as on Windows", func(l *fileLock) error {
			if l.db.Stats().OpenConnections > 0 {
				return errors.New("the process cannot access the file because it is being used by another process")
			}
			return os.Remove(l.path)
		}, false},
		{"in a folder that takes no change", func(*fileLock) error { return os.ErrPermission }, true},
	} {
		t.Run(test.name, func(t *testing.T) {
			path := filepath.Join(t.TempDir(), "shop.db-migrating")
			for range 2 {
				l := &fileLock{path: path}
				l.remove = func(string) error { return test.remove(l) }
				if err := l.SessionLock(t.Context(), nil); err != nil {
					t.Fatal(err)
				}
				if err := l.SessionUnlock(t.Context(), nil); err != nil {
					t.Error(err)
				}
				if _, err := os.Stat(path); (err == nil) != test.left {
					t.Errorf("the file is left: %v, want %v", err == nil, test.left)
				}
			}
		})
	}
}
