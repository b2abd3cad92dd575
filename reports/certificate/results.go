package certificate

import (
	"strconv"
	"strings"

	"tracewright/models"
	"tracewright/models/numbers/measure"
	"tracewright/models/words"
	"tracewright/reports/pdf"
)

// results prints the table of what is judged, then the checks that were
// ticked, then what was measured without a limit.
func (s *sheet) results() {
	var judged, checks, free []models.CertificateResult
	for _, r := range s.content.Results {
		switch {
		case r.Position != "" && r.Low == "" && r.High == "":
			// The values of single blocks stand with the readings.
		case r.Missing || r.Low != "" || r.High != "":
			judged = append(judged, r)
		case isCheck(r):
			checks = append(checks, r)
		default:
			free = append(free, r)
		}
	}
	s.resultTable(s.gathered(judged))
	s.checks(checks)
	s.legend()
	if len(free) > 0 {
		names := make([]string, len(free))
		for i, r := range free {
			names[i] = s.named(r, false) + " " + s.words.Quantity(r.Shown, r.Unit)
		}
		s.flow(nil, s.text(smallInk, 2, left, width, s.say("also_measured", "results", strings.Join(withoutRepeats(names), "; ")))...)
	}
}

// withoutRepeats leaves out the first words of a name, up to its comma, where
// the name before has the same: "lateral, once a turn" after "lateral, mean"
// is "once a turn".
func withoutRepeats(names []string) []string {
	short := make([]string, len(names))
	before := ""
	for i, name := range names {
		head, rest, found := strings.Cut(name, ", ")
		short[i] = name
		if found && head == before {
			short[i] = rest
		}
		before = head
	}
	return short
}

// isCheck says whether a result is an answer and not a number.
func isCheck(r models.CertificateResult) bool {
	_, err := measure.Parse(r.Value)
	return err != nil
}

// gathered is what stands in one row: a result, or all blocks judged by one
// limit.
type gathered struct {
	models.CertificateResult
	all    int // blocks, 0 for a single result
	passed int
}

// gathered joins the results of single blocks that are judged by the same
// limit into one row, which says how many pass, of how many readings; the worst
// verdict is the row's.
func (s *sheet) gathered(results []models.CertificateResult) []gathered {
	var rows []gathered
	at := map[string]int{}
	for _, r := range results {
		if r.Position == "" {
			rows = append(rows, gathered{CertificateResult: r})
			continue
		}
		i, seen := at[r.Code]
		if !seen {
			i = len(rows)
			at[r.Code] = i
			rows = append(rows, gathered{CertificateResult: r})
		}
		if seen {
			rows[i].Readings += r.Readings
		}
		rows[i].all++
		if models.Accepted(r.Verdict) {
			rows[i].passed++
		}
		if models.Worse(r.Verdict, rows[i].Verdict) {
			rows[i].Verdict = r.Verdict
		}
	}
	return rows
}

func (s *sheet) resultTable(results []gathered) {
	if len(results) == 0 {
		return
	}
	guarded := false
	for _, r := range results {
		guarded = guarded || r.AcceptLow != "" || r.AcceptHigh != ""
	}
	t := pdf.Table{X: left, Head: label, Body: ink, Pad: 0.9 * s.gaps, Rule: pdf.Line}
	column := func(code string, w float64, a pdf.Align) {
		title := ""
		if code != "" {
			title = s.say("column." + code)
		}
		if code != "" && w > 0 {
			if code != "limit" { // whose title reaches over its figures
				w = max(w, label.Width(title)+2.2)
			}
		}
		t.Columns = append(t.Columns, pdf.Column{Title: title, Width: w, Align: a})
	}
	u, method, verdict := s.columnWidths(results)
	column("characteristic", 0, pdf.Left)
	column("result", 17.5, pdf.Point)
	column("unit", 9, pdf.Left)
	column("limit", max(11, label.Width(s.say("at_most"))+2.2, label.Width(s.say("at_least"))+2.2), pdf.Left)
	column("", 12.5, pdf.Point)
	column("u", u, pdf.Point)
	if u > figureColumn {
		t.Columns[len(t.Columns)-1].Inset = u - figureColumn
	}
	if guarded {
		column("accepted", 22, pdf.Point)
	}
	column("method", method, pdf.Left)
	column("verdict", verdict, pdf.Left)
	t.Columns[0].Width = width - t.Width()
	rows := make([][]pdf.Cell, len(results))
	for i, r := range results {
		rows[i] = s.resultRow(r, guarded)
	}
	widen(&t, rows)
	t.Fit(rows)
	title := block{gap: 3.6, height: 5.6, keep: true, draw: func(y float64) {
		s.doc.Text(left, y+heading.Rise(), heading, s.say("results"), pdf.Left)
		s.hint = place{page: s.doc.Page(), y: y + heading.Rise()}
	}}
	s.table(&t, title, rows)
}

