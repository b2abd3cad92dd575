package label

import (
	"slices"
	"strings"
	"unicode/utf8"

	"tracewright/models"
	"tracewright/models/words"
	"tracewright/reports/pdf"
)

// Measures of a label, in mm, and type, in points.
const (
	gap       = 0.7 // between pieces
	leastText = 2.5 // height of the figures of a serial
	mostText  = 7.0
	leastType = 5.0 // of what else is said
	goodType  = 7.0 // below it a linear code beside the square one is left out
	mostType  = 14.0
	barsLeast = 5.0  // height of the bars of a linear code
	share     = 0.31 // of the width that a square symbol takes, if it can
	tolerance = 1e-9
)

// edgeOf is kept free on each side, in mm: printers feed a little askew.
func edgeOf(size models.LabelSize) float64 { return min(2.5, max(1, 0.045*size.Height)) }

// line is a sentence on a label. Needed ones are never left out.
type line struct {
	text   string
	needed bool
	strong bool
}

// piece is a line of text with its place: x is its left, y its baseline.
type piece struct {
	x, y  float64
	style pdf.Style
	text  string
}

// plan is where everything on a label stands, from its upper left corner.
type plan struct {
	symbols []placed
	pieces  []piece
}

// kept is how many letters it holds, however they are broken into lines.
func (p plan) kept() int {
	n := 0
	for _, t := range p.pieces {
		n += utf8.RuneCountInString(strings.ReplaceAll(t.text, " ", ""))
	}
	return n
}

// layout finds a place for everything on a label. symbol "" is the usual one:
// a QR code, or a Data Matrix where that leaves no room for all words, and Code
// 128 beside it where there is room.
func layout(c models.LabelContent, size models.LabelSize, symbol string, w *words.Catalogue) (plan, error) {
	s := face{content: c, size: size, edge: edgeOf(size), title: c.Code, lines: linesOf(c, w)}
	if hasSerial(c) {
		s.title = words.Serial(c.Code)
	}
	wanted := []string{symbol}
	switch {
	case c.Kind == models.LabelHub:
		if symbol != "" && symbol != models.SymbolDataMatrix {
			return plan{}, refused("label_hub_symbol")
		}
		wanted = []string{models.SymbolDataMatrix}
	case symbol == "":
		wanted = []string{models.SymbolQR, models.SymbolDataMatrix}
	}
	var best plan
	var err error
	for _, s.all = range []bool{true, false} {
		for _, name := range wanted {
			var p plan
			if p, err = s.with(name, symbol == ""); err == nil && p.kept() > best.kept() {
				best = p
			}
		}
		if best.kept() > 0 {
			return best, nil
		}
	}
	return plan{}, err
}

// hasSerial says whether a label's code is a serial, which is read in groups.
func hasSerial(c models.LabelContent) bool {
	return c.Kind == models.LabelItem || c.Kind == models.LabelHub
}

// face is a label being laid out.
type face struct {
	content models.LabelContent
	size    models.LabelSize
	edge    float64
	title   string
	lines   []line
	all     bool // nothing is left out, not even what is not needed
	// The space of text: right of the symbol down to below, full width under it.
	beside, below, bottom float64
}

func (s *face) with(symbol string, usual bool) (plan, error) {
	r, err := rulesOf(symbol)
	if err != nil {
		return plan{}, err
	}
	e, err := encode(r, s.content)
	if err != nil {
		return plan{}, err
	}
	if symbol == models.SymbolCode128 {
		return s.linear(e)
	}
	return s.square(e, usual)
}

