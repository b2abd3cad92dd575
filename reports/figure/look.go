package figure

import (
	"image/color"
	"math"

	"gonum.org/v1/plot/font"
	"gonum.org/v1/plot/vg"
)

// Look is the face of a drawing: fonts, how wide their text is, colours.
type Look struct {
	Face                                func(bold bool, size float64) font.Face
	Width                               func(face font.Face, text string) vg.Length
	Ink, Ink2, Line, Band, SideA, SideB color.Color
}

// Reading is one value where it was read. Place counts from 0: the data index
// of a spoke, or the place of a block in its string less one.
type Reading struct {
	Place int
	Value float64
	Text  string // as it is printed
	At    string // where, in words, for drawings of few readings: "spoke 8"
}

// Heading is what stands to the left of a strip: a name, and lines below it.
type Heading struct {
	Name  []string
	Lines []string
}

// Sizes of type and of the fixed parts, in points.
const (
	smallSize   = 8.0
	nameSize    = 9.0
	labelRow    = vg.Length(11) // a row of values above or below a strip
	headingRoom = vg.Length(82) // the column of headings
	rightRoom   = vg.Length(4)
	hairline    = vg.Length(0.5)
)

// pad is what a figure leaves free above and below its marks.
const pad = vg.Length(3.5)

func (l Look) text(c vg.Canvas, bold bool, size float64, clr color.Color, x, y vg.Length, text string) {
	c.SetColor(clr)
	c.FillString(l.Face(bold, size), vg.Point{X: x, Y: y}, text)
}

func (l Look) width(bold bool, size float64, text string) vg.Length {
	return l.Width(l.Face(bold, size), text)
}

// centred prints a text with its middle at x, moved where it would leave the
// room between left and right.
func (l Look) centred(c vg.Canvas, bold bool, size float64, clr color.Color, x, y, left, right vg.Length, text string) {
	w := l.width(bold, size, text)
	x = max(left, min(x-w/2, right-w))
	l.text(c, bold, size, clr, x, y, text)
}

// upright prints a text turned a quarter to the left, reading upward from y,
// with the middle of its letters at x.
func (l Look) upright(c vg.Canvas, bold bool, size float64, clr color.Color, x, y vg.Length, text string) {
	c.Push()
	c.Translate(vg.Point{X: x + vg.Length(size*0.36), Y: y})
	c.Rotate(math.Pi / 2)
	l.text(c, bold, size, clr, 0, 0, text)
	c.Pop()
}

// heading prints name and lines in the left column, the first line at top.
func (l Look) heading(c vg.Canvas, h Heading, top vg.Length) {
	y := top - vg.Length(nameSize*0.8)
	for _, line := range h.Name {
		l.text(c, true, nameSize, l.Ink, 0, y, line)
		y -= vg.Length(nameSize * 1.36)
	}
	for _, line := range h.Lines {
		l.text(c, false, smallSize, l.Ink2, 0, y, line)
		y -= vg.Length(smallSize * 1.36)
	}
}

// height is how much room a heading needs.
func (h Heading) height() vg.Length {
	return vg.Length(float64(len(h.Name))*nameSize*1.36 + float64(len(h.Lines))*smallSize*1.36)
}

// line strokes a straight line, dashed or not.
func line(c vg.Canvas, clr color.Color, width vg.Length, dashes []vg.Length, x1, y1, x2, y2 vg.Length) {
	c.SetColor(clr)
	c.SetLineWidth(width)
	c.SetLineDash(dashes, 0)
	var p vg.Path
	p.Move(vg.Point{X: x1, Y: y1})
	p.Line(vg.Point{X: x2, Y: y2})
	c.Stroke(p)
	c.SetLineDash(nil, 0)
}

func rectangle(x1, y1, x2, y2 vg.Length) vg.Path {
	var p vg.Path
	p.Move(vg.Point{X: x1, Y: y1})
	p.Line(vg.Point{X: x2, Y: y1})
	p.Line(vg.Point{X: x2, Y: y2})
	p.Line(vg.Point{X: x1, Y: y2})
	p.Close()
	return p
}

var (
	limitDashes = []vg.Length{4, 3}
	stemDashes  = []vg.Length{2, 1.5}
)

// dot marks a value: round and solid, or square and hollow.
func (l Look) dot(c vg.Canvas, square bool, clr color.Color, x, y vg.Length) {
	c.SetColor(clr)
	if !square {
		var p vg.Path
		p.Move(vg.Point{X: x + 2.1, Y: y})
		p.Arc(vg.Point{X: x, Y: y}, 2.1, 0, 2*math.Pi)
		p.Close()
		c.Fill(p)
		return
	}
	box := rectangle(x-1.9, y-1.9, x+1.9, y+1.9)
	c.SetColor(color.White)
	c.Fill(box)
	c.SetColor(clr)
	c.SetLineWidth(1)
	c.Stroke(box)
}

// scale maps values to heights.
type scale struct {
	low, high   float64
	bottom, top vg.Length
}

// over makes a scale that shows all of the values; equal values are drawn in
// the middle.
func over(bottom, top vg.Length, values ...float64) scale {
	s := scale{low: math.Inf(1), high: math.Inf(-1), bottom: bottom, top: top}
	for _, v := range values {
		s.low, s.high = math.Min(s.low, v), math.Max(s.high, v)
	}
	if !(s.high > s.low) {
		s.low, s.high = s.low-1, s.high+1
	}
	return s
}

func (s scale) at(v float64) vg.Length {
	return s.bottom + vg.Length((v-s.low)/(s.high-s.low))*(s.top-s.bottom)
}

// span is the least and the greatest value of readings, and where they are;
// of equals the first.
func span(readings []Reading) (low, high int) {
	for i, r := range readings {
		if r.Value < readings[low].Value {
			low = i
		}
		if r.Value > readings[high].Value {
			high = i
		}
	}
	return low, high
}
