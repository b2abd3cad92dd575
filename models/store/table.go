package store

import (
	"fmt"
	"strings"
	"sync"
)

// table describes how many rows of one table are written at once. It stands
// beside gorm only where every inspection passes: there gorm's reflection
// would take longer than the database.
type table struct {
	name    string
	columns []string
	// PostgreSQL: many rows by one array a column, so that the text is the same for
	// any number of rows. The arrays stand in the list of what is selected and run in
	// step, row by row; in the FROM clause each would first be laid out in a store of
	// its own, which took a fifth of an insert's time.
	unnest string
}

// newTable reads "name type" pairs; the types are those of [columnTypes].
func newTable(name string, columns ...string) *table {
	t := &table{name: name, columns: make([]string, len(columns))}
	arrays := make([]string, len(columns))
	for i, c := range columns {
		column, kind, _ := strings.Cut(c, " ")
		t.columns[i], arrays[i] = column, "unnest(?::"+kind+"[])"
	}
	t.unnest = fmt.Sprintf("INSERT INTO %s (%s) SELECT %s", name, strings.Join(t.columns, ", "), strings.Join(arrays, ", "))
	return t
}

// values is the text that inserts n rows by placeholders.
func (t *table) values(n int) string {
	row := "(?" + strings.Repeat(", ?", len(t.columns)-1) + ")"
	return fmt.Sprintf("INSERT INTO %s (%s) VALUES %s", t.name, strings.Join(t.columns, ", "), row+strings.Repeat(", "+row, n-1))
}

var insertTexts sync.Map // insertKey -> text

type insertKey struct {
	table *table
	rows  int
}

// placeholders is values, made once.
func (t *table) placeholders(n int) string {
	key := insertKey{t, n}
	if text, ok := insertTexts.Load(key); ok {
		return text.(string)
	}
	text := t.values(n)
	insertTexts.Store(key, text)
	return text
}

// rowsAtOnce keeps the number of different texts, each compiled and kept, small.
const rowsAtOnce = 16

// insert adds the statements that write rows, each as long as the table's columns.
func (s *Store) insert(b *batch, t *table, rows [][]any) {
	if s.arrays && len(rows) > 1 {
		args := make([]any, len(t.columns))
		for i := range t.columns {
			args[i] = columnValues{rows, i}
		}
		b.exec(t.unnest, args...)
		return
	}
	for len(rows) > 0 {
		n := min(len(rows), rowsAtOnce)
		args := make([]any, 0, n*len(t.columns))
		for _, row := range rows[:n] {
			args = append(args, row...)
		}
		b.exec(t.placeholders(n), args...)
		rows = rows[n:]
	}
}
