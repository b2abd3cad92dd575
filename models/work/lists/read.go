package lists

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"
	"unicode/utf8"

	"tracewright/models"
	"tracewright/models/sheet"
)

// Bounds of a list.
const (
	MostBytes = 10 << 20
	MostRows  = 20_000 // below the heading
)

// list is one as it is looked at.
type list struct {
	*Report
	kind  Kind
	actor models.Actor
	stamp models.Stamp
	zone  *time.Location
	there map[string]bool // columns that the heading has
	rows  []row
	bad   map[int]bool // rows with a problem
}

// row is one row by the names of its columns.
type row struct {
	number int
	cells  map[string]string
}

func (r row) at(column string) string { return r.cells[column] }

// digest is what tells a list that was looked at from another.
func digest(kind, text string) string {
	sum := sha256.Sum256([]byte(kind + "\n" + strings.TrimRight(text, "\n ")))
	return hex.EncodeToString(sum[:])
}

// read takes a list apart. What is wrong with it as a whole is a problem of row 0.
func (s *Service) read(ctx context.Context, actor models.Actor, kind Kind, raw []byte) (*list, error) {
	l := &list{Report: &Report{Kind: kind.Name}, kind: kind, actor: actor, stamp: models.NewStamp(actor, s.now()), zone: s.zone(ctx), there: map[string]bool{}, bad: map[int]bool{}}
	if len(raw) > MostBytes {
		l.wrong(row{}, "", "too_large", "most", "10 MB")
		return l, nil
	}
	read, err := sheet.Read(raw, MostRows+1)
	l.Text, l.Digest = read.Text, digest(kind.Name, read.Text)
	switch {
	case errors.Is(err, sheet.ErrNoText):
		l.Text = ""
		l.wrong(row{}, "", "list_no_text")
		return l, nil
	case errors.Is(err, sheet.ErrTooManyRows):
		l.wrong(row{}, "", "list_too_long", "most", fmt.Sprint(MostRows))
		return l, nil
	case err != nil:
		return nil, fmt.Errorf("read a list of %s: %w", kind.Name, err)
	case len(read.Rows) == 0:
		l.wrong(row{}, "", "list_empty")
		return l, nil
	}
	if read.Windows1252 {
		l.Notes = append(l.Notes, models.NewRemark("list_windows_1252"))
	}
	if columns := l.head(read.Rows[0]); len(l.there) > 0 {
		for _, r := range read.Rows[1:] {
			l.row(r, columns)
		}
		if l.Rows == 0 && len(l.Problems) == 0 {
			l.wrong(row{}, "", "list_empty")
		}
	}
	return l, nil
}

// head finds the column that each cell of the heading means, nil for one that is
// left out.
func (l *list) head(first sheet.Row) []*Column {
	at := row{number: first.Number}
	if first.Fault != "" {
		l.wrong(at, "", string(first.Fault))
		return nil
	}
	columns, unknown := make([]*Column, len(first.Cells)), []int{}
	for i, heading := range first.Cells {
		switch c := l.kind.column(heading); {
		case c == nil && heading != "":
			unknown = append(unknown, i)
		case c == nil:
		case l.there[c.Name]:
			l.wrong(at, c.Name, "list_heading_twice")
		default:
			l.there[c.Name], columns[i] = true, c
		}
	}
	if len(l.there) == 0 { // A personal list without a heading must not be told from its first row.
		l.wrong(at, "", "list_no_heading", "names", strings.Join(l.headings(), ", "))
		return nil
	}
	for _, i := range unknown {
		heading := models.Shortened(first.Cells[i])
		if l.kind.Personal {
			heading = fmt.Sprintf("column %d", i+1)
		}
		missing := slices.DeleteFunc(l.kind.Headings(), func(name string) bool { return l.there[name] })
		if near, ok := sheet.Nearest(first.Cells[i], missing); ok {
			l.wrong(at, heading, "list_heading_near", "name", near)
			columns[i], l.there[near] = l.kind.column(near), true // So that what stands below it is looked at too.
			continue
		}
		l.Notes = append(l.Notes, models.NewRemark("list_column_left_out", "name", heading))
	}
	for _, c := range l.kind.Columns {
		switch {
		case l.there[c.Name] && !c.Follows:
			l.Heads = append(l.Heads, c.Name)
		case c.Needed && !l.there[c.Name]:
			l.wrong(at, c.Name, "list_column_missing")
		}
	}
	return columns
}

