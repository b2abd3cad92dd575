package certificate

import (
	"fmt"
	"slices"
	"strings"

	"tracewright/models"
	"tracewright/models/numbers/measure"
	"tracewright/models/words"
	"tracewright/reports/figure"
	"tracewright/reports/pdf"
)

// Characteristics of a wheel that are drawn.
const (
	lateralRunOut = "lateral_runout"
	radialRunOut  = "radial_runout"
	tensionA      = "tension_a"
	tensionB      = "tension_b"
)

// wheelReadings draws the rim unrolled, then prints run-out and dish as typed.
func (s *sheet) wheelReadings() error {
	w := figure.Wheel{Holes: s.content.Item.Wheel.Holes, Spoke: s.figure("spoke")}
	var done, legend []string
	var tables []models.CertificateReadings
	// Where a characteristic was read by two methods every hole is drawn, and the
	// other is printed below.
	byMethod := slices.SortedStableFunc(slices.Values(s.content.Readings), func(a, b models.CertificateReadings) int {
		return rank(b.Method == models.EveryHole) - rank(a.Method == models.EveryHole)
	})
	for _, r := range byMethod {
		var drawn bool
		var err error
		switch r.Code {
		case lateralRunOut:
			w.Lateral, drawn, err = s.runOut(r, "lateral", w.Lateral)
		case radialRunOut:
			w.Radial, drawn, err = s.runOut(r, "radial", w.Radial)
		case tensionA, tensionB:
			drawn, err = s.tension(r, &w)
		}
		if err != nil {
			return err
		}
		if drawn {
			done = append(done, r.Code+"/"+r.Method)
			if r.Method == models.EveryHole && (r.Code == lateralRunOut || r.Code == radialRunOut) {
				tables = append(tables, r)
			}
		}
	}
	if w.Lateral != nil || w.Radial != nil || w.Tension != nil {
		legend = s.wheelLegend(w)
		f := s.figureBlock(2.4, w)
		lines := smallInk.Wrap(strings.Join(legend, " "), width)
		s.flow(nil, s.sectionHead(0, s.figure("wheel.title"), s.figure("wheel.note")), f,
			block{gap: 1.2, height: float64(len(lines)) * small.Leading(), draw: func(y float64) { s.doc.Lines(left, y+small.Rise(), small, lines) }})
	} else {
		s.flow(nil, s.sectionHead(0, s.say("readings"), ""))
	}
	return s.plainReadings(done, s.valueTable(tables)...)
}

// rank is 1 for what is so, to sort by.
func rank(claim bool) int {
	if claim {
		return 1
	}
	return 0
}

func (s *sheet) wheelLegend(w figure.Wheel) []string {
	var legend []string
	if w.Tension != nil {
		legend = append(legend, s.figure("sides_legend"))
		shareA, shown := s.pct("side_tension_dev_pct_a")
		shareB, shownB := s.pct("side_tension_dev_pct_b")
		switch {
		case shown != "" && shareA == shareB:
			legend = append(legend, s.figure("sides_limit", "limit", shown))
		case shown != "" && shownB != "":
			legend = append(legend, s.figure("sides_limits", "a", shown, "b", shownB))
		}
	}
	extremes, sample := false, false
	for _, r := range s.content.Readings {
		extremes = extremes || r.Method == models.Extremes
		sample = sample || r.Method == models.Sample
	}
	if w.Lateral != nil && w.Lateral.Limit > 0 || w.Radial != nil && w.Radial.Limit > 0 {
		legend = append(legend, s.figure("runout_legend"))
	}
	if extremes && (w.Lateral != nil || w.Radial != nil) {
		legend = append(legend, s.figure("extremes_legend"))
	}
	if sample && w.Tension != nil {
		legend = append(legend, s.figure("sample_legend"))
	}
	return legend
}

// runOut prepares one strip, unless there is one already. A reread of the first
// station is not drawn.
func (s *sheet) runOut(r models.CertificateReadings, prefix string, have *figure.RunOut) (*figure.RunOut, bool, error) {
	list, err := s.parsed(r)
	if err != nil || len(list) == 0 || have != nil {
		return have, false, err
	}
	if holes := s.content.Item.Wheel.Holes; r.Method == models.EveryHole && len(list) == holes+1 {
		list = list[:holes]
	}
	strip := &figure.RunOut{}
	for _, p := range list {
		if p.at.IsBlock() || p.at.Place < 0 || p.at.Place >= s.content.Item.Wheel.Holes {
			return have, false, fmt.Errorf("reading of %s: %w: no spoke %d", r.Code, ErrContent, p.at.Place+1)
		}
		reading := figure.Reading{Place: p.at.Place, Value: p.value, Text: s.words.Signed(p.digits)}
		if r.Method != models.EveryHole {
			reading.At = s.figure("spoke_n", "n", itoa(p.at.Place+1))
		}
		strip.Readings = append(strip.Readings, reading)
	}
	unit := s.words.Unit(r.Unit)
	strip.Line = mean(list)
	about := s.figure("line_mean", "unit", unit)
	if r.Method != models.EveryHole {
		// Of two points there is no mean of the turn: the stems meet half way.
		about = s.figure("line_half_way", "unit", unit)
	}
	strip.Heading = figure.Heading{Name: inkBold.Wrap(s.figure(prefix), headingWidth)}
	if tir, ok := s.result(prefix + "_tir"); ok {
		strip.Limit = s.limitIn(tir, r.Unit)
		line := s.words.Quantity(tir.Shown, tir.Unit)
		if tir.High != "" {
			line = s.figure("of_limit", "value", s.words.Number(tir.Shown), "limit", s.words.Quantity(tir.High, tir.Unit))
		}
		strip.Heading.Lines = append(strip.Heading.Lines, small.Wrap(line, headingWidth)...)
	}
	strip.Heading.Lines = append(strip.Heading.Lines, small.Wrap(about, headingWidth)...)
	return strip, true, nil
}

