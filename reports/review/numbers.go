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

// beside is what figures keep from a column of words at their right, in mm.
const beside = 4.0

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
	bars, intervals := p.Shape == models.PlotBars, p.Note() == "intervals"
	t := &pdf.Table{X: left, Head: small.In(pdf.Ink2), Body: small, Pad: 0.5, Rule: pdf.Line, Columns: []pdf.Column{{Title: s.words.Review("column_what"), Width: 48},
		{Title: s.words.Review("column_k"), Width: 12, Align: pdf.Right}, {Title: s.words.Review("column_n"), Width: 12, Align: pdf.Right}, {Title: s.words.Review("column_value") + unit, Width: 20, Align: pdf.Point}}}
	switch {
	case bars:
		t.Columns[0].Width = 84
		t.Columns = append(t.Columns, pdf.Column{Title: s.words.Review("column_from"), Width: 20, Align: pdf.Point}, pdf.Column{Title: s.words.Review("column_to"), Width: 20, Align: pdf.Point}, pdf.Column{Title: words.NoBreakSpace, Width: width - 168})
	case intervals:
		t.Columns = append(t.Columns, pdf.Column{Title: s.words.Review("column_from"), Width: 20, Align: pdf.Point}, pdf.Column{Title: s.words.Review("column_to"), Width: 20, Align: pdf.Point},
			pdf.Column{Title: s.words.Review("column_centre"), Width: 26, Align: pdf.Point, Inset: beside}, pdf.Column{Title: s.words.Review("column_signal"), Width: width - 158})
	default:
		// A column of words stands beside figures: these keep some room from it.
		t.Columns = append(t.Columns, pdf.Column{Title: s.words.Review("column_centre"), Width: 20, Align: pdf.Point}, pdf.Column{Title: s.words.Review("column_low"), Width: 21, Align: pdf.Point},
			pdf.Column{Title: s.words.Review("column_high"), Width: 25, Align: pdf.Point, Inset: beside}, pdf.Column{Title: s.words.Review("column_signal"), Width: width - 158})
	}
	figure := func(v *float64, decimals int) pdf.Cell {
		if v == nil {
			return pdf.Cell{}
		}
		return pdf.Cell{Text: words.Number(strconv.FormatFloat(*v, 'f', decimals, 64))}
	}
	count := func(n int) pdf.Cell {
		if n == 0 && bars {
			return pdf.Cell{}
		}
		return pdf.Cell{Text: strconv.Itoa(n)}
	}
	rows := make([][]pdf.Cell, len(p.Points))
	for i, pt := range p.Points {
		row := []pdf.Cell{{Text: words.Sentence(s.words.Remark(pt.Label))}, count(pt.K), count(pt.N), figure(pt.Value, p.Decimals)}
		if bars {
			decimals := max(p.Decimals, 1) // An interval of counts has halves.
			rows[i] = append(row, figure(pt.Low, decimals), figure(pt.High, decimals), pdf.Cell{})
			continue
		}
		signal := pdf.Cell{}
		if pt.Signal {
			signal.Text = s.words.Review("signal")
		}
		if intervals {
			rows[i] = append(row, figure(pt.Low, p.Decimals), figure(pt.High, p.Decimals), figure(pt.Centre, p.Decimals), signal)
			continue
		}
		rows[i] = append(row, figure(pt.Centre, p.Decimals), figure(pt.Lower, p.Decimals), figure(pt.Upper, p.Decimals), signal)
	}
	return t, rows
}
