package store

import (
	"fmt"
	"strings"
	"time"

	"github.com/jackc/pgx/v5/pgtype"
)

// table describes how many rows of one table are written at once. It stands
// beside gorm only where every inspection passes: there gorm's reflection
// would take longer than the database.
type table struct {
	name    string
	columns []column
	// PostgreSQL: one row by placeholders, and many by one array a column, so
	// that the text is the same for any number of rows. The arrays stand in the
	// list of what is selected and run in step, row by row; in the FROM clause
	// each would first be laid out in a store of its own, which took a fifth of
	// an insert's time.
	single, unnest string
}

// column has a name and a PostgreSQL type.
type column struct{ name, kind string }

// newTable reads "name type" pairs.
func newTable(name string, columns ...string) *table {
	t := &table{name: name}
	var names, values []string
	for _, c := range columns {
		column := column{}
		column.name, column.kind, _ = strings.Cut(c, " ")
		t.columns = append(t.columns, column)
		names = append(names, column.name)
		values = append(values, fmt.Sprintf("unnest(?::%s[])", column.kind))
	}
	t.single = t.values(1)
	t.unnest = fmt.Sprintf("INSERT INTO %s (%s) SELECT %s", name, strings.Join(names, ", "), strings.Join(values, ", "))
	return t
}

// values is the text that inserts n rows by placeholders.
func (t *table) values(n int) string {
	names := make([]string, len(t.columns))
	for i, c := range t.columns {
		names[i] = c.name
	}
	row := "(?" + strings.Repeat(", ?", len(names)-1) + ")"
	return fmt.Sprintf("INSERT INTO %s (%s) VALUES %s", t.name, strings.Join(names, ", "), row+strings.Repeat(", "+row, n-1))
}

// rowsAtOnce keeps the number of different SQLite texts, each compiled and
// kept, small.
const rowsAtOnce = 16

// insert adds the statements that write rows, each as long as the table's columns.
func (s *Store) insert(b *batch, t *table, rows [][]any) {
	if len(rows) == 0 {
		return
	}
	switch {
	case s.dialect == Postgres && len(rows) == 1:
		b.exec(t.single, rows[0]...)
		return
	case s.dialect == Postgres:
		args := make([]any, len(t.columns))
		for i, c := range t.columns {
			args[i] = columnOf(rows, i, c.kind)
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
		b.exec(sqliteInsert(t, n), args...)
		rows = rows[n:]
	}
}

// columnOf gathers one column of many rows as an array that pgx can encode.
func columnOf(rows [][]any, i int, kind string) any {
	switch kind {
	case "uuid":
		return uuidsOf(rows, i)
	case "integer", "bigint":
		list := make([]*int64, len(rows))
		for n, row := range rows {
			list[n] = wholePointer(row[i])
		}
		return list
	case "boolean":
		list := make([]bool, len(rows))
		for n, row := range rows {
			list[n], _ = row[i].(bool)
		}
		return list
	case "double precision":
		list := make([]*float64, len(rows))
		for n, row := range rows {
			list[n], _ = row[i].(*float64)
		}
		return list
	case "timestamptz":
		list := make([]*time.Time, len(rows))
		for n, row := range rows {
			switch v := row[i].(type) {
			case time.Time:
				list[n] = &v
			case *time.Time:
				list[n] = v
			}
		}
		return list
	}
	return textsOf(rows, i)
}

// uuidsOf gives keys as they are stored; what is none is left to the database to refuse.
func uuidsOf(rows [][]any, i int) any {
	list := make(pgtype.FlatArray[pgtype.UUID], len(rows))
	for n, row := range rows {
		text, given := row[i].(string)
		if key, ok := row[i].(*string); ok && key != nil {
			text, given = *key, true
		}
		if !given {
			continue
		}
		if list[n].Scan(text) != nil {
			return textsOf(rows, i)
		}
	}
	return list
}

// textsOf gives plain texts where none is null: those the driver takes without
// reflection.
func textsOf(rows [][]any, i int) any {
	plain := make([]string, len(rows))
	for n, row := range rows {
		var ok bool
		if plain[n], ok = row[i].(string); !ok {
			return nullableTexts(rows, i)
		}
	}
	return plain
}

func nullableTexts(rows [][]any, i int) []*string {
	list := make([]*string, len(rows))
	for n, row := range rows {
		switch v := row[i].(type) {
		case string:
			list[n] = &v
		case *string:
			list[n] = v
		}
	}
	return list
}

func wholePointer(v any) *int64 {
	switch v := v.(type) {
	case int:
		n := int64(v)
		return &n
	case int64:
		return &v
	case *int:
		if v != nil {
			n := int64(*v)
			return &n
		}
	case *int64:
		return v
	}
	return nil
}
