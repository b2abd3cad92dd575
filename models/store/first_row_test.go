package store

import (
	"database/sql"
	"errors"
	"path/filepath"
	"testing"

	"gorm.io/gorm"
)

// A statement that cannot be prepared, and one without a row, are errors.
func TestFirstRow(t *testing.T) {
	s, err := Open(t.Context(), "sqlite:"+filepath.Join(t.TempDir(), "shop.db"), Options{})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { s.Close() })
	err = s.write.WithContext(t.Context()).Transaction(func(tx *gorm.DB) error {
		n := 0
		if err := firstRow(tx.Raw("SELECT 7"), &n); err != nil || n != 7 {
			t.Errorf("%d, %v; want 7", n, err)
		}
		if err := firstRow(tx.Raw("SELECT 7 WHERE 1 = 2"), &n); !errors.Is(err, sql.ErrNoRows) {
			t.Errorf("no row: %v", err)
		}
		if err := firstRow(tx.Raw("SELECT 'text'"), &n); err == nil {
			t.Error("a text was read as a number")
		}
		if err := firstRow(tx.Raw("SELECT x FROM nowhere"), &n); err == nil || errors.Is(err, sql.ErrNoRows) {
			t.Errorf("a statement that cannot be prepared: %v", err)
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
}
