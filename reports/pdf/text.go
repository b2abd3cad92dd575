package pdf

import (
	"image/color"
	"strings"
	"unicode"

	"golang.org/x/text/unicode/norm"
)

// MMPerPoint is 25.4 mm over the 72 points of an inch.
const MMPerPoint = 25.4 / 72

// Style is how a text is set: font, size in points, colour.
type Style struct {
	Font  *Font
	Size  float64
	Color color.RGBA
}

// In is the style in another colour.
func (s Style) In(c color.RGBA) Style {
	s.Color = c
	return s
}

// Leading is the distance between baselines, in mm: 1.36 times the size, so
// that letters of two lines never touch.
func (s Style) Leading() float64 { return s.Size * 1.36 * MMPerPoint }

// Rise is how far letters reach above the baseline, in mm.
func (s Style) Rise() float64 { return s.Font.rise * s.Size * MMPerPoint }

// Drop is how far letters reach below the baseline, in mm.
func (s Style) Drop() float64 { return s.Font.drop * s.Size * MMPerPoint }

// Capitals is the height of capitals and figures, in mm.
func (s Style) Capitals() float64 { return s.Font.high * s.Size * MMPerPoint }

// WithCapitals is the style in the size at which capitals are so many mm high.
func (s Style) WithCapitals(mm float64) Style {
	s.Size = mm / MMPerPoint / s.Font.high
	return s
}

// Width is the width of a text in mm, as it will be printed.
func (s Style) Width(text string) float64 {
	f, shown := settle(s.Font, text)
	return f.Width(shown, s.Size) * MMPerPoint
}

// unprintable stands for a letter that no font here has.
const unprintable = '?'

// Lacks says whether a text holds a letter that will be printed as a question
// mark.
func Lacks(text string) bool {
	for _, r := range norm.NFC.String(text) {
		if !isSpace(r) && !Sans().Has(r) {
			return true
		}
	}
	return false
}

// isSpace says whether a rune is printed as a plain space: line breaks, tabs
// and the spaces that do not break have done their work by then.
func isSpace(r rune) bool { return unicode.IsSpace(r) || unicode.IsControl(r) }

// settle brings a text to what can be printed: letters with their marks in
// one piece (NFC), every kind of space a plain one, letters no font has as
// question marks. A text that Mono lacks letters for is set in Sans.
func settle(f *Font, text string) (*Font, string) {
	if plain(text) {
		return f, text
	}
	text = strings.Map(func(r rune) rune {
		switch {
		case isSpace(r):
			return ' '
		case !Sans().Has(r):
			return unprintable
		default:
			return r
		}
	}, norm.NFC.String(text))
	if !f.hasAll(text) {
		f = Sans()
	}
	return f, text
}

// plain says whether a text is printable ASCII, which every font has.
func plain(text string) bool {
	for i := range len(text) {
		if text[i] < 0x20 || text[i] > 0x7e {
			return false
		}
	}
	return true
}

// Wrap breaks a text into lines of at most width mm, at spaces; a space that
// does not break (U+00A0) holds its neighbours together, and a word wider
// than the line is broken where it must be. There is always one line at least.
func (s Style) Wrap(text string, width float64) []string {
	var lines []string
	for paragraph := range strings.SplitSeq(text, "\n") {
		lines = append(lines, s.wrapParagraph(paragraph, width)...)
	}
	return lines
}

func (s Style) wrapParagraph(text string, width float64) []string {
	var lines []string
	line, used := "", 0.0
	space, adds := s.Width(" "), plain(text)
	for _, word := range strings.FieldsFunc(text, func(r rune) bool { return r == ' ' || r == '\t' || r == '\r' }) {
		alone := s.Width(word)
		longer, wide := word, alone
		if line != "" {
			longer = line + " " + word
			if wide += used + space; !adds { // One letter may change the font of a line.
				wide = s.Width(longer)
			}
		}
		if wide <= width {
			line, used = longer, wide
			continue
		}
		if line != "" {
			lines = append(lines, line)
		}
		if alone > width {
			lines, word = s.broken(lines, word, width)
			alone = s.Width(word)
		}
		line, used = word, alone
	}
	return append(lines, line)
}

// broken adds the lines that a word too wide for one is broken into, all but the last,
// which comes back beside them. Only as much of the rest is measured as may stand on one
// line: measured whole for each line, a long word takes the square of its length.
func (s Style) broken(lines []string, word string, width float64) ([]string, string) {
	const narrower = 4 // more than any letter is wider than in a font that has all of a line
	for {
		head := s.fitting(word, width)
		if len(head) == len(word) || len(word) <= narrower*len(head) && s.Width(word) <= width {
			return lines, word
		}
		lines, word = append(lines, head), word[len(head):]
	}
}

// fitting is the longest beginning of a word that fits, one letter at least.
func (s Style) fitting(word string, width float64) string {
	end := 0
	for i, r := range word {
		next := i + len(string(r))
		if end > 0 && s.Width(word[:next]) > width {
			break
		}
		end = next
	}
	return word[:end]
}
