package certificate

import (
	"slices"
	"strconv"
	"strings"

	"tracewright/models"
	"tracewright/reports/pdf"
)

// remarks prints what is worth saying and judges nothing.
func (s *sheet) remarks() {
	if len(s.content.Remarks) == 0 {
		return
	}
	var blocks []block
	for _, r := range s.content.Remarks {
		blocks = append(blocks, s.text(ink, 0.3, left, width, s.say("remark", "reason", s.words.Remark(r)))...)
	}
	blocks[0].gap = 2
	s.flow(nil, blocks...)
}

// instruments lists the gauges used, their state on the day printed as it was.
func (s *sheet) instruments() {
	list := s.content.Instruments
	if len(list) == 0 {
		s.flow(nil, append([]block{s.subhead(3.4, s.say("instruments"))}, s.text(ink, 0, left, width, s.say("no_instruments"))...)...)
		return
	}
	due := 21.5
	if slices.ContainsFunc(list, func(g models.CertificateInstrument) bool { return g.Overdue }) {
		due = 26.5 // for the sign beside it
	}
	t := pdf.Table{X: left, Head: label, Body: ink, Pad: 0.5 * s.gaps, Rule: pdf.Line}
	for _, c := range []struct {
		code  string
		width float64
	}{{"instrument", 21}, {"used_for", 83.5 - due}, {"resolution", 20}, {"calibrated", 21.5}, {"next_due", due}, {"its_certificate", width - 146}} {
		t.Columns = append(t.Columns, pdf.Column{Title: s.say(c.code), Width: c.width})
	}
	var overdue []string
	rows := make([][]pdf.Cell, len(list))
	for i, g := range list {
		used := make([]string, len(g.UsedFor))
		for j, code := range g.UsedFor {
			used[j] = s.words.Characteristic(code)
		}
		name := s.words.Join(withoutRepeats(used))
		if name == "" {
			name = g.Name
		}
		due := pdf.Cell{Text: s.dayOr(g.DueOn)}
		if g.Overdue {
			overdue = append(overdue, g.Code)
			bold := inkBold.In(pdf.Care)
			due = pdf.Cell{Text: s.dayOr(g.DueOn) + ", " + s.say("overdue"), Style: &bold, Mark: func(x, y float64) { s.triangle(x, y, pdf.Care) }}
		}
		certificate := pdf.Cell{Text: g.Certificate, Style: &mono}
		if g.Certificate == "" {
			certificate = pdf.Cell{Text: s.say("not_recorded"), Style: &label}
		}
		resolution := s.words.Quantity(g.Resolution, g.Unit)
		if g.Resolution == "" {
			resolution = s.say("not_recorded")
		}
		rows[i] = []pdf.Cell{{Text: g.Code, Style: &mono}, {Text: name}, {Text: resolution}, {Text: s.dayOr(g.CalibratedOn)}, due, certificate}
	}
	t.Fit(rows)
	title := block{gap: 3, height: heading.Leading(), keep: true, draw: func(y float64) {
		s.doc.Text(left, y+heading.Rise()-0.8, heading, s.say("instruments"), pdf.Left)
	}}
	s.table(&t, title, rows)
	day := s.words.Date(s.content.Inspection.MeasuredOn)
	state := s.say("all_in_date", "date", day)
	switch {
	case len(overdue) > 0:
		state = s.say("some_overdue", "date", day, "codes", s.words.Join(overdue))
	case !s.allDated():
		state = s.say("not_all_dated")
	}
	s.flow(nil, s.text(small, 1.2, left, width, state)...)
}

// allDated says whether every instrument has a due date on record: only then
// can it be said that all were in date.
func (s *sheet) allDated() bool {
	for _, g := range s.content.Instruments {
		if g.DueOn == "" {
			return false
		}
	}
	return true
}

func (s *sheet) dayOr(day string) string {
	if day == "" {
		return s.say("not_recorded")
	}
	return s.words.Date(day)
}

// cautions stand where the work can hurt; that the maker's data come first is
// always among them.
func (s *sheet) cautions() {
	const always = "makers_data_first"
	codes := slices.DeleteFunc(slices.Clone(s.content.Cautions), func(code string) bool { return code == always })
	codes = append(codes, always)
	const indent = 9.0
	lines := s.cautionLines(codes, width-indent)
	height := float64(len(lines)) * caution.Leading()
	s.flow(nil, s.sectionHead(2.6, s.say("cautions"), ""), block{gap: 1.2, height: height, draw: func(y float64) {
		s.warning(left+0.4, y+0.9)
		s.doc.Lines(left+indent, y+caution.Rise(), caution, lines)
	}})
}

