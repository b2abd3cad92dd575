package figure

import (
	"fmt"

	"gonum.org/v1/plot/vg"
)

// Wheel is a rim unrolled: spoke numbers along the page, with the strips that
// were read. A strip that is nil is left out.
type Wheel struct {
	Holes   int
	Lateral *RunOut
	Radial  *RunOut
	Tension *Tension
	Spoke   string // what the row of numbers is called
}

// rim is where the spokes stand along the page.
type rim struct {
	holes       int
	left, right vg.Length
}

func (w Wheel) rim(width vg.Length) rim {
	return rim{holes: max(w.Holes, 1), left: headingRoom, right: width - rightRoom}
}

func (r rim) pitch() vg.Length { return (r.right - r.left) / vg.Length(r.holes) }

// x is where a spoke stands, by its data index.
func (r rim) x(place int) vg.Length { return r.left + (vg.Length(place)+0.5)*r.pitch() }

func (r rim) bar() vg.Length  { return min(r.pitch()*0.62, 9) }
func (r rim) stem() vg.Length { return min(1.1, r.pitch()*0.2) }

const (
	numberRow = vg.Length(18)
	stripGap  = vg.Length(3)
)

// Height is the room a drawing of this width takes, in points.
func (w Wheel) Height(width vg.Length, l Look) vg.Length {
	h := numberRow
	for _, s := range []*RunOut{w.Lateral, w.Radial} {
		if s != nil {
			h += s.height() + stripGap
		}
	}
	if w.Tension != nil {
		h += w.Tension.height(l, w.rim(width))
	}
	return h
}

// Draw draws it from top to bottom.
func (w Wheel) Draw(c vg.Canvas, width vg.Length, l Look) {
	rim := w.rim(width)
	y := w.Height(width, l)
	for _, s := range []*RunOut{w.Lateral, w.Radial} {
		if s != nil {
			y -= s.height()
			s.draw(c, l, rim, y)
			y -= stripGap
		}
	}
	y -= numberRow
	w.numbers(c, l, rim, y+6)
	if w.Tension != nil {
		w.Tension.draw(c, l, rim, 0)
	}
}

// numbers prints spoke numbers as people count them, from 1, as many as there
// is room for; the step is even, so that all shown are of side A.
func (w Wheel) numbers(c vg.Canvas, l Look, rim rim, y vg.Length) {
	l.text(c, false, smallSize, l.Ink2, 0, y, w.Spoke)
	room := l.width(false, smallSize, fmt.Sprint(rim.holes)) + 4
	step := 2
	for vg.Length(step)*rim.pitch() < room {
		step += 2
	}
	for place := 0; place < rim.holes; place += step {
		l.centred(c, false, smallSize, l.Ink2, rim.x(place), y, rim.left-4, rim.right+rightRoom, fmt.Sprint(place+1))
	}
}
