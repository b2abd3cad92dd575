package certificate

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"tracewright/models"
	"tracewright/models/numbers/measure"
	"tracewright/models/words"
	"tracewright/reports/figure"
	"tracewright/reports/pdf"
)

// Characteristics of a pack that are drawn.
const (
	blockVoltage    = "block_voltage"
	blockResistance = "block_resistance"
)

// packReadings draws each string with its blocks, then lists the blocks.
func (s *sheet) packReadings() error {
	form := s.content.Item.Pack
	voltage, err := s.strip(blockVoltage, "voltage", "ocv_spread")
	if err != nil {
		return err
	}
	resistance, err := s.strip(blockResistance, "resistance", "resistance_spread_pct")
	if err != nil {
		return err
	}
	if voltage == nil && resistance == nil {
		s.flow(nil, s.sectionHead(0, s.say("readings"), ""))
	} else {
		s.flow(nil, s.sectionHead(0, s.figure("pack.title"), s.figure("pack.note")))
		for str := 1; str <= max(1, form.Strings); str++ {
			f := figure.String{Blocks: form.Blocks, Voltage: voltage.of(str), Resistance: resistance.of(str)}
			if form.Strings > 1 {
				f.Name = s.figure("string_n", "n", itoa(str))
			}
			b := s.figureBlock(3, f)
			b.keep = false
			s.flow(nil, b)
		}
		legend := []string{s.figure("pack_legend")}
		if voltage != nil && voltage.scale.Limit > 0 || resistance != nil && resistance.scale.Limit > 0 {
			legend = append(legend, s.figure("pack_limit"))
			if form.Strings > 1 {
				legend = append(legend, s.figure("pack_limit_string"))
			}
		}
		s.flow(nil, s.text(small, 1.6, left, width, strings.Join(legend, " "))...)
	}
	done := s.blockTable()
	return s.plainReadings(done)
}

// packStrip is one quantity of all blocks, with the scale that all strings
// share.
type packStrip struct {
	scale  figure.Strip
	blocks map[models.Position]figure.Reading
}

// of picks the readings of one string; of nothing it is nothing.
func (p *packStrip) of(str int) *figure.Strip {
	if p == nil {
		return nil
	}
	strip := p.scale
	for place := 1; ; place++ {
		r, ok := p.blocks[models.Block(str, place)]
		if !ok {
			break
		}
		strip.Readings = append(strip.Readings, r)
	}
	return &strip
}

// strip prepares one quantity against the pack's own middle, its median over
// all blocks. The limit is of the range inside one string: a difference, or a
// share of the middle.
func (s *sheet) strip(code, name, limitedBy string) (*packStrip, error) {
	form := s.content.Item.Pack
	for _, r := range s.content.Readings {
		if r.Code != code || r.Method != models.EveryBlock {
			continue
		}
		list, err := s.parsed(r)
		if err != nil || len(list) == 0 {
			return nil, err
		}
		p := &packStrip{blocks: map[models.Position]figure.Reading{}}
		values := make([]float64, len(list))
		low, high := math.Inf(1), math.Inf(-1)
		for i, reading := range list {
			if reading.at.String < 1 || reading.at.String > max(1, form.Strings) || reading.at.Place < 1 || reading.at.Place > form.Blocks {
				return nil, fmt.Errorf("reading of %s: %w: no block %s", code, ErrContent, reading.at.Key())
			}
			values[i] = reading.value
			low, high = math.Min(low, reading.value), math.Max(high, reading.value)
			p.blocks[reading.at] = figure.Reading{Place: reading.at.Place - 1, Value: reading.value, Text: reading.text}
		}
		p.scale.Middle = median(values)
		p.scale.Reach = math.Max(high-p.scale.Middle, p.scale.Middle-low)
		p.scale.Centre = (low + high) / 2
		lines := small.Wrap(s.figure("about_middle", "unit", s.words.Unit(r.Unit)), headingWidth)
		if r.Manner != "" {
			lines = append(lines, small.Wrap(s.words.Manner(r.Manner), headingWidth)...)
		}
		if limited, ok := s.result(limitedBy); ok {
			p.scale.Limit = s.limitIn(limited, r.Unit)
			if limited.Unit == string(measure.Percent) {
				share, _ := s.pct(limitedBy)
				p.scale.Limit = share * p.scale.Middle
			}
			text := s.words.Quantity(limited.Shown, limited.Unit)
			if limited.High != "" {
				text = s.figure("apart_of_limit", "value", s.words.Number(limited.Shown), "limit", s.words.Quantity(limited.High, limited.Unit))
			}
			lines = append(lines, small.Wrap(text, headingWidth)...)
		}
		p.scale.Heading = figure.Heading{Name: []string{s.figure(name)}, Lines: lines}
		return p, nil
	}
	return nil, nil
}

