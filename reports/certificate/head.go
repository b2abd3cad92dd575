package certificate

import (
	"slices"
	"strconv"
	"strings"

	"tracewright/models"
	"tracewright/reports/pdf"
)

// head prints the issuer, the title with its answer, number and revision.
func (s *sheet) head() {
	c := s.content
	lines := issuerBold.Wrap(c.Issuer.Name, width)
	below := small.Wrap(inOneLine(c.Issuer.Address), width)
	if c.Issuer.Place != "" {
		below = append(below, small.Wrap(s.say("place_of_work", "place", c.Issuer.Place), width)...)
	}
	s.place(block{height: float64(len(lines))*issuerBold.Leading() + float64(len(below))*small.Leading() + 2.4, draw: func(y float64) {
		y = s.doc.Lines(left, y+issuerBold.Rise(), issuerBold, lines) - issuerBold.Rise()
		y = s.doc.Lines(left, y+small.Rise(), small, below) - small.Rise()
		s.doc.Rule(left, y+1.6, right, y+1.6, 0.6, pdf.Ink)
	}})
	s.title()
}

// inOneLine joins the lines of an address, however they end.
func inOneLine(address string) string {
	lines := strings.FieldsFunc(address, func(r rune) bool { return r == '\n' || r == '\r' })
	for i, line := range lines {
		lines[i] = strings.Trim(line, ", ")
	}
	return strings.Join(lines, ", ")
}

// title stands left, number and dates right; each has its own column, so that
// a long sentence wraps beside them.
func (s *sheet) title() {
	c := s.content
	const column = 62.0
	dates := []string{s.say("revision_issued", "revision", itoa(c.Revision), "date", s.words.Date(c.IssuedOn))}
	if r := c.Replaces; r != nil {
		code := "replaces"
		if r.Number != c.Number {
			code = "replaces_other"
		}
		dates = append(dates, small.Wrap(s.say(code, "number", r.Number, "revision", itoa(r.Revision), "date", s.words.Date(r.IssuedOn)), column)...)
	}
	signed, waits := s.signed()
	dates = append(dates, small.Wrap(signed, column)...)
	numbers := numberMono.Wrap(c.Number, column)
	style := lead
	if len(style.Wrap(s.answer(), width-column-4)) > 1 {
		style = leadSmall
	}
	answer := style.Wrap(s.answer(), width-column-4)
	titles := titleBold.Wrap(s.say("title"), width-column-4)
	heightLeft := float64(len(titles))*titleBold.Leading() + float64(len(answer))*style.Leading()
	heightRight := 1.4 + float64(len(numbers))*numberMono.Leading() + float64(len(dates))*small.Leading()
	if waits {
		heightRight += smallBold.Leading()
	}
	s.place(block{gap: 1.6, height: max(heightLeft, heightRight) + 1, draw: func(y float64) {
		below := s.doc.Lines(left, y+titleBold.Rise()-1.6, titleBold, titles) - titleBold.Rise() + 1.6
		s.doc.Lines(left, below+style.Rise()-0.8, style, answer)
		at := y + 1.4 + numberMono.Rise()
		for _, line := range numbers {
			s.doc.Text(right, at, numberMono, line, pdf.Right)
			at += numberMono.Leading()
		}
		at += small.Rise() - numberMono.Rise()
		for _, line := range dates {
			s.doc.Text(right, at, small, line, pdf.Right)
			at += small.Leading()
		}
		if waits {
			s.doc.Text(right, at, smallBold, s.say("waiting"), pdf.Right)
			s.triangle(right-smallBold.Width(s.say("waiting"))-4.6, at, smallBold.Color)
		}
	}})
}

// signed says by which key the content is signed, or that it is older than
// signing; and whether the log of changes was still to be sealed.
func (s *sheet) signed() (text string, waits bool) {
	if s.content.Version < models.ContentSigned {
		return s.say("unsigned"), false
	}
	return s.say("signed", "key", s.content.Key), s.content.Log.Waiting
}

// answer is the sentence below the title.
func (s *sheet) answer() string {
	kind := s.words.Kind(s.content.Item.Kind)
	if c := s.content.Concession; c != nil && len(c.Results) == 0 {
		return s.say("meets_beside", "kind", kind, "number", c.Number)
	} else if c != nil {
		return s.say("meets_conceded", "kind", kind, "number", c.Number, "names", s.joined(s.conceded()))
	}
	switch s.content.Verdict {
	case models.VerdictPass:
		if len(s.missing()) > 0 {
			return s.say("meets_measured", "kind", kind)
		}
		return s.say("meets", "kind", kind)
	case models.VerdictFail:
		return s.say("meets_not", "kind", kind, "names", s.joined(s.failed()))
	case models.VerdictProvisional:
		return s.say("meets_provisional", "kind", kind)
	}
	return s.say("meets_unknown", "kind", kind)
}

// failed and missing list results by their verdict.
func (s *sheet) failed() []models.CertificateResult {
	var list []models.CertificateResult
	for _, r := range s.content.Results {
		if models.Failed(r.Verdict) {
			list = append(list, r)
		}
	}
	return list
}

// conceded lists the results that a concession lets fail, or leave undecided.
func (s *sheet) conceded() []models.CertificateResult {
	return slices.DeleteFunc(slices.Clone(s.content.Results), func(r models.CertificateResult) bool {
		return models.Accepted(r.Verdict) || !slices.Contains(s.content.Concession.Results, r.Code)
	})
}

func (s *sheet) missing() []models.CertificateResult {
	var list []models.CertificateResult
	for _, r := range s.content.Results {
		if r.Missing {
			list = append(list, r)
		}
	}
	return list
}

// joined names results inside a sentence; the blocks of a pack count as one
// with their number.
func (s *sheet) joined(results []models.CertificateResult) string {
	var names []string
	count := map[string]int{}
	for _, r := range results {
		count[r.Code]++
	}
	for _, r := range results {
		name := s.words.Inside(s.words.Result(r.Code))
		switch {
		case count[r.Code] == 0:
			continue
		case count[r.Code] > 1:
			name += " (" + s.words.Count(count[r.Code], "block") + ")"
			count[r.Code] = 0
		case r.Position != "":
			name += " (" + s.placeOf(r.Position) + ")"
		}
		names = append(names, name)
	}
	return strings.Join(names, "; ")
}

// placeOf names a position given as text: a spoke's index or string.place.
func (s *sheet) placeOf(key string) string {
	str, place, isBlock := strings.Cut(key, ".")
	if isBlock {
		if s.content.Item.Pack != nil && s.content.Item.Pack.Strings < 2 {
			return s.say("block_only", "place", place)
		}
		return s.say("block_place", "string", str, "place", place)
	}
	index, err := strconv.Atoi(key)
	if err != nil {
		return key
	}
	return s.figure("spoke_n", "n", itoa(index+1))
}