// headings are those that a list may have to be taken in.
func (l *list) headings() []string {
	var names []string
	for _, c := range l.kind.Columns {
		if !c.Follows {
			names = append(names, c.Name)
		}
	}
	return names
}

// row takes one row apart. What is left out of the heading is left out here, but a
// cell beyond it is a problem: it belongs somewhere.
func (l *list) row(from sheet.Row, columns []*Column) {
	l.Rows++
	r := row{number: from.Number, cells: map[string]string{}}
	if from.Fault != "" {
		l.wrong(r, "", string(from.Fault))
		return
	}
	if len(from.Cells) > len(columns) {
		l.wrong(r, "", "list_too_many_cells", "got", fmt.Sprint(len(from.Cells)), "most", fmt.Sprint(len(columns)))
	}
	for i, cell := range from.Cells {
		if i >= len(columns) || columns[i] == nil || cell == "" {
			continue
		}
		c := columns[i]
		if !c.Lines {
			cell = strings.Join(strings.FieldsFunc(cell, func(r rune) bool { return r == '\n' }), " ")
		}
		if strings.ContainsRune(cell, utf8.RuneError) || models.Unprinted(cell, true) {
			l.wrong(r, c.Name, "list_bad_characters")
		}
		r.cells[c.Name] = cell
	}
	for _, c := range l.kind.Columns {
		switch {
		case !c.Needed || r.at(c.Name) != "":
		case l.there[c.Name]:
			l.wrong(r, c.Name, "missing")
		default:
			l.bad[r.number] = true // It is said once, at the heading.
		}
	}
	l.rows = append(l.rows, r)
	if len(l.First) < firstRows {
		shown := make([]string, len(l.Heads))
		for i, name := range l.Heads {
			shown[i] = r.at(name)
		}
		l.First = append(l.First, shown)
	}
}

// whole reads a count, 0 for an empty cell.
func (l *list) whole(r row, column string) int {
	text := r.at(column)
	if text == "" {
		return 0
	}
	n, err := sheet.Whole(text)
	switch {
	case errors.Is(err, sheet.ErrTwoMeanings):
		l.wrong(r, column, "list_number_two_meanings", "typed", models.Shortened(text))
	case err != nil:
		l.wrong(r, column, "list_not_whole", "typed", models.Shortened(text))
	case n < 0:
		l.wrong(r, column, "negative_not_possible")
		return 0
	}
	return n
}

// day reads a day of the shop's calendar that is not ahead of it, "" for an empty
// cell.
func (l *list) day(r row, column string) string {
	text := r.at(column)
	if text == "" {
		return ""
	}
	day, err := sheet.Day(text)
	switch {
	case errors.Is(err, sheet.ErrTwoMeanings):
		l.wrong(r, column, "list_day_two_meanings", "typed", models.Shortened(text))
	case err != nil:
		l.wrong(r, column, "list_not_a_day", "typed", models.Shortened(text))
	case day > l.stamp.At.In(l.zone).Format(time.DateOnly):
		l.wrong(r, column, "day_ahead")
	case day < strconv.Itoa(models.EarliestYear):
		l.wrong(r, column, "day_too_early", "year", strconv.Itoa(models.EarliestYear))
	default:
		return day
	}
	return ""
}

// noon is the moment that stands for a day of which no more is known: its noon, or
// now where that is still to come. Zero for no day.
func (l *list) noon(day string) time.Time {
	t, err := time.ParseInLocation(time.DateOnly+" 15:04", day+" 12:00", l.zone)
	switch {
	case err != nil:
		return time.Time{}
	case t.After(l.stamp.At):
		return l.stamp.At
	}
	return t
}

// shown is the day of a moment in the shop's zone.
func (l *list) shown(t time.Time) string { return t.In(l.zone).Format(time.DateOnly) }
