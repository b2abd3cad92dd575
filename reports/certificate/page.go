package certificate

import (
	"strings"

	"tracewright/models"
	"tracewright/models/words"
	"tracewright/reports/pdf"
)

// newPage begins a page with what its state asks for, and leaves room for the
// foot.
func (s *sheet) newPage() {
	s.doc.AddPage()
	if s.options.State == models.Void {
		s.doc.Stamp(s.say("void_word"), pdf.Line)
	}
	s.top = s.banner(topEnd)
	s.y = s.top
	s.bottom = s.footTop() - 2
}

// banner says on every page that the certificate is no longer in force, and
// why. It gives the y below it.
func (s *sheet) banner(y float64) float64 {
	o := s.options
	var title, reason string
	switch o.State {
	case models.Superseded:
		title = s.say("superseded")
		switch {
		case o.Successor > 0 && o.ChangedOn != "":
			title = s.say("superseded_on", "revision", itoa(o.Successor), "date", s.words.Date(o.ChangedOn))
		case o.Successor > 0:
			title = s.say("superseded_by", "revision", itoa(o.Successor))
		}
		if o.Reason != "" {
			reason = s.say("reason", "reason", o.Reason)
		}
	case models.Void:
		title = s.say("void_word")
		switch {
		case o.ChangedOn != "" && o.Reason != "":
			title = s.say("void_on", "date", s.words.Date(o.ChangedOn), "reason", o.Reason)
		case o.Reason != "":
			title = s.say("void", "reason", o.Reason)
		}
	default:
		return y
	}
	ink := pdf.Care
	if o.State == models.Void {
		ink = pdf.Fail
	}
	y -= 6
	first := inkBold.In(ink).Wrap(title, width-6)
	bottom := y
	for i, line := range first {
		s.doc.Text(left+6, bottom+inkBold.Rise(), inkBold.In(ink), line, pdf.Left)
		if i == 0 && o.State == models.Void {
			s.cross(left, bottom+inkBold.Rise(), ink)
		} else if i == 0 {
			s.triangle(left, bottom+inkBold.Rise(), ink)
		}
		bottom += inkBold.Leading()
	}
	if reason != "" {
		bottom = s.doc.Lines(left+6, bottom+smallInk.Rise(), smallInk, smallInk.Wrap(reason, width-6)) - smallInk.Rise()
	}
	if pdf.Lacks(o.Reason) { // The attached file has the content, and not this.
		bottom = s.doc.Lines(left+6, bottom+small.Rise(), small, small.Wrap(s.say("reason_signs_replaced"), width-6)) - small.Rise()
	}
	s.doc.Rule(left, bottom+1, right, bottom+1, 0.35, ink)
	return bottom + 6
}

// footLines are the lines of the foot below its first.
func (s *sheet) footLines() []string {
	lines := small.Wrap(s.say("relates_only"), width)
	if s.content.CheckAt != "" {
		together := s.say("relates_only") + " " + s.say("status_at", "address", s.content.CheckAt)
		if small.Width(together) <= width {
			return []string{together}
		}
		lines = append(lines, small.Wrap(s.say("status_at", "address", s.content.CheckAt), width)...)
	}
	return lines
}

// footName is the line that names the certificate on each page.
func (s *sheet) footName() []string {
	return small.Wrap(s.say("foot", "number", s.content.Number, "revision", itoa(s.content.Revision), "serial", s.serial, "hash", shortened(s.hash)), width-30)
}

// shortened is the beginning of a hash, 64 bits in groups that an eye can
// compare.
func shortened(hash string) string {
	var groups []string
	for start := 0; start+4 <= min(len(hash), 16); start += 4 {
		groups = append(groups, hash[start:start+4])
	}
	return strings.Join(groups, words.NoBreakSpace)
}

func (s *sheet) footTop() float64 {
	lines := len(s.footName()) + len(s.footLines())
	return pdf.PageHeight - 8 - float64(lines)*small.Leading()
}

// feet goes back over all pages once their count is known.
func (s *sheet) feet() {
	pages := s.doc.Pages()
	for page := 1; page <= pages; page++ {
		s.doc.Turn(page)
		y := s.footTop()
		s.doc.Rule(left, y, right, y, 0.15, pdf.Ink)
		y += 1 + small.Rise()
		s.doc.Text(right, y, small, s.say("page", "page", itoa(page), "pages", itoa(pages)), pdf.Right)
		y = s.doc.Lines(left, y, small, s.footName())
		s.doc.Lines(left, y, small, s.footLines())
	}
}
