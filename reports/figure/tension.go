package figure

import (
	"math"

	"gonum.org/v1/plot/vg"
)

// Tension is the strip of bars, side A up and side B down from a common line,
// both to one scale.
type Tension struct {
	A, B Side
}

// Side is the readings of one side.
type Side struct {
	Heading  Heading
	Readings []Reading
	Mean     float64
	Allowed  float64 // largest deviation from the mean that is allowed, as a share of it; 0 for none
}

const (
	tensionBars = vg.Length(92) // both sides together
	leastBars   = vg.Length(26)
)

// top is the largest value that a side shows.
func (s Side) top() float64 {
	top := 0.0
	for _, r := range s.Readings {
		top = math.Max(top, r.Value)
	}
	if len(s.Readings) > 0 {
		top = math.Max(top, s.Mean*(1+s.Allowed))
	}
	return top
}

// rooms shares the height of the bars between the sides, so that both have one
// scale.
func (t Tension) rooms() (up, down vg.Length) {
	a, b := t.A.top(), t.B.top()
	switch {
	case a+b <= 0:
		return 0, 0
	case b <= 0:
		return tensionBars / 2, 0
	case a <= 0:
		return 0, tensionBars / 2
	}
	return tensionBars * vg.Length(a/(a+b)), tensionBars * vg.Length(b/(a+b))
}

func (t Tension) height(l Look, rim rim) vg.Length {
	up, down := t.rooms()
	h := vg.Length(0)
	if up > 0 {
		h += max(up, leastBars) + t.A.labels(l, rim).height
	}
	if down > 0 {
		h += max(down, leastBars) + t.B.labels(l, rim).height
	}
	return h
}

// labelling is how the values of a side are printed: beside one another, or
// upright where they would touch.
type labelling struct {
	upright bool
	few     bool
	height  vg.Length
}

func (s Side) labels(l Look, rim rim) labelling {
	few, touch := false, false
	var before []vg.Length // left and right ends of what is placed already
	for _, r := range s.Readings {
		w := max(l.width(false, smallSize, r.Text), l.width(false, smallSize, r.At))
		few = few || r.At != ""
		from := beside(rim.x(r.Place)-w/2, w, rim)
		for i := 0; i < len(before); i += 2 {
			touch = touch || from < before[i+1]+2 && before[i] < from+w+2
		}
		before = append(before, from, from+w)
	}
	if touch {
		longest := vg.Length(0)
		for _, r := range s.Readings {
			longest = max(longest, l.width(false, smallSize, s.uprightText(r)))
		}
		return labelling{upright: true, few: few, height: longest + 6}
	}
	if few {
		return labelling{few: true, height: 2*labelRow + 2}
	}
	return labelling{height: labelRow + 2}
}

// beside moves a label that would leave the strip back inside.
func beside(from, width vg.Length, rim rim) vg.Length {
	return max(headingRoom-10, min(from, rim.right+rightRoom-width))
}

func (s Side) uprightText(r Reading) string {
	if r.At != "" {
		return r.Text + ", " + r.At
	}
	return r.Text
}

func (t Tension) draw(c vg.Canvas, l Look, rim rim, y vg.Length) {
	up, down := t.rooms()
	base := y
	scale := vg.Length(0)
	if down > 0 {
		base += max(down, leastBars) + t.B.labels(l, rim).height
		scale = down / vg.Length(t.B.top())
	}
	if up > 0 {
		scale = up / vg.Length(t.A.top())
		t.A.draw(c, l, rim, base, scale, max(up, leastBars), 1)
	}
	if down > 0 {
		t.B.draw(c, l, rim, base, scale, max(down, leastBars), -1)
	}
	line(c, l.Ink, 1.2, nil, rim.left, base, rim.right, base)
}

// draw draws one side's bars from the common line, direction 1 up, -1 down.
func (s Side) draw(c vg.Canvas, l Look, rim rim, base, scale, room vg.Length, direction vg.Length) {
	half := rim.bar() / 2
	for _, r := range s.Readings {
		x, end := rim.x(r.Place), base+direction*scale*vg.Length(math.Max(r.Value, 0))
		if direction > 0 {
			c.SetColor(l.SideA)
			c.Fill(rectangle(x-half, base, x+half, end))
			continue
		}
		c.SetColor(l.SideB)
		c.SetLineWidth(0.6)
		c.Stroke(hatch(x-half, end, x+half, base, 2.2))
		c.SetLineWidth(0.8)
		c.Stroke(rectangle(x-half, end, x+half, base))
	}
	at := func(v float64) vg.Length { return base + direction*scale*vg.Length(v) }
	line(c, l.Ink, 0.7, nil, rim.left, at(s.Mean), rim.right, at(s.Mean))
	if s.Allowed > 0 {
		for _, limit := range []float64{s.Mean * (1 - s.Allowed), s.Mean * (1 + s.Allowed)} {
			line(c, l.Ink2, 0.7, limitDashes, rim.left, at(limit), rim.right, at(limit))
		}
	}
	s.values(c, l, rim, base+direction*room, direction)
	top := base + room
	if direction < 0 {
		top = base - 8
	}
	l.heading(c, s.Heading, top)
}

// values prints the readings in one row beyond the bars.
func (s Side) values(c vg.Canvas, l Look, rim rim, edge, direction vg.Length) {
	labels := s.labels(l, rim)
	// first and second are the baselines of two rows, the nearer first.
	first, second := edge+4, edge+4+labelRow
	if direction < 0 {
		first, second = edge-labelRow+1, edge-2*labelRow+1
	}
	for _, r := range s.Readings {
		x := rim.x(r.Place)
		switch {
		case labels.upright && direction > 0:
			l.upright(c, false, smallSize, l.Ink, x, edge+4, s.uprightText(r))
		case labels.upright:
			l.upright(c, false, smallSize, l.Ink, x, edge-4-l.width(false, smallSize, s.uprightText(r)), s.uprightText(r))
		default:
			l.centred(c, false, smallSize, l.Ink, x, first, headingRoom-10, rim.right+rightRoom, r.Text)
			if labels.few {
				l.centred(c, false, smallSize, l.Ink2, x, second, headingRoom-10, rim.right+rightRoom, r.At)
			}
		}
	}
}

// hatch gives lines rising to the right at 45 degrees inside a rectangle.
func hatch(x1, y1, x2, y2, step vg.Length) vg.Path {
	var p vg.Path
	for offset := step; offset < (x2-x1)+(y2-y1); offset += step {
		// The line x-x1 = y-y2+offset, cut by the sides.
		fromX, fromY := x1, y2-offset
		if fromY < y1 {
			fromX, fromY = x1+(y1-fromY), y1
		}
		toX, toY := x1+offset, y2
		if toX > x2 {
			toX, toY = x2, y2-(toX-x2)
		}
		if fromX < toX {
			p.Move(vg.Point{X: fromX, Y: fromY})
			p.Line(vg.Point{X: toX, Y: toY})
		}
	}
	return p
}
