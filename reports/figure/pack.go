package figure

import (
	"fmt"
	"math"

	"gonum.org/v1/plot/vg"
)

// String is one string of a pack in its real order, minus on the left.
type String struct {
	Name       string // "String 1", empty where a pack has one string
	Blocks     int
	Voltage    *Strip
	Resistance *Strip
}

// Strip is one quantity of the blocks of a string. Middle, Reach and Limit are
// the whole pack's, so that strings can be compared.
type Strip struct {
	Heading  Heading
	Readings []Reading // Place is the block's place less one
	Middle   float64   // the pack's own: its median
	Reach    float64   // largest distance of any block of the pack from it
	Limit    float64   // of highest less lowest; 0 for none
	// Centre is the middle of the pack's highest and lowest; the band of the
	// limit lies about it.
	Centre float64
}

const (
	loneBand  = vg.Length(44) // height of a strip in a pack of one string
	stripBand = vg.Length(34) // and of several
	blockRow  = vg.Length(15)
	poleRoom  = vg.Length(11)
)

func (s String) rim(width vg.Length) rim {
	return rim{holes: max(s.Blocks, 1), left: headingRoom + poleRoom, right: width - rightRoom - poleRoom}
}

// Height is the room a drawing of this width takes, in points.
func (s String) Height(width vg.Length, l Look) vg.Length {
	return blockRow + 8 + s.voltageHeight(width, l) + s.resistanceHeight(width, l)
}

func (s String) band() vg.Length {
	if s.Name == "" {
		return loneBand
	}
	return stripBand
}

// voltageHeight: the heading stands beside the band, below the row of values.
func (s String) voltageHeight(width vg.Length, l Look) vg.Length {
	if s.Voltage == nil {
		return 0
	}
	return max(s.band(), s.Voltage.Heading.height()) + s.Voltage.labelHeight(l, s.rim(width))
}

// resistanceHeight: the heading stands beside the band and the row of values.
func (s String) resistanceHeight(width vg.Length, l Look) vg.Length {
	if s.Resistance == nil {
		return 0
	}
	return max(s.band()+s.Resistance.labelHeight(l, s.rim(width)), s.Resistance.Heading.height())
}

// Draw draws voltage above the blocks and resistance below them.
func (s String) Draw(c vg.Canvas, width vg.Length, l Look) {
	rim := s.rim(width)
	y := s.Height(width, l)
	if s.Voltage != nil {
		h := s.voltageHeight(width, l)
		s.Voltage.draw(c, l, rim, y-h, y, true)
		y -= h
	}
	y -= blockRow + 4
	s.blocks(c, l, rim, y)
	if s.Resistance != nil {
		s.Resistance.draw(c, l, rim, 0, y-4, false)
	}
}

// blocks draws the string itself: boxes joined by a line, with their places.
func (s String) blocks(c vg.Canvas, l Look, rim rim, y vg.Length) {
	middle := y + blockRow/2
	l.text(c, true, nameSize, l.Ink, 0, middle-3, s.Name)
	line(c, l.Ink, 1, nil, rim.left-3, middle, rim.right+3, middle)
	half := min(rim.pitch()*0.4, 26)
	for place := range s.Blocks {
		x := rim.x(place)
		box := rectangle(x-half, y, x+half, y+blockRow)
		c.SetColor(l.Band)
		c.Fill(box)
		c.SetColor(l.Ink)
		c.SetLineWidth(0.8)
		c.Stroke(box)
		l.centred(c, false, smallSize, l.Ink, x, y+4.6, rim.left, rim.right, fmt.Sprint(place+1))
	}
	l.centred(c, true, nameSize, l.Ink, rim.left-8, middle-3, headingRoom-4, rim.left-3, "\u2212")
	l.centred(c, true, nameSize, l.Ink, rim.right+8, middle-3, rim.right+3, rim.right+poleRoom+rightRoom, "+")
}

// labelHeight is the height of the row of values, upright where they would
// touch.
func (s Strip) labelHeight(l Look, rim rim) vg.Length {
	if widest := s.widest(l); widest+3 > rim.pitch() {
		return widest + 5
	}
	return labelRow
}

func (s Strip) widest(l Look) vg.Length {
	widest := vg.Length(0)
	for _, r := range s.Readings {
		widest = max(widest, l.width(false, smallSize, r.Text))
	}
	return widest
}

// draw draws stems from the pack's middle between bottom and top, the row of
// values on the far side of the blocks.
func (s Strip) draw(c vg.Canvas, l Look, rim rim, bottom, top vg.Length, above bool) {
	labels := s.labelHeight(l, rim)
	low, high := bottom, top-labels
	if !above {
		low, high = bottom+labels, top
	}
	reach := math.Max(s.Reach, s.Limit/2+math.Abs(s.Centre-s.Middle))
	scale := over(low+pad, high-pad, s.Middle-reach, s.Middle+reach)
	if s.Limit > 0 {
		up, down := scale.at(s.Centre+s.Limit/2), scale.at(s.Centre-s.Limit/2)
		c.SetColor(l.Band)
		c.Fill(rectangle(rim.left, down, rim.right, up))
		line(c, l.Ink2, 0.7, limitDashes, rim.left, up, rim.right, up)
		line(c, l.Ink2, 0.7, limitDashes, rim.left, down, rim.right, down)
	}
	base := scale.at(s.Middle)
	line(c, l.Ink2, hairline, nil, rim.left, base, rim.right, base)
	upright := labels > labelRow
	for _, r := range s.Readings {
		x, at := rim.x(r.Place), scale.at(r.Value)
		clr, dashes := l.SideA, []vg.Length(nil)
		if !above {
			clr, dashes = l.SideB, stemDashes
		}
		line(c, clr, min(1.3, rim.pitch()*0.2), dashes, x, base, x, at)
		l.dot(c, !above, clr, x, at)
		switch {
		case upright && above:
			l.upright(c, false, smallSize, l.Ink, x, high+2, r.Text)
		case upright:
			l.upright(c, false, smallSize, l.Ink, x, low-2-l.width(false, smallSize, r.Text), r.Text)
		case above:
			l.centred(c, false, smallSize, l.Ink, x, high+2.5, rim.left-poleRoom, rim.right+poleRoom, r.Text)
		default:
			l.centred(c, false, smallSize, l.Ink, x, low-8.5, rim.left-poleRoom, rim.right+poleRoom, r.Text)
		}
	}
	l.heading(c, s.Heading, high)
}