// blockTable lists each block: place, number, lot, what was read and what
// followed from it. It gives the sets that it tells.
func (s *sheet) blockTable() (done []string) {
	positions := s.blockPositions()
	if len(positions) == 0 {
		return nil
	}
	parts := map[string]models.CertificatePart{}
	for _, p := range s.content.Parts {
		if p.Role == "block" {
			parts[p.Place] = p
		}
	}
	t := pdf.Table{X: left, Head: small, Body: smallInk, Pad: 0.55 * s.gaps, Rule: pdf.Line}
	t.Columns = []pdf.Column{{Title: s.say("column.block"), Width: 14}, {Title: s.say("column.number"), Width: 34}, {Title: s.say("column.lot"), Width: 26}}
	var values []func(models.Position) string
	for _, r := range s.readingsInOrder() {
		if r.Method != models.EveryBlock {
			continue
		}
		at := map[models.Position]string{}
		for i, p := range r.Index {
			if i < len(r.Values) {
				at[p] = s.typed(r.Values[i])
			}
		}
		t.Columns = append(t.Columns, pdf.Column{Title: s.say("column.read", "name", s.short(r.Code, s.words.Characteristic(r.Code), r.Unit)), Align: pdf.Point})
		values = append(values, func(p models.Position) string { return at[p] })
		done = append(done, r.Code+"/"+r.Method)
	}
	for _, code := range s.positioned() {
		at := map[string]models.CertificateResult{}
		unit := ""
		for _, r := range s.content.Results {
			if r.Code == code {
				at[r.Position] = r
				unit = r.Unit
			}
		}
		t.Columns = append(t.Columns, pdf.Column{Title: s.short(code, s.words.Result(code), unit), Align: pdf.Point})
		values = append(values, func(p models.Position) string { return s.words.Number(at[p.Key()].Shown) })
	}
	each := (width - 74) / float64(max(1, len(values)))
	for i := 3; i < len(t.Columns); i++ {
		t.Columns[i].Width = each
	}
	one := s.onlyLot(len(positions))
	rows := make([][]pdf.Cell, len(positions))
	for i, p := range positions {
		part, known := parts[p.Key()]
		if part.Lot == "" {
			part.Lot = one
		}
		number, lot := pdf.Cell{Text: part.Number, Style: &smallMono}, pdf.Cell{Text: part.Lot, Style: &smallMono}
		if part.Number == "" {
			number = pdf.Cell{Text: s.say("not_recorded"), Style: &small}
			if known && part.Lot != "" {
				number.Text = ""
			}
		}
		shown := itoa(p.Place)
		if s.content.Item.Pack.Strings > 1 {
			shown = itoa(p.String) + ", " + itoa(p.Place)
		}
		rows[i] = []pdf.Cell{{Text: shown}, number, lot}
		for _, value := range values {
			rows[i] = append(rows[i], pdf.Cell{Text: value(p)})
		}
	}
	t.Fit(rows)
	s.table(&t, s.blockTitle(), rows)
	return done
}

// readingsInOrder gives the reading sets, voltage before resistance before all
// others.
func (s *sheet) readingsInOrder() []models.CertificateReadings {
	rank := func(r models.CertificateReadings) int {
		if i := slices.Index([]string{blockVoltage, blockResistance}, r.Code); i >= 0 {
			return i
		}
		return 2
	}
	return slices.SortedStableFunc(slices.Values(s.content.Readings), func(a, b models.CertificateReadings) int { return rank(a) - rank(b) })
}

func (s *sheet) blockTitle() block {
	note := ""
	if s.content.Item.Pack.Strings > 1 {
		note = s.say("block_note")
	}
	return block{gap: 3.4, height: heading.Leading(), keep: true, draw: func(y float64) {
		s.doc.Text(left, y+heading.Rise()-0.8, heading, words.Sentence(s.words.Part("blocks")), pdf.Left)
		s.doc.Text(right, y+heading.Rise()-0.8, small, note, pdf.Right)
	}}
}

// blockPositions are the places of the pack as its form has them.
func (s *sheet) blockPositions() []models.Position {
	var list []models.Position
	for str := 1; str <= max(1, s.content.Item.Pack.Strings); str++ {
		for place := 1; place <= s.content.Item.Pack.Blocks; place++ {
			list = append(list, models.Block(str, place))
		}
	}
	return list
}

// positioned are the codes of results that single blocks have.
func (s *sheet) positioned() []string {
	var codes []string
	seen := map[string]bool{}
	for _, r := range s.content.Results {
		if r.Position != "" && !seen[r.Code] {
			seen[r.Code] = true
			codes = append(codes, r.Code)
		}
	}
	return codes
}
