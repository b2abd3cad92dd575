package main

import (
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"

	"tracewright/models/store/storetest"
)

// In a folder that holds a retired key alone lies none that signs what is to follow.
func TestNoBackupWithARetiredKeyAlone(t *testing.T) {
	storetest.EachDSN(t, func(t *testing.T, dsn string) {
		b := newBackedUp(t, dsn)
		stale := t.TempDir()
		old := ""
		for _, name := range left(t, b.keys) {
			raw, err := os.ReadFile(name)
			b.shop.Must(err)
			b.shop.Must(os.WriteFile(filepath.Join(stale, filepath.Base(name)), raw, 0o600))
			if id, isKey := strings.CutSuffix(filepath.Base(name), ".key"); isKey {
				old = id
			}
		}
		own := []string{"--database", b.database, "--keys", b.keys}
		says(t, "another key", command(t, "", append([]string{"keys", "rotate"}, own...)...), 0, "", "")
		says(t, "the first ends", command(t, "", append([]string{"keys", "retire", old}, own...)...), 0, "", "")
		made := func(keys string) ran {
			return command(t, "", "backup", "--database", b.database, "--keys", keys, "--backups", b.folder)
		}
		says(t, "by the retired one", made(stale), 1, "", "holds none by which the log of changes goes on")
		says(t, "by its own", made(b.keys), 0, "encrypted", "")
		file := filepath.Join(stale, "file")
		b.shop.Must(os.WriteFile(file, nil, 0o600))
		p := &backupPlace{store: b.shop.Store, keys: filepath.Join(file, "keys")}
		if err := p.keysOfLog(t.Context(), true); err == nil || !strings.Contains(err.Error(), "not a directory") && runtime.GOOS != "windows" {
			t.Errorf("keys that cannot be looked at: %v", err)
		}
	})
}
