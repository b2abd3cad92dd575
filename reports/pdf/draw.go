package pdf

import (
	"image/color"
	"math"
	"strconv"
	"strings"
)

// Align says which point of a text stands at x.
type Align int

// Where a text stands.
const (
	Left Align = iota
	Right
	Centre
	Point // the decimal point or comma stands at x; of a text without one, its end
)

// Text prints one line with its baseline at y; x is its left, its right or its
// middle, or where its decimal point stands. It returns the width in mm.
func (d *Document) Text(x, y float64, s Style, text string, at Align) float64 {
	f, shown := settle(s.Font, text)
	if strings.TrimSpace(shown) == "" {
		return 0
	}
	width := f.Width(shown, s.Size) * MMPerPoint
	switch at {
	case Right:
		x -= width
	case Centre:
		x -= width / 2
	case Point:
		x -= f.Width(whole(shown), s.Size) * MMPerPoint
	}
	d.textAt(x/MMPerPoint, (d.meta.Height-y)/MMPerPoint, f, s.Size, s.Color, shown)
	return width
}

// whole is a number up to its decimal point or comma.
func whole(number string) string {
	if i := strings.IndexAny(number, ".,"); i >= 0 {
		return number[:i]
	}
	return number
}

// textAt prints at a place in PDF's own coordinates: points from the lower
// left corner.
func (d *Document) textAt(x, y float64, f *Font, size float64, c color.RGBA, text string) {
	// Where a canvas ends, the page has its old font again and gofpdf does not know:
	// it would note the letters down for another font, which then lacks them here.
	if set := f.family + strconv.FormatFloat(size, 'f', 2, 64); set != d.now.font || f.family != d.noted {
		d.f.SetFont(f.family, "", size)
		d.now.font, d.noted = set, f.family
	}
	if c != d.now.fill {
		d.raw(colour(c, "rg"))
		d.now.fill = c
	}
	// Its own colour gofpdf leaves alone, since none was ever given to it.
	d.f.Text(x*MMPerPoint, d.meta.Height-y*MMPerPoint, text)
}

// Lines prints lines one below the other, the first baseline at y, and returns
// the y below the last one.
func (d *Document) Lines(x, y float64, s Style, lines []string) float64 {
	for _, line := range lines {
		d.Text(x, y, s, line, Left)
		y += s.Leading()
	}
	return y
}

// Rule draws a straight line of a width in mm.
func (d *Document) Rule(x1, y1, x2, y2, width float64, c color.RGBA) {
	d.raw("q " + colour(c, "RG") + number(width/MMPerPoint) + " w " + d.point(x1, y1) + "m " + d.point(x2, y2) + "l S Q")
}

// Box fills a rectangle.
func (d *Document) Box(x, y, w, h float64, c color.RGBA) {
	d.raw("q " + colour(c, "rg") + d.rectangle(x, y, w, h) + " f Q")
}

// rectangle adds a rectangle to the path.
func (d *Document) rectangle(x, y, w, h float64) string {
	return d.point(x, y+h) + number(w/MMPerPoint) + " " + number(h/MMPerPoint) + " re"
}

// Outline draws corners joined by lines, closed or not, with round ends.
func (d *Document) Outline(corners [][2]float64, closed bool, width float64, c color.RGBA) {
	if len(corners) < 2 {
		return
	}
	var b strings.Builder
	b.WriteString("q 1 J 1 j " + colour(c, "RG") + number(width/MMPerPoint) + " w ")
	for i, p := range corners {
		b.WriteString(d.point(p[0], p[1]))
		if i == 0 {
			b.WriteString("m ")
		} else {
			b.WriteString("l ")
		}
	}
	if closed {
		b.WriteString("s Q")
	} else {
		b.WriteString("S Q")
	}
	d.raw(b.String())
}

// Stamp sets a word in large outlined letters across the page, to be drawn
// before everything else so that it lies behind the text. It is drawn as lines
// and is not part of the page's text.
func (d *Document) Stamp(word string, c color.RGBA) {
	f, word := settle(SemiBold(), word)
	const angle = 52 * math.Pi / 180
	size := 200 / (f.Width(word, 1) * MMPerPoint)
	sin, cos := math.Sincos(angle)
	half := f.Width(word, size) / 2
	rise := size * 0.34 // half the height of capitals, so that the word is centred
	x := d.meta.Width/MMPerPoint/2 - half*cos + rise*sin
	y := d.meta.Height/MMPerPoint/2 - half*sin - rise*cos
	letters, err := f.outline(word, size)
	if err != nil {
		d.fail(err)
		return
	}
	d.raw("q " + colour(c, "RG") + "0.9 w " + precise(cos) + " " + precise(sin) + " " + precise(-sin) + " " + precise(cos) + " " + number(x) + " " + number(y) + " cm")
	d.raw(pathOperators(letters) + "S Q")
}

// raw writes drawing operators as they are (ISO 32000-1, annex A).
func (d *Document) raw(operators string) { d.f.RawWriteStr(operators) }

// point is a place in mm as PDF's coordinates with a space behind.
func (d *Document) point(x, y float64) string {
	return number(x/MMPerPoint) + " " + number((d.meta.Height-y)/MMPerPoint) + " "
}

// number writes a coordinate with two decimals at most: 0.01 point is 3.5
// thousandths of a millimetre.
func number(v float64) string {
	hundredths := math.Round(v * 100)
	if math.IsNaN(hundredths) || math.Abs(hundredths) > 1e15 {
		return "0" // No place on any page.
	}
	n := int64(hundredths)
	var room [24]byte
	out := room[:0]
	if n < 0 {
		out, n = append(out, '-'), -n
	}
	out = strconv.AppendInt(out, n/100, 10)
	if n %= 100; n > 0 {
		out = append(out, '.', byte('0'+n/10))
		if n%10 > 0 {
			out = append(out, byte('0'+n%10))
		}
	}
	return string(out)
}

// colour writes a colour with its operator and a space behind.
func colour(c color.RGBA, operator string) string {
	part := func(v uint8) string { return strconv.FormatFloat(float64(v)/255, 'f', 3, 64) + " " }
	return part(c.R) + part(c.G) + part(c.B) + operator + " "
}
