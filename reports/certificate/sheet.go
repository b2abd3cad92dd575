package certificate

import (
	"fmt"

	"tracewright/models"
	"tracewright/models/words"
	"tracewright/reports/pdf"
)

// Margins of the page, in mm.
const (
	left   = 20.0
	right  = pdf.PageWidth - 20
	width  = right - left
	topEnd = 14.0 // where a page's content begins
)

// The styles of the page.
var (
	ink        = pdf.Style{Font: pdf.Sans(), Size: 9.2, Color: pdf.Ink}
	inkBold    = pdf.Style{Font: pdf.SemiBold(), Size: 9.2, Color: pdf.Ink}
	caution    = pdf.Style{Font: pdf.Sans(), Size: 8.7, Color: pdf.Ink}
	label      = pdf.Style{Font: pdf.Sans(), Size: 9.2, Color: pdf.Ink2}
	small      = pdf.Style{Font: pdf.Sans(), Size: 8, Color: pdf.Ink2}
	smallInk   = pdf.Style{Font: pdf.Sans(), Size: 8, Color: pdf.Ink}
	smallBold  = pdf.Style{Font: pdf.SemiBold(), Size: 8, Color: pdf.Care}
	mono       = pdf.Style{Font: pdf.Mono(), Size: 8.8, Color: pdf.Ink}
	smallMono  = pdf.Style{Font: pdf.Mono(), Size: 8, Color: pdf.Ink2}
	serialMono = pdf.Style{Font: pdf.Mono(), Size: 11, Color: pdf.Ink}
	numberMono = pdf.Style{Font: pdf.Mono(), Size: 15.5, Color: pdf.Ink}
	issuerBold = pdf.Style{Font: pdf.SemiBold(), Size: 11, Color: pdf.Ink}
	titleBold  = pdf.Style{Font: pdf.SemiBold(), Size: 23, Color: pdf.Ink}
	lead       = pdf.Style{Font: pdf.Sans(), Size: 12, Color: pdf.Ink}
	leadSmall  = pdf.Style{Font: pdf.Sans(), Size: 10.4, Color: pdf.Ink}
	heading    = pdf.Style{Font: pdf.SemiBold(), Size: 12, Color: pdf.Ink}
	subheading = pdf.Style{Font: pdf.SemiBold(), Size: 10, Color: pdf.Ink}
	figureBold = pdf.Style{Font: pdf.SemiBold(), Size: 10.2, Color: pdf.Ink}
)

// How the gaps between blocks, and inside rows of tables, are multiplied.
const (
	wide  = 1
	tight = 0.5
)

// sheet is a certificate being drawn.
type sheet struct {
	content models.CertificateContent
	options Options
	gaps    float64 // by which gaps are multiplied
	words   *words.Catalogue
	hash    string
	serial  string // as printed
	doc     *pdf.Document
	y       float64 // where the next block begins
	top     float64 // where it began on this page
	bottom  float64 // where content ends
	hint    place   // where it will be said on which page the readings are
}

// place is a spot that is printed on once everything is known.
type place struct {
	page int
	y    float64
}

// say finds a sentence of the certificate; values are name, value pairs.
func (s *sheet) say(code string, values ...string) string {
	return s.words.Say("certificate."+code, pairs(values))
}

// figure finds words of a drawing.
func (s *sheet) figure(code string, values ...string) string {
	return s.words.Say("figure."+code, pairs(values))
}

func pairs(values []string) map[string]string {
	m := make(map[string]string, len(values)/2)
	for i := 0; i+1 < len(values); i += 2 {
		m[values[i]] = values[i+1]
	}
	return m
}

// draw puts everything on its pages, then the feet, which know the count of
// pages.
func (s *sheet) draw() error {
	s.newPage()
	s.head()
	s.itemAndParts()
	s.results()
	s.ruleAndStatement()
	s.people()
	s.newPage()
	from := s.doc.Page()
	if err := s.readings(); err != nil {
		return err
	}
	s.remarks()
	s.instruments()
	s.cautions()
	s.flow(nil, s.howToCheck(), s.end())
	if s.hint.page > 0 {
		s.doc.Turn(s.hint.page)
		s.doc.Text(right, s.hint.y, small, s.say("see_next", "page", itoa(from)), pdf.Right)
	}
	s.feet()
	return nil
}

// block is a piece that is not broken over pages.
type block struct {
	gap    float64 // mm left free above, unless it begins a page
	height float64
	keep   bool // with the next block
	draw   func(y float64)
}

// flow puts blocks one below the other and begins a new page where one does
// not fit; repeat, if given, is drawn again at the head of a page that is
// begun between them (the head of a table).
func (s *sheet) flow(repeat *block, blocks ...block) {
	for i := 0; i < len(blocks); i++ {
		need := blocks[i].gap * s.gaps
		for j := i; j < len(blocks); j++ {
			need += blocks[j].height
			if j > i {
				need += blocks[j].gap * s.gaps
			}
			if !blocks[j].keep {
				break
			}
		}
		if s.y+need > s.bottom && s.y > s.top && need <= s.bottom-s.top {
			s.newPage()
			if repeat != nil && i > 0 {
				s.place(*repeat)
			}
		}
		s.place(blocks[i])
	}
}

// place draws a block at the next place, even where it does not fit: then it
// begins a page of its own.
func (s *sheet) place(b block) {
	if s.y > s.top {
		if gap := b.gap * s.gaps; s.y+gap+b.height > s.bottom {
			s.newPage()
		} else {
			s.y += gap
		}
	}
	if b.draw != nil {
		b.draw(s.y)
	}
	s.y += b.height
}

// text is a paragraph as blocks: whole when it is short, line by line when it
// is long enough to be broken.
func (s *sheet) text(style pdf.Style, gap, x, w float64, text string) []block {
	lines := style.Wrap(text, w)
	if len(lines) <= 8 {
		return []block{{gap: gap, height: float64(len(lines)) * style.Leading(), draw: func(y float64) {
			s.doc.Lines(x, y+style.Rise(), style, lines)
		}}}
	}
	blocks := make([]block, len(lines))
	for i, line := range lines {
		blocks[i] = block{height: style.Leading(), draw: func(y float64) { s.doc.Text(x, y+style.Rise(), style, line, pdf.Left) }}
	}
	blocks[0].gap = gap
	return blocks
}

// sectionHead is a heading with a rule below, and a remark at its right.
func (s *sheet) sectionHead(gap float64, title, remark string) block {
	lines := small.Wrap(remark, width-heading.Width(title)-8)
	height := 8.2 + float64(len(lines)-1)*small.Leading()
	return block{gap: gap, height: height, keep: true, draw: func(y float64) {
		baseline := y + height - 3.6
		s.doc.Text(left, baseline, heading, title, pdf.Left)
		if remark != "" {
			for i, line := range lines {
				s.doc.Text(right, baseline-float64(len(lines)-1-i)*small.Leading(), small, line, pdf.Right)
			}
		}
		s.doc.Rule(left, y+height-1, right, y+height-1, 0.35, pdf.Ink)
	}}
}

// subhead is a small heading without a rule.
func (s *sheet) subhead(gap float64, title string) block {
	return block{gap: gap, height: subheading.Leading() + 0.4, keep: true, draw: func(y float64) {
		s.doc.Text(left, y+subheading.Rise(), subheading, title, pdf.Left)
	}}
}

func itoa(n int) string { return fmt.Sprint(n) }
