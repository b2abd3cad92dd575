package store

import (
	"database/sql"
	"slices"
	"testing"
	"time"
)

// What stands short in a condition is written out for each database.
func TestConditionsAreWrittenOut(t *testing.T) {
	at := time.Date(2031, 3, 4, 5, 6, 7, 0, time.UTC)
	for _, c := range []struct {
		name, dialect, text string
		args                []any
		want                string
		values              []any
	}{
		{"nothing short", Postgres, "a = ? AND b = '@x'", []any{"1"}, "a = ? AND b = '@x'", []any{"1"}},
		{"a list of one", Postgres, "a IN ? AND b = ?", []any{[]string{"x"}, at}, "a IN (?) AND b = ?", []any{"x", at}},
		{"a list", Postgres, "b = ? AND a IN ?", []any{at, []string{`x"y`, `\`, "{,}"}}, "b = ? AND a = ANY(?)", []any{at, `{"x\"y","\\","{,}"}`}},
		{"a list of nothing", Postgres, "a IN ?", []any{[]string{}}, "a = ANY(?)", []any{"{}"}},
		{"a list of numbers", Postgres, "a IN ?", []any{[]int{7, -8}}, "a = ANY(?)", []any{`{"7","-8"}`}},
		{"bytes are one value", Postgres, "a = ?", []any{[]byte("x")}, "a = ?", nil},
		{"a list on SQLite", SQLite, "a IN ? AND b = ?", []any{[]string{"x", "y"}, 3}, "a IN (?,?) AND b = ?", []any{"x", "y", 3}},
		{"a list of nothing on SQLite", SQLite, "a IN ?", []any{[]string(nil)}, "a IN (NULL)", nil},
		{"a name, twice", SQLite, "a = @from OR b = ? OR c = @from", []any{sql.Named("from", "x"), 2}, "a = ? OR b = ? OR c = ?", []any{"x", 2, "x"}},
		{"a name for a list", Postgres, "a IN @all", []any{sql.Named("all", []string{"x", "y"})}, "a = ANY(?)", []any{`{"x","y"}`}},
	} {
		text, values := written(c.dialect, c.text, c.args)
		if text != c.want || c.values != nil && !slices.Equal(values, c.values) {
			t.Errorf("%s: %q with %v, want %q with %v", c.name, text, values, c.want, c.values)
		}
	}
}