// figureColumn is the width of a column of figures only, in mm.
const figureColumn = 12.0

// leastName is the width in mm that the names of the results keep.
const leastName = 30.0

// widen gives the columns of figures what the longest of them needs, and then what all
// need to share their points, as far as the names of the results can do without.
func widen(t *pdf.Table, rows [][]pdf.Cell) {
	name := &t.Columns[0].Width
	for _, shared := range []bool{false, true} {
		for i := range t.Columns {
			c := &t.Columns[i]
			if c.Align != pdf.Point {
				continue
			}
			needs := t.Needs(i, rows, shared)
			c.Inset = max(0, min(c.Inset, c.Width-needs))
			if more := needs - c.Width; more > 0 && *name-more >= leastName {
				c.Width, *name = needs, *name-more
			}
		}
	}
}

// columnWidths gives the columns that hold words the room that theirs need, in
// mm; the name of the characteristic has the rest.
func (s *sheet) columnWidths(results []gathered) (u, method, verdict float64) {
	u, method, verdict = figureColumn, 16, 15
	for _, r := range results {
		if r.Missing {
			continue
		}
		if r.U == "" {
			u = max(u, small.Width(s.say("u_not_taken"))+2.2)
		}
		method = min(28, max(method, small.Width(s.method(r.CertificateResult))+2.4))
		_, _, word := s.resultMark(r.CertificateResult)
		verdict = min(36, max(verdict, inkBold.Width(word)+4.8))
	}
	return u, method, verdict
}

// table flows a table: its title and head stay with the first row, and the
// head comes again on a new page.
func (s *sheet) table(t *pdf.Table, title block, rows [][]pdf.Cell) {
	head := block{height: t.HeadHeight(), keep: true, draw: func(y float64) { t.DrawHead(s.doc, y) }}
	blocks := []block{title, head}
	for _, row := range rows {
		blocks = append(blocks, block{height: t.RowHeight(row), draw: func(y float64) { t.DrawRow(s.doc, y, row) }})
	}
	s.flow(&head, blocks...)
}

func (s *sheet) resultRow(r gathered, guarded bool) []pdf.Cell {
	value := pdf.Cell{Text: s.words.Number(r.Shown), Style: &figureBold}
	name := s.named(r.CertificateResult, true)
	unit := s.words.Unit(r.Unit)
	switch {
	case r.Missing:
		value, unit = pdf.Cell{Text: s.say("not_measured"), Style: &label, Span: 2}, ""
	case r.all > 1:
		value, unit = pdf.Cell{Text: s.words.Of(r.passed, r.all), Style: &figureBold}, ""
		name = s.say("every_block", "name", name)
	}
	mark, c, word := s.resultMark(r.CertificateResult)
	if r.Missing && mark == nil {
		word = ""
	}
	verdict := inkBold.In(c)
	nameStyle := ink
	if c == pdf.Fail {
		nameStyle = inkBold
	}
	row := append([]pdf.Cell{{Text: name, Style: &nameStyle}, value, {Text: unit, Style: &label}}, s.limitCells(r)...)
	switch {
	case r.Missing:
		row = append(row, pdf.Cell{})
	case r.U == "":
		row = append(row, pdf.Cell{Text: s.say("u_not_taken"), Style: &small})
	default:
		row = append(row, pdf.Cell{Text: s.words.Number(r.U)})
	}
	if guarded {
		row = append(row, pdf.Cell{Text: s.accepted(r)})
	}
	method := ""
	if !r.Missing {
		method = s.method(r.CertificateResult)
	}
	return append(row, pdf.Cell{Text: method, Style: &small}, pdf.Cell{Text: word, Style: &verdict, Mark: mark})
}

// limitCells are two: "at most" with a figure, or a range over both.
func (s *sheet) limitCells(r gathered) []pdf.Cell {
	switch {
	case r.Low != "" && r.High != "":
		return []pdf.Cell{{Text: between(r.Low, r.High, s), Span: 2}, {}}
	case r.High != "":
		return []pdf.Cell{{Text: s.say("at_most"), Style: &label}, {Text: s.words.Number(r.High)}}
	case r.Low != "":
		return []pdf.Cell{{Text: s.say("at_least"), Style: &label}, {Text: s.words.Number(r.Low)}}
	}
	return []pdf.Cell{{Text: s.say("no_limit"), Style: &label, Span: 2}, {}}
}

