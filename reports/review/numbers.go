package review

import (
	"strconv"

	"tracewright/models"
	"tracewright/models/words"
	"tracewright/reports/pdf"
)

// mostRows is how many points a plot may have to stand as a table: the many of a
// control chart are on its page.
const mostRows = 16

// numbers are the tables behind the pictures, as far as they fit on the last page that
// a review may have.
func (s *sheet) numbers() {
	first := true
	for _, section := range s.content.Sections {
		for _, p := range section.Plots {
			if len(p.Points) == 0 || len(p.Points) > mostRows {
				continue
			}
			t, rows := s.table(p)
			high := s.bold().Leading() + t.HeadHeight() + 3
			for _, row := range rows {
				high += t.RowHeight(row)
			}
			if first {
				high += s.heading().Leading() + 4
			}
			if s.y+high > bottom {
				if s.doc.Page() == mostPages {
					return
				}
				s.page()
			}
			if first {
				first = false
				s.doc.Rule(left, s.y, right, s.y, 0.35, pdf.Ink)
				s.y += 2
				s.lines(left, s.heading(), s.words.Review("behind"), width)
				s.y += 1
			}
			s.lines(left, s.bold(), words.Sentence(s.words.Remark(p.Title)), width)
			t.Fit(rows)
			t.DrawHead(s.doc, s.y)
			s.y += t.HeadHeight()
			for _, row := range rows {
				t.DrawRow(s.doc, s.y, row)
				s.y += t.RowHeight(row)
			}
			s.y += 3
		}
	}
}

// table is a plot as a table: its points, and of each what the picture shows.
func (s *sheet) table(p models.Plot) (*pdf.Table, [][]pdf.Cell) {
	small := pdf.Style{Font: pdf.Sans(), Size: 8, Color: pdf.Ink}
	unit := ""
	if p.Unit != "" {
		unit = ", " + s.words.Unit(p.Unit)
	}
	t := &pdf.Table{X: left, Head: small.In(pdf.Ink2), Body: small, Pad: 0.5, Rule: pdf.Line, Columns: []pdf.Column{{Title: s.words.Review("column_what"), Width: 62},
		{Title: s.words.Review("column_k"), Width: 14, Align: pdf.Right}, {Title: s.words.Review("column_n"), Width: 14, Align: pdf.Right},
		{Title: s.words.Review("column_value") + unit, Width: 22, Align: pdf.Point}, {Title: s.words.Review("column_low"), Width: 22, Align: pdf.Point}, {Title: s.words.Review("column_high"), Width: 22, Align: pdf.Point}, {Title: s.words.Review("column_signal"), Width: width - 156}}}
	if p.Shape == models.PlotBars {
		t.Columns[4].Title, t.Columns[5].Title, t.Columns[6].Title = s.words.Review("column_from"), s.words.Review("column_to"), words.NoBreakSpace
	}
	figure := func(v *float64, decimals int) pdf.Cell {
		if v == nil {
			return pdf.Cell{}
		}
		return pdf.Cell{Text: words.Number(strconv.FormatFloat(*v, 'f', decimals, 64))}
	}
	count := func(n int) pdf.Cell {
		if n == 0 && p.Shape == models.PlotBars {
			return pdf.Cell{}
		}
		return pdf.Cell{Text: strconv.Itoa(n)}
	}
	rows := make([][]pdf.Cell, len(p.Points))
	for i, pt := range p.Points {
		low, high, decimals := pt.Lower, pt.Upper, p.Decimals
		if p.Shape == models.PlotBars {
			low, high, decimals = pt.Low, pt.High, max(decimals, 1) // An interval of counts has halves.
		}
		signal := pdf.Cell{}
		if pt.Signal {
			signal.Text = s.words.Review("signal")
		}
		rows[i] = []pdf.Cell{{Text: words.Sentence(s.words.Remark(pt.Label))}, count(pt.K), count(pt.N), figure(pt.Value, p.Decimals), figure(low, decimals), figure(high, decimals), signal}
	}
	return t, rows
}