// square lays out a label with a square symbol at its left: as large as it may
// be, and smaller before the title has to break.
func (s *face) square(e encoded, usual bool) (plan, error) {
	most, ok := e.module(s.size.Height - 2*s.edge)
	if !ok {
		return plan{}, e.tooSmall(s.size, most)
	}
	wide := share
	if s.content.Kind == models.LabelHub {
		wide = 2 * share // Nothing else wants the room.
	}
	most = min(most, max(wide*s.size.Width/e.across(), e.least))
	var err error
	for _, title := range s.breaks() {
		for module := most; ; module = max(module*0.97, e.least) {
			side := e.across() * module
			s.beside, s.below, s.bottom = s.edge+side+gap, s.edge+side, s.size.Height-s.edge
			inset := s.edge + (float64(e.quiet)+float64(e.reserved-e.code.Columns())/2)*module
			p := plan{symbols: []placed{{e.rules, e.code, inset, inset, module, module}}}
			if usual && s.content.Kind != models.LabelHub {
				if both, fits := s.withBars(p, title); fits {
					return both, nil
				}
			}
			if p.pieces, err = s.text(s.edge, leastType, title); err == nil {
				if s.content.Kind == models.LabelHub {
					p.centre(s.edge + side/2)
				}
				return p, nil
			}
			if module <= e.least+tolerance {
				break
			}
		}
	}
	return plan{}, err
}

// centre moves text down so that its middle lies at y.
func (p *plan) centre(y float64) {
	first, last := p.pieces[0], p.pieces[len(p.pieces)-1]
	down := y - (first.y-first.style.Capitals()+last.y)/2
	for i := range p.pieces {
		p.pieces[i].y += max(down, 0)
	}
}

// withBars adds a Code 128 at the foot where text of a good size leaves room.
func (s *face) withBars(p plan, title []string) (plan, bool) {
	r, err := rulesOf(models.SymbolCode128)
	if err != nil {
		return p, false
	}
	e, err := encode(r, s.content)
	if err != nil {
		return p, false
	}
	high := max(barsLeast, 0.22*s.size.Height)
	end := s.size.Height - s.edge
	defer func(all bool) { s.all, s.bottom = all, end }(s.all)
	s.all, s.bottom = true, end-high-gap
	for _, x := range []float64{s.beside, s.edge} {
		module, ok := e.module(s.size.Width - s.edge - x)
		if !ok || x == s.edge && s.below > s.bottom {
			continue
		}
		pieces, err := s.text(s.edge, goodType, title)
		if err != nil {
			continue
		}
		p.pieces = pieces
		// The first bar stands a quiet zone away from what is left of it.
		p.symbols = append(p.symbols, placed{e.rules, e.code, x + float64(e.quiet)*module, end - high, module, high})
		return p, true
	}
	return p, false
}

// linear lays out a label with bars above and text below.
func (s *face) linear(e encoded) (plan, error) {
	module, ok := e.module(s.size.Width - 2*s.edge)
	if !ok {
		return plan{}, e.tooSmall(s.size, module)
	}
	high := max(barsLeast, 0.35*s.size.Height)
	p := plan{symbols: []placed{{e.rules, e.code, s.edge + float64(e.quiet)*module, s.edge, module, high}}}
	s.beside, s.below, s.bottom = s.edge, s.edge, s.size.Height-s.edge
	var err error
	for _, title := range s.breaks() {
		if p.pieces, err = s.text(s.edge+high+2*gap, leastType, title); err == nil {
			return p, nil
		}
	}
	return plan{}, err
}

// text sets the title, then everything else, from y down, in type of at least
// least points.
func (s *face) text(y, least float64, broken []string) ([]piece, error) {
	title, y, err := s.titled(y, broken)
	if err != nil {
		return nil, err
	}
	lines := s.lines
	for {
		for size := min(mostType, 3+s.size.Height*0.19); size >= least; size -= 0.25 {
			if rest, ok := s.flow(y, size, lines); ok {
				return append(title, rest...), nil
			}
		}
		i := lastOptional(lines)
		if i < 0 || s.all {
			return nil, refused("label_words_too_small", "label_size", s.size.Code)
		}
		lines = slices.Delete(slices.Clone(lines), i, i+1)
	}
}

func lastOptional(lines []line) int {
	for i := len(lines) - 1; i >= 0; i-- {
		if !lines[i].needed {
			return i
		}
	}
	return -1
}

