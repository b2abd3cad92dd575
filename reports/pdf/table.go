package pdf

import (
	"image/color"
	"math"
	"strings"
)

// Column is one column of a table.
type Column struct {
	Title string
	Width float64 // mm, the gap to the next column included
	Align Align   // Point lets the column's figures share their decimal point
	Inset float64 // mm that figures keep from the right edge, where words share the column with them
}

// Cell is one entry. An entry with Span 2 reaches over the next column, whose
// own cell is then left out of account. Mark, when given, draws a sign of 4 mm
// at x before the text.
type Cell struct {
	Text  string
	Style *Style // nil: the table's own
	Span  int
	Mark  func(x, baseline float64)
}

// Table is a table without vertical lines: a head, and rows with a thin rule
// below each. Text wraps inside its column, so nothing runs into a neighbour.
type Table struct {
	X       float64
	Columns []Column
	Head    Style
	Body    Style
	Pad     float64 // mm above and below the text of a row
	Rule    color.RGBA
	points  []float64 // x of the decimal point of each column with Align Point, 0 where it is not shared
}

// columnGap is left free at the right of each column, in mm.
const columnGap = 2.0

// markWidth is the room of a mark before its text, in mm.
const markWidth = 4.4

// Fit finds where the decimal points of the rows stand. Call it with all rows
// before any is drawn. Figures that would reach out of their column if they shared
// their point stand at its right instead.
func (t *Table) Fit(rows [][]Cell) {
	t.points = make([]float64, len(t.Columns))
	x := t.X
	for i, column := range t.Columns {
		if _, ahead, behind := t.figures(i, rows); ahead+behind <= column.Width-columnGap-column.Inset+touch {
			t.points[i] = x + column.Width - columnGap - column.Inset - behind
		}
		x += column.Width
	}
}

// touch is what sums of widths may be off by, in mm.
const touch = 0.001

// Needs is the width of a column, in mm, in which each of its figures fits, or all fit
// with their points shared.
func (t *Table) Needs(i int, rows [][]Cell, shared bool) float64 {
	longest, ahead, behind := t.figures(i, rows)
	if shared {
		longest = ahead + behind
	}
	return longest + columnGap
}

// figures is how long the longest figure of a column is, and how far they reach ahead of
// their point and behind it.
func (t *Table) figures(i int, rows [][]Cell) (longest, ahead, behind float64) {
	for _, row := range rows {
		if i < len(row) && row[i].Span < 2 && isFigure(row[i].Text) {
			s := t.style(row[i])
			all, before := s.Width(row[i].Text), s.Width(whole(row[i].Text))
			longest, ahead, behind = math.Max(longest, all), math.Max(ahead, before), math.Max(behind, all-before)
		}
	}
	return longest, ahead, behind
}

// isFigure says whether a text is a number that can stand on a decimal point.
func isFigure(text string) bool {
	return text != "" && strings.Trim(text, "+-\u22120123456789.,") == ""
}

func (t *Table) style(c Cell) Style {
	if c.Style != nil {
		return *c.Style
	}
	return t.Body
}

// Width is the width of all columns.
func (t *Table) Width() float64 {
	w := 0.0
	for _, c := range t.Columns {
		w += c.Width
	}
	return w
}

// room is the width that a cell's text may take.
func (t *Table) room(i int, c Cell) float64 {
	w := t.Columns[i].Width
	for j := 1; j < c.Span && i+j < len(t.Columns); j++ {
		w += t.Columns[i+j].Width
	}
	if c.Mark != nil {
		w -= markWidth
	}
	if last := i+max(c.Span, 1) >= len(t.Columns); last {
		return w
	}
	return w - columnGap
}

// mostLines is how many lines a cell prints: a row must fit a page. Of longer
// text the rest is cut, with a sign that it is.
const mostLines = 24

// lines breaks a cell's text inside its column.
func (t *Table) lines(i int, c Cell) []string {
	lines := t.style(c).Wrap(c.Text, t.room(i, c))
	if len(lines) > mostLines {
		lines = append(lines[:mostLines-1], "…")
	}
	return lines
}

// RowHeight is the height of a row with its rule.
func (t *Table) RowHeight(row []Cell) float64 {
	h := t.Body.Leading()
	for i := range t.Columns {
		if i < len(row) && row[i].Text != "" {
			s := t.style(row[i])
			h = math.Max(h, float64(len(t.lines(i, row[i])))*s.Leading())
		}
	}
	return h + 2*t.Pad
}

// DrawRow draws a row with its upper edge at y.
func (t *Table) DrawRow(d *Document, y float64, row []Cell) {
	x := t.X
	baseline := y + t.Pad + t.Body.Size*MMPerPoint*1.02
	skip := 0
	for i, column := range t.Columns {
		if i >= len(row) {
			break
		}
		if skip > 0 {
			skip--
		} else {
			cell := row[i]
			left := x
			if cell.Mark != nil {
				cell.Mark(x, baseline)
				left += markWidth
			}
			t.drawCell(d, i, cell, left, baseline)
			skip = max(cell.Span-1, 0)
		}
		x += column.Width
	}
	if bottom := y + t.RowHeight(row); t.Rule.A != 0 {
		d.Rule(t.X, bottom, t.X+t.Width(), bottom, 0.15, t.Rule)
	}
}

func (t *Table) drawCell(d *Document, i int, c Cell, left, baseline float64) {
	s := t.style(c)
	switch align := t.Columns[i].Align; {
	case c.Text == "":
	case align == Point && c.Span < 2 && isFigure(c.Text) && len(t.points) > i && t.points[i] > 0:
		d.Text(t.points[i], baseline, s, c.Text, Point)
	case align != Left && c.Span < 2 && (t.points == nil || isFigure(c.Text) && s.Width(c.Text) <= t.room(i, c)-t.Columns[i].Inset) && len(t.lines(i, c)) == 1:
		d.Text(left+t.room(i, c)-t.Columns[i].Inset, baseline, s, c.Text, Right)
	default:
		d.Lines(left, baseline, s, t.lines(i, c))
	}
}

// HeadHeight is the height of the head with its rule.
func (t *Table) HeadHeight() float64 { return t.RowHeight(t.head()) }

// head is the row of titles; one reaches over a column behind it that has none.
func (t *Table) head() []Cell {
	cells := make([]Cell, len(t.Columns))
	for i, c := range t.Columns {
		cells[i] = Cell{Text: c.Title, Style: &t.Head}
		if c.Title != "" && i+1 < len(t.Columns) && t.Columns[i+1].Title == "" {
			cells[i].Span = 2
		}
	}
	return cells
}

// DrawHead draws the head with its upper edge at y and a strong rule below.
func (t *Table) DrawHead(d *Document, y float64) {
	plain := *t
	plain.Rule = color.RGBA{}
	plain.points = nil
	plain.DrawRow(d, y, t.head())
	bottom := y + t.HeadHeight()
	d.Rule(t.X, bottom, t.X+t.Width(), bottom, 0.35, Ink)
}
