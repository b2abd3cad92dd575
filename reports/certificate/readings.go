package certificate

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"gonum.org/v1/plot/font"
	"gonum.org/v1/plot/vg"

	"tracewright/models"
	"tracewright/models/numbers/measure"
	"tracewright/models/words"
	"tracewright/reports/figure"
	"tracewright/reports/pdf"
)

// look is the face of drawings on this paper.
var look = figure.Look{
	Face: func(bold bool, size float64) font.Face {
		if bold {
			return pdf.SemiBold().Face(size)
		}
		return pdf.Sans().Face(size)
	},
	Width: pdf.TextWidth,
	Ink:   pdf.Ink, Ink2: pdf.Ink2, Line: pdf.Line, Band: pdf.Band, SideA: pdf.SideA, SideB: pdf.SideB,
}

const pointsPerMM = 72 / 25.4

// headingWidth is the column of a figure's headings, in mm.
const headingWidth = 27.0

// readings draws what was read, and prints as typed what the drawing does not
// say.
func (s *sheet) readings() error {
	switch {
	case s.content.Item.Wheel != nil:
		return s.wheelReadings()
	case s.content.Item.Pack != nil:
		return s.packReadings()
	}
	return s.plainReadings(nil)
}

// drawing is what both figures can do.
type drawing interface {
	Height(width vg.Length, l figure.Look) vg.Length
	Draw(c vg.Canvas, width vg.Length, l figure.Look)
}

// figureBlock is a figure over the whole width of the page.
func (s *sheet) figureBlock(gap float64, f drawing) block {
	w := vg.Length(width * pointsPerMM)
	height := float64(f.Height(w, look)) / pointsPerMM
	return block{gap: gap, height: height, keep: true, draw: func(y float64) {
		s.doc.Canvas(left, y, width, height, func(c *pdf.Canvas) { f.Draw(c, w, look) })
	}}
}

// placed is one reading with its number, as far as it can be drawn.
type placed struct {
	at     models.Position
	value  float64
	digits string // as an exact decimal
	text   string // as people read it
}

// parsed reads the values of a set. Without places nothing is placed.
func (s *sheet) parsed(r models.CertificateReadings) ([]placed, error) {
	list := make([]placed, 0, len(r.Values))
	for i, typed := range r.Values {
		d, _, err := measure.ParseReadingUnit(typed)
		if err != nil {
			return nil, fmt.Errorf("reading %d of %s: %w", i+1, r.Code, err)
		}
		p := placed{value: d.Float(), digits: d.String(), text: s.words.Number(d.String())}
		if i < len(r.Index) {
			p.at = r.Index[i]
			list = append(list, p)
		}
	}
	return list, nil
}

// result finds a result by its code.
func (s *sheet) result(code string) (models.CertificateResult, bool) {
	for _, r := range s.content.Results {
		if r.Code == code && !r.Missing {
			return r, true
		}
	}
	return models.CertificateResult{}, false
}

// limitIn is the upper limit of a result in the unit a set was read in; 0 for
// none, or where the units cannot be brought together.
func (s *sheet) limitIn(r models.CertificateResult, unit string) float64 {
	high, err := measure.Parse(r.High)
	if err != nil {
		return 0
	}
	if unit != "" && r.Unit != "" && unit != r.Unit {
		if high, err = measure.Convert(high, measure.Unit(r.Unit), measure.Unit(unit)); err != nil {
			return 0
		}
	}
	return high.Float()
}

// pct is the upper limit of a result in per cent, as a share.
func (s *sheet) pct(code string) (share float64, shown string) {
	r, _ := s.result(code)
	high, err := measure.Parse(r.High)
	if err != nil || r.Unit != string(measure.Percent) {
		return 0, ""
	}
	return high.Float() / 100, s.words.Quantity(r.High, r.Unit)
}

// short is the head of a column of values: a short form where the catalogue
// has one, else the whole name with its unit.
func (s *sheet) short(code, name, unit string) string {
	if s.words.Has("certificate.short." + code) {
		return s.say("short."+code, "unit", s.words.Unit(unit))
	}
	return s.say("short", "name", name, "unit", s.words.Unit(unit))
}

// plainReadings prints sets as they were typed, behind what is given to be
// said before. Sets named in done are told already.
func (s *sheet) plainReadings(done []string, before ...string) error {
	lines := before
	for _, r := range s.content.Readings {
		if slices.Contains(done, r.Code+"/"+r.Method) || s.isTick(r) {
			continue
		}
		texts := make([]string, len(r.Values))
		for i, typed := range r.Values {
			texts[i] = s.typed(typed)
			if at := s.at(r, i); at != "" {
				texts[i] += " (" + at + ")"
			}
		}
		line := s.say("set", "name", words.Sentence(s.words.Characteristic(r.Code)), "values", strings.Join(texts, "; "), "unit", s.words.Unit(r.Unit))
		if r.Manner != "" {
			line += ", " + s.words.Manner(r.Manner)
		}
		lines = append(lines, line)
	}
	if len(lines) > 0 {
		s.flow(nil, s.text(smallInk, 0.8, left, width, strings.Join(lines, ". ")+".")...)
	}
	return nil
}

// isTick says whether a set is an answer, told with the results already.
func (s *sheet) isTick(r models.CertificateReadings) bool {
	for _, v := range r.Values {
		if _, _, err := measure.ParseReadingUnit(v); err != nil {
			return true
		}
	}
	return len(r.Values) == 0
}

// at says where a reading of a whole item was taken, as far as that means
// something: the two shoulders of a dish, the strings of a pack.
func (s *sheet) at(r models.CertificateReadings, i int) string {
	if i >= len(r.Index) || len(r.Values) == 1 {
		return ""
	}
	p := r.Index[i]
	switch {
	case r.Method == models.Whole && p.IsBlock():
		return s.words.Inside(s.figure("string_n", "n", itoa(p.String)))
	case r.Method == models.Whole && p.Place < 2:
		return s.words.Inside(s.say([]string{"side_a", "side_b"}[p.Place]))
	case r.Method == models.Whole:
		return ""
	}
	return s.placeOf(p.Key())
}

// median is the middle value, the mean of the two middle ones of an even
// number.
func median(values []float64) float64 {
	sorted := slices.Sorted(slices.Values(values))
	n := len(sorted)
	if n == 0 {
		return 0
	}
	return (sorted[(n-1)/2] + sorted[n/2]) / 2
}

func mean(list []placed) float64 {
	sum := 0.0
	for _, p := range list {
		sum += p.value
	}
	return sum / math.Max(1, float64(len(list)))
}