// tension adds one side's bars, unless they are there already.
func (s *sheet) tension(r models.CertificateReadings, w *figure.Wheel) (bool, error) {
	list, err := s.parsed(r)
	if err != nil || len(list) == 0 || r.Unit == string(measure.Division) { // Divisions beyond the gauge's table are no tension.
		return false, err
	}
	name, first := "a", 0
	if r.Code == tensionB {
		name, first = "b", 1
	}
	side := figure.Side{Mean: mean(list)}
	for _, p := range list {
		if p.at.IsBlock() || p.at.Place < 0 || p.at.Place >= w.Holes || p.at.Place%2 != first {
			return false, fmt.Errorf("reading of %s: %w: no spoke %d on this side", r.Code, ErrContent, p.at.Place+1)
		}
		reading := figure.Reading{Place: p.at.Place, Value: p.value, Text: p.text}
		if r.Method == models.Sample {
			reading.At = s.figure("spoke_n", "n", itoa(p.at.Place+1))
		}
		side.Readings = append(side.Readings, reading)
	}
	side.Allowed, _ = s.pct("side_tension_dev_pct_" + name)
	lines := []string{s.figure("side_"+name, "unit", s.words.Unit(r.Unit))}
	if text := s.meanOf(name, r); text != "" {
		lines = append(lines, text)
	}
	side.Heading = figure.Heading{Lines: lines}
	if w.Tension == nil {
		w.Tension = &figure.Tension{}
		side.Heading.Name = []string{s.figure("tension")}
	}
	into := &w.Tension.A
	if name == "b" {
		into = &w.Tension.B
	}
	if len(into.Readings) > 0 {
		return false, nil
	}
	*into = side
	return true, nil
}

// meanOf is the mean of a side as the results have it; the drawing computes
// none of its own to print.
func (s *sheet) meanOf(side string, r models.CertificateReadings) string {
	for _, code := range []string{"tension_mean_tight", "tension_mean_loose"} {
		m, ok := s.result(code)
		if !ok || m.Detail["side"] != side {
			continue
		}
		value := s.words.Number(m.Shown)
		if m.Unit != r.Unit {
			value = s.words.Quantity(m.Shown, m.Unit)
		}
		if r.Method == models.Sample {
			return s.figure("mean_of", "value", value, "n", itoa(len(r.Values)))
		}
		return s.figure("mean", "value", value)
	}
	return ""
}

// valueTable prints run-out of every hole as typed, spokes side by side.
// It gives what is said of rereads.
func (s *sheet) valueTable(sets []models.CertificateReadings) (rereads []string) {
	if len(sets) == 0 {
		return nil
	}
	const name = 19.0
	holes := s.content.Item.Wheel.Holes
	widest := smallInk.Width("00")
	for _, r := range sets {
		for _, typed := range r.Values {
			widest = max(widest, smallInk.Width(s.typed(typed)))
		}
	}
	perRow := max(1, int((width-name)/(widest+0.7)))
	rows := (holes + perRow - 1) / perRow
	perRow = (holes + rows - 1) / rows
	perRow += perRow % 2
	pitch := (width - name) / float64(perRow)
	blocks := []block{}
	for start := 0; start < holes; start += perRow {
		end := min(start+perRow, holes)
		blocks = append(blocks, block{gap: 1.4, height: float64(len(sets)+1) * small.Leading(), draw: func(y float64) {
			s.valueRows(y, start, end, sets, name, pitch)
		}})
	}
	blocks[0].gap = 2.4
	s.flow(nil, blocks...)
	for _, r := range sets {
		if len(r.Values) == holes+1 {
			rereads = append(rereads, s.say("reread", "name", words.Sentence(s.words.Characteristic(r.Code)), "value", s.typed(r.Values[holes])))
		}
	}
	return rereads
}

func (s *sheet) valueRows(y float64, start, end int, sets []models.CertificateReadings, name, pitch float64) {
	baseline := y + small.Rise()
	s.doc.Text(left, baseline, small, s.figure("spoke"), pdf.Left)
	for place := start; place < end; place++ {
		s.doc.Text(left+name+(float64(place-start)+0.95)*pitch, baseline, small, itoa(place+1), pdf.Right)
	}
	for _, r := range sets {
		baseline += small.Leading()
		s.doc.Text(left, baseline, smallInk, s.short(r.Code, s.words.Characteristic(r.Code), r.Unit), pdf.Left)
		for i, typed := range r.Values {
			place := r.Index[min(i, len(r.Index)-1)].Place
			if place >= start && place < end && i < s.content.Item.Wheel.Holes {
				s.doc.Text(left+name+(float64(place-start)+0.95)*pitch, baseline, smallInk, s.typed(typed), pdf.Right)
			}
		}
	}
}

// typed is a reading as typed, in the form people read.
func (s *sheet) typed(typed string) string {
	d, unit, err := measure.ParseReadingUnit(typed)
	if err != nil {
		return typed
	}
	if unit != "" {
		return s.words.Quantity(d.String(), string(unit))
	}
	return s.words.Number(d.String())
}