// accepted is where a result must lie under a guarded rule; the words "at
// most" stand with the limit already.
func (s *sheet) accepted(r gathered) string {
	if r.AcceptLow != "" && r.AcceptHigh != "" {
		return between(r.AcceptLow, r.AcceptHigh, s)
	}
	return s.words.Number(r.AcceptLow + r.AcceptHigh)
}

// between is a range, or its one end with the word for it.
func between(low, high string, s *sheet) string {
	switch {
	case low != "" && high != "":
		return s.say("range", "low", s.words.Number(low), "high", s.words.Number(high))
	case high != "":
		return s.say("at_most") + " " + s.words.Number(high)
	case low != "":
		return s.say("at_least") + " " + s.words.Number(low)
	}
	return ""
}

// named is the result's name with what belongs to it: the side that was the
// tighter, the spoke or block it lies at.
func (s *sheet) named(r models.CertificateResult, begins bool) string {
	name := s.words.Result(r.Code)
	if !begins {
		name = s.words.Inside(name)
	}
	if side := r.Detail["side"]; side == "a" || side == "b" {
		// Which side was the tighter one is told by the side's own name.
		if name = s.say("mean_of_side." + side); !begins {
			name = s.words.Inside(name)
		}
	}
	var where []string
	if at := r.Detail["at"]; at != "" && strings.HasSuffix(r.Code, "_lowest") {
		where = append(where, strings.ReplaceAll(s.placeOf(at), " ", words.NoBreakSpace))
	}
	if str := r.Detail["string"]; str != "" && s.content.Item.Pack != nil && s.content.Item.Pack.Strings > 1 {
		where = append(where, s.words.Inside(s.figure("string_n", "n", str)))
	}
	if expected := r.Detail["expected"]; expected != "" {
		where = append(where, s.say("expected", "value", s.words.Number(expected)))
	}
	if len(where) > 0 {
		name += " (" + strings.Join(where, ", ") + ")"
	}
	return name
}

// method says by which method and from how many readings a result comes.
func (s *sheet) method(r models.CertificateResult) string {
	n := r.Readings
	if r.Method == models.EveryHole && s.content.Item.Wheel != nil && n == s.content.Item.Wheel.Holes+1 {
		return s.say("count.every_hole_reread", "n", itoa(n-1))
	}
	if !s.words.Has("certificate.count." + r.Method) {
		return s.words.Method(r.Method) + ", " + strconv.Itoa(n)
	}
	return s.say("count."+r.Method, "n", itoa(n))
}

// checks prints what was ticked: all that pass in one paragraph behind one
// tick, any other on a line of its own, and last what does not apply.
func (s *sheet) checks(results []models.CertificateResult) {
	const indent = 4.4
	line := func(r models.CertificateResult, text string) block {
		mark, c, _ := s.resultMark(r)
		style := ink
		if c == pdf.Fail {
			style = inkBold.In(c)
		}
		lines := style.Wrap(text, width-indent)
		return block{height: float64(len(lines))*style.Leading() + 0.4, draw: func(y float64) {
			if mark != nil {
				mark(left, y+style.Rise())
			}
			s.doc.Lines(left+indent, y+style.Rise(), style, lines)
		}}
	}
	var passed, without []string
	var blocks []block
	for _, r := range results {
		switch name := s.words.Inside(s.words.Result(r.Code)); {
		case r.Value == "not_applicable" || r.Value == "na":
			without = append(without, name)
		case r.Verdict == models.VerdictPass && r.Value == "yes":
			passed = append(passed, name)
		default:
			blocks = append(blocks, line(r, s.checkText(r)))
		}
	}
	if len(without) > 0 {
		blocks = append(blocks, line(models.CertificateResult{Verdict: models.VerdictNone}, s.say("not_applicable", "names", strings.Join(without, "; "))))
	}
	if len(passed) > 0 {
		blocks = append([]block{line(models.CertificateResult{Verdict: models.VerdictPass}, s.say("checked", "n", itoa(len(passed)), "names", strings.Join(passed, "; ")))}, blocks...)
	}
	if len(blocks) > 0 {
		blocks[0].gap = 2.2
		s.flow(nil, blocks...)
	}
}

// checkText is the check, its answer where it is not a plain yes, and the word
// of its verdict.
func (s *sheet) checkText(r models.CertificateResult) string {
	text := s.words.Result(r.Code)
	if r.Value != "yes" {
		text += ": " + s.words.Choice(r.Value)
	}
	if r.Verdict != "" && r.Verdict != models.VerdictNone {
		_, _, word := s.resultMark(r)
		text += ", " + word
	}
	return text
}
