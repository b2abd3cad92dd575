package lists

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"tracewright/models"
)

// Problem is one thing wrong with one cell, or with a whole row or column.
type Problem struct {
	Row    int    // as the spreadsheet counts; 0: of no row
	Column string // its heading; empty: of the whole row
	Code   string
	Values map[string]string
}

// Report is what came of looking at a list.
type Report struct {
	Kind     string
	Digest   string // of kind and content
	Rows     int    // below the heading
	New      int    // to be taken in
	Same     int    // on record already, just so
	Given    int    // of the new ones: get a code or serial of the shop
	Problems []Problem
	Notes    []models.Remark
	Text     string // the list, in UTF-8
	// Heads and First are the columns that are taken in, and the first rows by them.
	Heads []string
	First [][]string
}

// firstRows is how many rows show how a list was read.
const firstRows = 5

// BadRows is how many rows have a problem.
func (r Report) BadRows() int {
	rows := map[int]bool{}
	for _, p := range r.Problems {
		rows[p.Row] = true
	}
	return len(rows)
}

// Err is the problems as an error, nil for none.
func (r Report) Err() error {
	invalid := &models.InvalidError{}
	for _, p := range r.Problems {
		invalid.Problems = append(invalid.Problems, models.Problem{Field: p.Place(), Code: p.Code, Values: p.Values})
	}
	return invalid.OrNil()
}

// Place says where it is: "row 7, quantity".
func (p Problem) Place() string {
	switch {
	case p.Row == 0:
		return p.Column
	case p.Column == "":
		return fmt.Sprintf("row %d", p.Row)
	}
	return fmt.Sprintf("row %d, %s", p.Row, p.Column)
}

// harmless are the values of problems that may be told of a personal list: they
// say nothing that stands in it.
var harmless = []string{"row", "got", "most", "least", "names", "name"}

// wrong notes a problem; values are name, value pairs.
func (l *list) wrong(r row, column, code string, values ...string) {
	l.note(Problem{Row: r.number, Column: column, Code: code, Values: models.NewRemark(code, values...).Values})
}

func (l *list) note(p Problem) {
	if l.kind.Personal {
		for name := range p.Values {
			if !slices.Contains(harmless, name) {
				delete(p.Values, name)
			}
		}
	}
	l.Problems = append(l.Problems, p)
	l.bad[p.Row] = true
}

// told notes what the record's own check found in a row.
func (l *list) told(r row, invalid *models.InvalidError) {
	for _, p := range invalid.Problems {
		if p.Code == "not_printed" && l.bad[r.number] {
			continue // It is said already.
		}
		l.note(Problem{Row: r.number, Column: l.kind.called(p.Field), Code: p.Code, Values: p.Values})
	}
}

// sort puts the problems in the order of the list: row by row, and in each from
// the first column to the last.
func (l *list) sort() {
	at := map[string]int{}
	for i, name := range l.kind.Headings() {
		at[name] = i + 1
	}
	slices.SortStableFunc(l.Problems, func(a, b Problem) int {
		return cmp.Or(cmp.Compare(a.Row, b.Row), cmp.Compare(at[a.Column], at[b.Column]))
	})
}

// differs notes that a row is on record with something else in these columns.
func (l *list) differs(r row, column string, names []string) {
	l.wrong(r, column, "list_differs", "names", strings.Join(names, ", "), "value", models.Shortened(r.at(column)))
}

// said is what a row and the record say of a column.
type said struct{ column, row, record string }

func differing(r row, list []said) []string {
	var names []string
	for _, x := range list {
		if r.at(x.column) != "" && x.row != x.record {
			names = append(names, x.column)
		}
	}
	return names
}

// without leaves the problems of a field out.
func without(invalid *models.InvalidError, field string) *models.InvalidError {
	out := &models.InvalidError{}
	for _, p := range invalid.Problems {
		if p.Field != field {
			out.Problems = append(out.Problems, p)
		}
	}
	return out
}
