package store

import (
	"fmt"
	"strings"
	"time"
)

// table describes how many rows of one table are written at once. It stands
// beside gorm only where every inspection passes: there gorm's reflection
// would take longer than the database.
type table struct {
	name    string
	columns []column
	// PostgreSQL: one row by placeholders, and many by one array a column, so
	// that the text is the same for any number of rows.
	single, unnest string
}

// column has a name and the PostgreSQL type its values are cast to. One that
// is common has the same value in all the rows written at once, and is sent
// once.
type column struct {
	name, cast string
	common     bool
}

// newTable reads "name type" pairs; "name type common" for a common column.
func newTable(name string, columns ...string) *table {
	t := &table{name: name}
	var names, values, arrays, rows []string
	for i, c := range columns {
		column := column{}
		column.name, column.cast, _ = strings.Cut(c, " ")
		column.cast, column.common = strings.CutSuffix(column.cast, " common")
		t.columns = append(t.columns, column)
		names = append(names, column.name)
		if column.common {
			values = append(values, "?::"+column.cast)
			continue
		}
		// A text array is what the driver takes for keys and JSON too.
		array := column.cast
		if array == "uuid" || array == "json" {
			array = "text"
		}
		arrays = append(arrays, "?::"+array+"[]")
		rows = append(rows, fmt.Sprintf("c%d", i))
		values = append(values, fmt.Sprintf("c%d::%s", i, column.cast))
	}
	t.single = t.values(1)
	t.unnest = fmt.Sprintf("INSERT INTO %s (%s) SELECT %s FROM unnest(%s) AS rows (%s)", name, strings.Join(names, ", "),
		strings.Join(values, ", "), strings.Join(arrays, ", "), strings.Join(rows, ", "))
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
		b.exec(t.unnest, t.byColumn(rows)...)
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

// byColumn gives the values of many rows as the text unnest asks for them: the
// common ones, which stand first, once each.
func (t *table) byColumn(rows [][]any) []any {
	args := make([]any, len(t.columns))
	for i, c := range t.columns {
		if c.common {
			args[i] = rows[0][i]
		} else {
			args[i] = columnOf(rows, i, c.cast)
		}
	}
	return args
}

// columnOf gathers one column of many rows as an array that pgx can encode.
func columnOf(rows [][]any, i int, cast string) any {
	switch cast {
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
