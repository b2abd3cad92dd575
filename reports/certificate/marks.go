package certificate

import (
	"image/color"
	"math"
	"slices"

	"tracewright/models"
	"tracewright/reports/pdf"
)

// The signs beside verdicts: each has a shape of its own, and a word follows.

// tick is drawn as 3.4 mm wide, its foot on the baseline.
func (s *sheet) tick(x, baseline float64, c color.RGBA) {
	s.doc.Outline([][2]float64{{x + 0.2, baseline - 1.1}, {x + 1.2, baseline - 0.1}, {x + 3.2, baseline - 2.6}}, false, 0.5, c)
}

func (s *sheet) cross(x, baseline float64, c color.RGBA) {
	s.doc.Outline([][2]float64{{x + 0.4, baseline - 2.5}, {x + 2.9, baseline}}, false, 0.5, c)
	s.doc.Outline([][2]float64{{x + 0.4, baseline}, {x + 2.9, baseline - 2.5}}, false, 0.5, c)
}

// triangle is the sign of care.
func (s *sheet) triangle(x, baseline float64, c color.RGBA) {
	s.doc.Outline([][2]float64{{x + 0.3, baseline}, {x + 1.8, baseline - 2.7}, {x + 3.3, baseline}}, true, 0.4, c)
	s.doc.Outline([][2]float64{{x + 1.8, baseline - 1.7}, {x + 1.8, baseline - 1.0}}, false, 0.35, c)
	s.doc.Outline([][2]float64{{x + 1.8, baseline - 0.5}, {x + 1.81, baseline - 0.5}}, false, 0.4, c)
}

// rhombus is the sign of what is let through although it does not conform.
func (s *sheet) rhombus(x, baseline float64, c color.RGBA) {
	s.doc.Outline([][2]float64{{x + 0.2, baseline - 1.3}, {x + 1.8, baseline - 2.9}, {x + 3.4, baseline - 1.3}, {x + 1.8, baseline + 0.3}}, true, 0.45, c)
}

// ring is the sign of what lies in a guard band: neither a tick nor a cross.
func (s *sheet) ring(x, baseline float64, c color.RGBA) {
	const corners, radius = 24, 1.25
	points := make([][2]float64, corners)
	for i := range points {
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / corners)
		points[i] = [2]float64{x + 1.7 + radius*cos, baseline - 1.3 + radius*sin}
	}
	s.doc.Outline(points, true, 0.45, c)
	s.doc.Outline([][2]float64{{x + 1.7, baseline - 1.3 - radius}, {x + 1.7, baseline - 1.3 + radius}}, false, 0.45, c)
}

// letThrough says whether a concession names a result that does not conform, or of
// which that is not shown.
func (s *sheet) letThrough(r models.CertificateResult) bool {
	c := s.content.Concession
	return c != nil && !r.Missing && !models.Accepted(r.Verdict) && slices.Contains(c.Results, r.Code)
}

// resultMark gives the sign, the colour and the word of a result as it is released:
// one that a concession lets through has a sign of its own.
func (s *sheet) resultMark(r models.CertificateResult) (mark func(x, baseline float64), c color.RGBA, word string) {
	word = s.words.Verdict(r.Verdict)
	if s.letThrough(r) {
		return func(x, y float64) { s.rhombus(x, y, pdf.Care) }, pdf.Care, s.say("let_through", "verdict", word)
	}
	mark, c = s.verdictMark(r.Verdict)
	return mark, c, word
}

// legend explains the signs that are neither tick nor cross, where they stand.
func (s *sheet) legend() {
	const indent = 4.4
	line := func(mark func(x, baseline float64, c color.RGBA), text string) block {
		lines := smallInk.Wrap(text, width-indent)
		return block{height: float64(len(lines))*smallInk.Leading() + 0.4, draw: func(y float64) {
			mark(left, y+smallInk.Rise(), pdf.Care)
			s.doc.Lines(left+indent, y+smallInk.Rise(), smallInk, lines)
		}}
	}
	var conceded, undecided bool
	for _, r := range s.content.Results {
		through := s.letThrough(r)
		conceded, undecided = conceded || through, undecided || !through && models.Undecided(r.Verdict)
	}
	var blocks []block
	if conceded {
		blocks = append(blocks, line(s.rhombus, s.say("legend.conceded", "number", s.content.Concession.Number)))
	}
	if undecided {
		blocks = append(blocks, line(s.ring, s.say("legend.guard_band")))
	}
	if len(blocks) > 0 {
		blocks[0].gap = 1.6
		s.flow(nil, blocks...)
	}
}

// verdictMark gives the sign and the colour of a verdict; a verdict without a
// sign (no limit) has none.
func (s *sheet) verdictMark(verdict string) (mark func(x, baseline float64), c color.RGBA) {
	switch verdict {
	case models.VerdictPass, models.VerdictConformity:
		c := pdf.Pass
		if s.content.Verdict == models.VerdictFail {
			// Nothing on the paper of a failed item may look like a pass from afar.
			c = pdf.Ink
		}
		return func(x, y float64) { s.tick(x, y, c) }, c
	case models.VerdictFail, models.VerdictConditionalFail, models.VerdictNonconformity:
		return func(x, y float64) { s.cross(x, y, pdf.Fail) }, pdf.Fail
	case models.VerdictConditionalPass, models.VerdictNotVerified:
		return func(x, y float64) { s.ring(x, y, pdf.Care) }, pdf.Care
	case models.VerdictProvisional, models.VerdictIncomplete:
		return func(x, y float64) { s.triangle(x, y, pdf.Care) }, pdf.Care
	}
	return nil, pdf.Ink2
}
