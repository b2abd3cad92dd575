package certificate

import (
	"image/color"

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

// verdictMark gives the sign and the colour of a verdict; a verdict without a
// sign (no limit) has none.
func (s *sheet) verdictMark(verdict string) (mark func(x, baseline float64), c color.RGBA) {
	switch verdict {
	case models.VerdictPass, "conditional_pass", "conformity_verified":
		c := pdf.Pass
		if s.content.Verdict == models.VerdictFail {
			// Nothing on the paper of a failed item may look like a pass from afar.
			c = pdf.Ink
		}
		return func(x, y float64) { s.tick(x, y, c) }, c
	case models.VerdictFail, "conditional_fail", "nonconformity_verified":
		return func(x, y float64) { s.cross(x, y, pdf.Fail) }, pdf.Fail
	case models.VerdictProvisional, models.VerdictIncomplete, "not_verified":
		return func(x, y float64) { s.triangle(x, y, pdf.Care) }, pdf.Care
	}
	return nil, pdf.Ink2
}