// cautionLines sets each caution on a line of its own, two short ones on one
// where both fit whole.
func (s *sheet) cautionLines(codes []string, w float64) []string {
	var lines []string
	room := map[int]bool{} // lines that hold one short caution
	for _, code := range codes {
		wrapped := caution.Wrap(s.words.Caution(code), w)
		joined := false
		if len(wrapped) == 1 {
			for i := range lines {
				if both := lines[i] + " " + wrapped[0]; room[i] && caution.Width(both) <= w {
					lines[i], room[i], joined = both, false, true
					break
				}
			}
		}
		if !joined {
			room[len(lines)] = len(wrapped) == 1
			lines = append(lines, wrapped...)
		}
	}
	return lines
}

// warning is the large sign of care.
func (s *sheet) warning(x, y float64) {
	s.doc.Outline([][2]float64{{x, y + 5.6}, {x + 3.2, y}, {x + 6.4, y + 5.6}}, true, 0.6, pdf.Care)
	s.doc.Outline([][2]float64{{x + 3.2, y + 2.1}, {x + 3.2, y + 3.6}}, false, 0.6, pdf.Care)
	s.doc.Outline([][2]float64{{x + 3.2, y + 4.6}, {x + 3.21, y + 4.6}}, false, 0.7, pdf.Care)
}

// codeSide is the side of the QR code, in mm.
const codeSide = 23.0

// howToCheck is the code and what it holds; what follows stays with it, so that
// the end never stands on a page by itself.
func (s *sheet) howToCheck() block {
	c := s.content
	w := width - codeSide - 10
	text := s.say("check_text")
	if c.CheckAt != "" {
		text = s.say("check_online")
	}
	if c.Version < models.ContentSigned {
		text += " " + s.say("check_attached", "file", FileName(c), "version", itoa(c.Version))
	} else {
		text += " " + s.say("check_signed", "file", FileName(c), "version", itoa(c.Version)) + " " + s.say(logSays(*c.Log))
	}
	if pdf.Lacks(string(s.options.Raw)) {
		text += " " + s.say("signs_replaced")
	}
	lines := smallInk.Wrap(text, w)
	sum := s.fingerprints(w)
	height := subheading.Leading() + 0.4 + float64(len(lines))*smallInk.Leading() + 1 + float64(len(sum))*smallMono.Leading()
	return block{gap: 3, height: max(height, codeSide+1.2), keep: true, draw: func(y float64) {
		s.doc.QR(right-codeSide, y+1.2, codeSide, s.code())
		at := y
		s.doc.Text(left, at+subheading.Rise(), subheading, s.say("check"), pdf.Left)
		at += subheading.Leading() + 0.4
		at = s.doc.Lines(left, at+smallInk.Rise(), smallInk, lines) - smallInk.Rise() + 1
		s.doc.Lines(left, at+smallMono.Rise(), smallMono, sum)
	}}
}

// logSays is the code of what the content proves of the log of changes.
func logSays(log models.SealedLog) string {
	switch {
	case log.Size == 0:
		return "log_none"
	case log.Waiting:
		return "log_waiting"
	}
	return "log_sealed"
}

// fingerprints are what a person compares letter by letter: the hash of the
// content, and where it is signed the key and the log that it names.
func (s *sheet) fingerprints(w float64) []string {
	lines := smallMono.Wrap(s.say("sha256", "hash", s.hash), w)
	c := s.content
	if c.Version < models.ContentSigned {
		return lines
	}
	key := s.say("key", "key", c.Key)
	if c.Log.Size == 0 {
		return append(lines, smallMono.Wrap(key, w)...)
	}
	key += ", " + s.say("log", "n", strconv.FormatInt(c.Log.Size, 10), "hash", shortened(c.Log.Root))
	return append(lines, smallMono.Wrap(key, w)...)
}

// code is what the QR code says: the public address with its token where the
// shop has one, else the serial, the number with its revision, and the hash of
// the content.
func (s *sheet) code() string {
	if s.content.CheckAt != "" {
		return s.content.CheckAt
	}
	return strings.Join([]string{s.content.Item.Serial, s.content.Number + "/" + itoa(s.content.Revision), s.hash}, " ")
}

// end marks that nothing follows.
func (s *sheet) end() block {
	text := s.say("end", "number", s.content.Number, "revision", itoa(s.content.Revision))
	lines := inkBold.Wrap(text, width-40)
	return block{gap: 2.6, height: float64(len(lines)) * inkBold.Leading(), draw: func(y float64) {
		widest := 0.0
		for i, line := range lines {
			s.doc.Text((left+right)/2, y+inkBold.Rise()+float64(i)*inkBold.Leading(), inkBold, line, pdf.Centre)
			widest = max(widest, inkBold.Width(line))
		}
		middle := y + inkBold.Leading()/2
		s.doc.Rule(left, middle, (left+right-widest)/2-6, middle, 0.35, pdf.Ink)
		s.doc.Rule((left+right+widest)/2+6, middle, right, middle, 0.35, pdf.Ink)
	}}
}
