package recovery

import (
	"errors"
	"fmt"
	"strconv"
	"time"

	"tracewright/models"
	"tracewright/models/words"
	"tracewright/reports/pdf"
)

// The page: A4 upright, in mm.
const (
	left, right = 22.0, 188.0
	width       = right - left
	top, bottom = 24.0, 274.0
	codeSide    = 52.0
	aside       = left + codeSide + 12 // where the text beside the code begins
)

var (
	body  = pdf.Style{Font: pdf.Sans(), Size: 11, Color: pdf.Ink}
	small = pdf.Style{Font: pdf.Sans(), Size: 9.5, Color: pdf.Ink2}
	bold  = pdf.Style{Font: pdf.SemiBold(), Size: 11, Color: pdf.Ink}
	title = pdf.Style{Font: pdf.SemiBold(), Size: 22, Color: pdf.Ink}
	key   = pdf.Style{Font: pdf.Mono(), Size: 19, Color: pdf.Ink}
	mono  = pdf.Style{Font: pdf.Mono(), Size: 9.5, Color: pdf.Ink}
)

// ErrContent says that the content makes no sheet.
var ErrContent = errors.New("content makes no sheet of a recovery key")

type sheet struct {
	doc   *pdf.Document
	words *words.Catalogue
	y     float64
}

// Draw draws the sheet; nil words are English. made is the moment that the file
// names as its own.
func Draw(c models.RecoverySheet, made time.Time, w *words.Catalogue) ([]byte, error) {
	if c.Secret == "" || len(c.Lines) == 0 || c.Public == "" || c.Made == "" {
		return nil, fmt.Errorf("a key of %d lines: %w", len(c.Lines), ErrContent)
	}
	if w == nil {
		w = words.In("en")
	}
	s := &sheet{words: w, y: top}
	s.doc = pdf.New(pdf.Meta{Title: s.say("title"), Author: c.Shop, Language: w.Language(), Made: made})
	s.doc.AddPage()
	s.head(c)
	s.key(c)
	s.use(c)
	s.tried()
	s.doc.Rule(left, bottom+4, right, bottom+4, 0.2, pdf.Line)
	s.doc.Text(left, bottom+9, small, s.say("foot"), pdf.Left)
	out, err := s.doc.Bytes()
	if err != nil {
		return nil, fmt.Errorf("sheet of a recovery key: %w", err)
	}
	return out, nil
}

func (s *sheet) say(code string, pairs ...string) string {
	values := map[string]string{}
	for i := 0; i+1 < len(pairs); i += 2 {
		values[pairs[i]] = pairs[i+1]
	}
	return s.words.Say("recovery."+code, values)
}

// lines writes wrapped text at x and goes below it.
func (s *sheet) lines(x float64, style pdf.Style, text string, wide float64) {
	for _, line := range style.Wrap(text, wide) {
		s.doc.Text(x, s.y+style.Rise(), style, line, pdf.Left)
		s.y += style.Leading()
	}
}

func (s *sheet) head(c models.RecoverySheet) {
	s.lines(left, title, s.say("title"), width)
	day := words.Date(c.Made)
	says := s.say("of_none", "date", day)
	if c.Shop != "" {
		says = s.say("of", "shop", twoLines(c.Shop), "date", day)
	}
	s.lines(left, body, says, width)
	if pdf.Lacks(c.Shop) {
		s.lines(left, small, s.say("signs_replaced"), width)
	}
	s.y += 4
	s.lines(left, bold.In(pdf.Care), s.say("first"), width)
	s.y += 1.5
	s.lines(left, body, s.say("keep"), width)
	s.y += 7
}

// twoLines is a name as far as it goes into two lines: the sheet is one page, and full.
func twoLines(name string) string {
	lines := body.Wrap(name, width)
	if len(lines) <= 2 {
		return name
	}
	return lines[0] + " " + lines[1] + "…"
}

// key draws the code with what it is beside it, and below both the lines.
func (s *sheet) key(c models.RecoverySheet) {
	start := s.y
	s.doc.QR(left, start, codeSide, c.Secret)
	s.lines(aside, body, s.say("scan"), right-aside)
	s.y = max(s.y, start+codeSide) + 9
	for n, line := range c.Lines {
		s.doc.Text(left+6, s.y+key.Rise(), small, strconv.Itoa(n+1), pdf.Right)
		s.doc.Text(left+12, s.y+key.Rise(), key, line, pdf.Left)
		s.y += key.Leading() + 2.4
	}
	s.y += 4
	s.lines(left, small, s.say("public"), width)
	s.lines(left, mono, c.Public, width)
	s.y += 6
}

// use says how it is tried, and put to use.
func (s *sheet) use(models.RecoverySheet) {
	for _, x := range [][2]string{{"try", "tracewright backup --check FILE --database URL"}, {"restore", "tracewright restore FILE --database URL"}} {
		s.lines(left, body, s.say(x[0]), width)
		s.lines(left+6, mono, x[1], width-6)
		s.y += 2
	}
	s.lines(left, small, s.say("older"), width)
	s.y += 6
}

// tried leaves room to write down that the key was tried.
func (s *sheet) tried() {
	s.lines(left, body, s.say("log"), width)
	for range 2 {
		s.y += 9
		for i, code := range []string{"when", "who"} {
			x := left + float64(i)*width/2
			s.doc.Text(x, s.y, small, s.say(code), pdf.Left)
			s.doc.Rule(x+12, s.y+0.6, x+width/2-8, s.y+0.6, 0.2, pdf.Ink2)
		}
	}
}
