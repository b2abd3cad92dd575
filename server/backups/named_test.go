package backups

import (
	"errors"
	"os"
	"path/filepath"
	"testing"
)

// Also on a file system without links a file of that name stays what it is.
func TestANameThatIsTaken(t *testing.T) {
	none := func(_, _ string) error { return errors.New("operation not permitted") }
	for name, link := range map[string]func(from, to string) error{"with links": os.Link, "without": none} {
		folder := t.TempDir()
		from, to := filepath.Join(folder, ".new"), filepath.Join(folder, "shop.db")
		for path, content := range map[string]string{from: "restored", to: "a shop at work"} {
			if err := os.WriteFile(path, []byte(content), 0o600); err != nil {
				t.Fatal(err)
			}
		}
		if err := named(from, to, link); !errors.Is(err, os.ErrExist) {
			t.Errorf("%s: %v", name, err)
		}
		if raw, err := os.ReadFile(to); err != nil || string(raw) != "a shop at work" {
			t.Errorf("%s: it holds %q, %v", name, raw, err)
		}
		if err := named(from, filepath.Join(folder, "free.db"), link); err != nil {
			t.Errorf("%s, to a name that is free: %v", name, err)
		}
	}
}
