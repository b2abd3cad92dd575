package pdf

import (
	"errors"
	"image"
	"image/color"
	"math"
	"strings"

	"gonum.org/v1/plot/font"
	"gonum.org/v1/plot/vg"
)

// Canvas is a rectangle of a page on which gonum's drawing, and ours, puts
// lines, shapes and text: points from its own lower left corner. Only vectors
// reach the page; a picture of dots is an error of the document.
type Canvas struct {
	d             *Document
	width, height vg.Length
	now           pen
	saved         []pen
}

// pen is what is in force, so that it need not be said again: PDF keeps it on
// its own stack with every Push. ink is filled in then.
type pen struct {
	color color.RGBA
	width vg.Length
	// What was last written: a width or a colour that draws nothing is not.
	said    vg.Length
	stroked color.RGBA
	dash    string
	ink     ink
}

var _ vg.CanvasSizer = (*Canvas)(nil)

// Canvas opens a rectangle whose upper left corner is at x, y mm, hands it to
// draw, and closes it.
func (d *Document) Canvas(x, y, w, h float64, draw func(*Canvas)) {
	before := d.now
	c := &Canvas{d: d, width: vg.Length(w / MMPerPoint), height: vg.Length(h / MMPerPoint)}
	d.raw("q 1 0 0 1 " + number(x/MMPerPoint) + " " + number((d.meta.Height-y-h)/MMPerPoint) + " cm")
	vg.Initialize(c)
	draw(c)
	for range c.saved {
		d.raw("Q")
	}
	d.raw("Q")
	d.now = before
}

// Size is the size of the rectangle.
func (c *Canvas) Size() (x, y vg.Length) { return c.width, c.height }

// SetLineWidth implements vg.Canvas.
func (c *Canvas) SetLineWidth(w vg.Length) {
	c.now.width = w
	if w > 0 && w != c.now.said {
		c.now.said = w
		c.d.raw(number(w.Points()) + " w")
	}
}

// SetLineDash implements vg.Canvas.
func (c *Canvas) SetLineDash(pattern []vg.Length, offset vg.Length) {
	parts := make([]string, len(pattern))
	for i, p := range pattern {
		parts[i] = number(p.Points())
	}
	if dash := "[" + strings.Join(parts, " ") + "] " + number(offset.Points()) + " d"; dash != c.now.dash {
		c.now.dash = dash
		c.d.raw(dash)
	}
}

// SetColor implements vg.Canvas. Paper knows no transparency: the colour is
// laid over white.
func (c *Canvas) SetColor(clr color.Color) {
	if clr == nil {
		clr = color.Black
	}
	r, g, b, a := clr.RGBA()
	over := func(v uint32) uint8 { return uint8((v + 0xffff - a) >> 8) }
	c.now.color = color.RGBA{over(r), over(g), over(b), 0xff}
}

// Rotate implements vg.Canvas.
func (c *Canvas) Rotate(rad float64) {
	sin, cos := math.Sincos(rad)
	c.d.raw(precise(cos) + " " + precise(sin) + " " + precise(-sin) + " " + precise(cos) + " 0 0 cm")
}

// Translate implements vg.Canvas.
func (c *Canvas) Translate(pt vg.Point) {
	c.d.raw("1 0 0 1 " + number(pt.X.Points()) + " " + number(pt.Y.Points()) + " cm")
}

// Scale implements vg.Canvas.
func (c *Canvas) Scale(x, y float64) { c.d.raw(precise(x) + " 0 0 " + precise(y) + " 0 0 cm") }

// Push implements vg.Canvas.
func (c *Canvas) Push() {
	c.now.ink = c.d.now
	c.saved = append(c.saved, c.now)
	c.d.raw("q")
}

// Pop implements vg.Canvas.
func (c *Canvas) Pop() {
	if len(c.saved) == 0 {
		c.d.fail(errors.New("canvas: Pop without Push"))
		return
	}
	c.now = c.saved[len(c.saved)-1]
	c.saved = c.saved[:len(c.saved)-1]
	c.d.raw("Q")
	c.d.now = c.now.ink
}

// Stroke implements vg.Canvas.
func (c *Canvas) Stroke(p vg.Path) {
	if c.now.width <= 0 || len(p) == 0 {
		return
	}
	if c.now.color != c.now.stroked {
		c.now.stroked = c.now.color
		c.d.raw(colour(c.now.color, "RG"))
	}
	c.d.raw(pathOperators(p) + "S")
}

// Fill implements vg.Canvas.
func (c *Canvas) Fill(p vg.Path) {
	if len(p) == 0 {
		return
	}
	if c.now.color != c.d.now.fill {
		c.d.now.fill = c.now.color
		c.d.raw(colour(c.now.color, "rg"))
	}
	c.d.raw(pathOperators(p) + "f")
}

// FillString implements vg.Canvas. Of the face only weight, variant and size
// count: paper has three fonts.
func (c *Canvas) FillString(face font.Face, pt vg.Point, text string) {
	size := face.Font.Size.Points()
	f, shown := settle(byFace(face), text)
	if size <= 0 || strings.TrimSpace(shown) == "" {
		return
	}
	c.d.textAt(pt.X.Points(), pt.Y.Points(), f, size, c.now.color, shown)
}

// DrawImage implements vg.Canvas by refusing.
func (c *Canvas) DrawImage(vg.Rectangle, image.Image) {
	c.d.fail(errors.New("canvas: paper takes no pictures of dots"))
}

// TextWidth is the width of a text as FillString will print it.
func TextWidth(face font.Face, text string) vg.Length {
	f, shown := settle(byFace(face), text)
	return vg.Length(f.Width(shown, face.Font.Size.Points()))
}
