package figure

import (
	"image/color"

	"gonum.org/v1/plot/vg"
)

// RunOut is one strip of the unrolled rim: lateral or radial.
type RunOut struct {
	Heading  Heading
	Readings []Reading
	Line     float64 // where the stems begin: the mean of the turn
	Limit    float64 // of highest less lowest; 0 for none
}

const runOutBand = vg.Length(42)

func (r RunOut) height() vg.Length { return max(runOutBand+2*labelRow, r.Heading.height()+labelRow) }

// draw puts the strip with its lower edge at y. The band of the limit lies
// about the middle of highest and lowest, since the limit is on their
// difference: both lie inside it exactly when the difference is within the
// limit.
func (r RunOut) draw(c vg.Canvas, l Look, rim rim, y vg.Length) {
	if len(r.Readings) == 0 {
		return
	}
	low, high := span(r.Readings)
	lowest, highest := r.Readings[low], r.Readings[high]
	top := y + r.height()
	middle := (lowest.Value + highest.Value) / 2
	values := []float64{lowest.Value, highest.Value, r.Line}
	if r.Limit > 0 {
		values = append(values, middle-r.Limit/2, middle+r.Limit/2)
	}
	s := over(y+labelRow+pad, top-labelRow-pad, values...)
	if r.Limit > 0 {
		up, down := s.at(middle+r.Limit/2), s.at(middle-r.Limit/2)
		c.SetColor(l.Band)
		c.Fill(rectangle(rim.left, down, rim.right, up))
		line(c, l.Ink2, 0.7, limitDashes, rim.left, up, rim.right, up)
		line(c, l.Ink2, 0.7, limitDashes, rim.left, down, rim.right, down)
	}
	base := s.at(r.Line)
	line(c, l.Line, hairline, nil, rim.left, base, rim.right, base)
	for _, reading := range r.Readings {
		x, at := rim.x(reading.Place), s.at(reading.Value)
		clr, square, dashes := l.side(reading.Place)
		line(c, clr, rim.stem(), dashes, x, base, x, at)
		l.dot(c, square, clr, x, at)
	}
	l.mark(c, rim, highest, top-labelRow+2.5)
	l.mark(c, rim, lowest, y+1.5)
	l.heading(c, r.Heading, top-labelRow+2)
}

// mark prints a value above or below its point.
func (l Look) mark(c vg.Canvas, rim rim, r Reading, y vg.Length) {
	text := r.Text
	if r.At != "" {
		text += ", " + r.At
	}
	l.centred(c, true, smallSize, l.Ink, rim.x(r.Place), y, rim.left, rim.right, text)
}

// side tells how a spoke is drawn: even data indices are side A.
func (l Look) side(place int) (clr color.Color, square bool, dashes []vg.Length) {
	if place%2 == 0 {
		return l.SideA, false, nil
	}
	return l.SideB, true, stemDashes
}