// titled sets the lines of the serial or code as large as they go, and gives
// the y below them.
func (s *face) titled(y float64, broken []string) ([]piece, float64, error) {
	const between = 0.38 // of the height of figures, from line to line
	width := s.size.Width - s.edge - s.beside
	most := max(leastText, min(mostText, 0.155*s.size.Height))
	for high := most; ; high = max(high-0.05, leastText) {
		style := black(pdf.Mono()).WithCapitals(high)
		pieces, at := []piece{}, y
		for _, text := range broken {
			if style.Width(text) > width {
				break
			}
			at += high
			pieces = append(pieces, piece{s.beside, at, style, text})
			at += between * high
		}
		if len(pieces) == len(broken) && pieces[len(pieces)-1].y <= s.bottom {
			return pieces, at + 0.06*high, nil
		}
		if high <= leastText {
			return nil, 0, refused("label_text_too_small", "label_size", s.size.Code, "code", s.title)
		}
	}
}

// breaks are the ways in which the title may be set, the best first.
func (s *face) breaks() [][]string {
	ways := [][]string{{s.title}}
	if hasSerial(s.content) {
		if kindAndYear, rest, ok := strings.Cut(s.title, "-"); ok {
			ways = append(ways, []string{kindAndYear + "-", rest})
		}
		return ways
	}
	const mostLines = 4
	letters := utf8.RuneCountInString(s.title)
	for n := 2; n <= min(mostLines, letters); n++ {
		for most := (letters + n - 1) / n; ; most++ {
			if lines := packed(s.title, most); len(lines) <= n {
				ways = append(ways, lines)
				break
			}
		}
	}
	return ways
}

// packed breaks a code into lines of at most so many letters, behind hyphens
// where it can.
func packed(code string, most int) []string {
	lines := []string{""}
	for _, part := range strings.SplitAfter(code, "-") {
		for letters := []rune(part); len(letters) > 0; {
			last := &lines[len(lines)-1]
			if utf8.RuneCountInString(*last)+len(letters) <= most {
				*last += string(letters)
				break
			}
			if *last != "" {
				lines = append(lines, "")
				continue
			}
			*last = string(letters[:most])
			letters = letters[most:]
		}
	}
	return lines
}

// flow sets lines from y down in one size: beside the symbol, and in full width
// below it, no sentence in both. It reports false where they do not fit.
func (s *face) flow(y, size float64, lines []line) ([]piece, bool) {
	var pieces []piece
	step := 1.2 * size * pdf.MMPerPoint
	for _, l := range lines {
		style := black(pdf.Sans())
		if l.strong {
			style = black(pdf.SemiBold())
		}
		style.Size = size
		set, ok := s.sentence(y, s.beside, step, style, l.text)
		if last := len(set) - 1; y >= s.below || !ok || last > 0 && y+float64(last)*step >= s.below {
			y = max(y, s.below)
			if set, ok = s.sentence(y, s.edge, step, style, l.text); !ok {
				return nil, false
			}
		}
		pieces = append(pieces, set...)
		y += float64(len(set)) * step
	}
	return pieces, true
}

// sentence sets one sentence from y down, its lines step apart.
func (s *face) sentence(y, x, step float64, style pdf.Style, text string) ([]piece, bool) {
	var pieces []piece
	for rest := text; rest != ""; y += step {
		set, more, ok := firstLine(style, rest, s.size.Width-s.edge-x)
		baseline := y + 0.78*step
		if !ok || baseline+style.Drop()*0.8 > s.bottom {
			return nil, false
		}
		pieces = append(pieces, piece{x, baseline, style, set})
		rest = more
	}
	return pieces, true
}

// firstLine takes the words that fit a line; a word that does not fit alone is
// no line.
func firstLine(style pdf.Style, text string, width float64) (set, rest string, ok bool) {
	words := strings.Split(text, " ") // A space that does not break stays inside its word.
	n := 0
	for n < len(words) && style.Width(strings.Join(words[:n+1], " ")) <= width {
		n++
	}
	return strings.Join(words[:n], " "), strings.Join(words[n:], " "), n > 0
}
