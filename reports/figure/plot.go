package figure

import (
	"math"
	"strconv"
	"strings"

	"gonum.org/v1/plot/vg"

	"tracewright/models"
)

// Plot is a plot with its words: what stands along it, and its unit as people read
// it.
type Plot struct {
	Plot   models.Plot
	Labels []string // one a point
	Unit   string
}

// Sizes of a plot, in points.
const (
	plotHeight = vg.Length(112)
	barHeight  = vg.Length(15)
	axisRow    = vg.Length(13) // the row of labels below
	dotRadius  = vg.Length(2)
	signalHalf = vg.Length(4.2) // half the side of the square round a signal
	capHalf    = vg.Length(2)   // half the cap of an interval
)

// Height is what the drawing needs.
func (p Plot) Height() vg.Length {
	if p.Plot.Shape == models.PlotBars {
		return barHeight*vg.Length(max(len(p.Plot.Points), 1)) + 2*pad
	}
	return plotHeight
}

// Draw draws it from its lower left corner, width wide and Height high. Nothing in it
// needs colour: a value is a dot, what is expected a line with dashed limits, a
// signal a square round its dot.
func (p Plot) Draw(c vg.Canvas, width vg.Length, l Look) {
	if p.Plot.Shape == models.PlotBars {
		p.bars(c, width, l)
		return
	}
	p.dots(c, width, l)
}

// extent is the range of everything that is drawn up the axis, with some air; zero
// is in it where the plot says so, and a share stays between 0 and 100.
func (p Plot) extent() (low, high float64) {
	low, high = math.Inf(1), math.Inf(-1)
	for _, pt := range p.Plot.Points {
		for _, v := range []*float64{pt.Value, pt.Low, pt.High, pt.Centre, pt.Lower, pt.Upper} {
			if v != nil {
				low, high = math.Min(low, *v), math.Max(high, *v)
			}
		}
	}
	if low > high {
		return 0, 1 // Nothing is there to be drawn.
	}
	least := low
	if p.Plot.Zero {
		low = math.Min(low, 0)
	}
	air := (high - low) * 0.06
	if air == 0 {
		air = math.Max(math.Abs(high)*0.06, 0.5)
	}
	high += air
	if !p.Plot.Zero || low < 0 {
		low -= air
	}
	if least >= 0 {
		low = math.Max(low, 0)
	}
	if p.Plot.Unit == "%" {
		high = math.Min(high, 100)
	}
	return low, high
}

// ticks are round values between two, some four of them.
func ticks(low, high float64) []float64 {
	step := math.Pow(10, math.Floor(math.Log10((high-low)/4)))
	for _, by := range []float64{1, 2, 5, 10} {
		if (high-low)/(step*by) <= 5 {
			step *= by
			break
		}
	}
	var out []float64
	for v := math.Ceil(low/step) * step; v <= high+step*1e-9 && len(out) < 12; v += step {
		out = append(out, v)
	}
	return out
}

// said is a number as it stands at the axis: as few decimals as tell the ticks apart.
func said(v, step float64) string {
	decimals := 0
	if step < 1 {
		decimals = int(math.Ceil(-math.Log10(step) - 1e-9))
	}
	text := strconv.FormatFloat(v, 'f', decimals, 64)
	if strings.Trim(text, "-0.") == "" {
		return strings.TrimPrefix(text, "-")
	}
	return strings.Replace(text, "-", "\u2212", 1)
}

func (p Plot) dots(c vg.Canvas, width vg.Length, l Look) {
	low, high := p.extent()
	at := ticks(low, high)
	step := high - low
	if len(at) > 1 {
		step = at[1] - at[0]
	}
	left := vg.Length(0)
	for _, v := range at {
		left = max(left, l.width(false, smallSize, said(v, step)))
	}
	left += 6
	top, bottom := plotHeight-vg.Length(smallSize)*2, axisRow
	y := func(v float64) vg.Length { return bottom + (top-bottom)*vg.Length((v-low)/(high-low)) }
	n := len(p.Plot.Points)
	wide := width - left - rightRoom
	x := func(i int) vg.Length { return left + wide*(vg.Length(i)+0.5)/vg.Length(max(n, 1)) }

	l.text(c, false, smallSize, l.Ink2, 0, plotHeight-vg.Length(smallSize), p.Unit)
	c.SetLineWidth(hairline)
	for _, v := range at {
		c.SetColor(l.Line)
		stroke(c, left, y(v), width-rightRoom, y(v))
		text := said(v, step)
		l.text(c, false, smallSize, l.Ink2, left-4-l.width(false, smallSize, text), y(v)-vg.Length(smallSize*0.34), text)
	}
	p.limits(c, l, x, y, wide/vg.Length(max(n, 1)))
	c.SetLineWidth(0.8)
	for i := 1; i < n; i++ {
		if a, b := p.Plot.Points[i-1].Value, p.Plot.Points[i].Value; a != nil && b != nil {
			c.SetColor(l.Ink2)
			stroke(c, x(i-1), y(*a), x(i), y(*b))
		}
	}
	radius, half := dotRadius, signalHalf
	if n > 40 {
		radius, half = 1.3, 2.7
	}
	for i, pt := range p.Plot.Points {
		if pt.Value == nil {
			continue
		}
		c.SetColor(l.Ink)
		if pt.Low != nil && pt.High != nil {
			c.SetLineWidth(0.7)
			stroke(c, x(i), y(*pt.Low), x(i), y(*pt.High))
		}
		dot(c, x(i), y(*pt.Value), radius)
		if pt.Signal {
			c.SetLineWidth(1.1)
			square(c, x(i), y(*pt.Value), half)
		}
	}
	p.along(c, width, l, x)
}

// limits draws what is expected at each place: the centre through, the limits dashed.
// Each has its own, for weeks differ in how much was read.
func (p Plot) limits(c vg.Canvas, l Look, x func(int) vg.Length, y func(float64) vg.Length, pitch vg.Length) {
	for i, pt := range p.Plot.Points {
		for _, line := range []struct {
			v    *float64
			dash []vg.Length
		}{{pt.Centre, nil}, {pt.Lower, []vg.Length{3, 2}}, {pt.Upper, []vg.Length{3, 2}}} {
			if line.v == nil {
				continue
			}
			c.SetColor(l.Ink2)
			c.SetLineWidth(0.8)
			c.SetLineDash(line.dash, 0)
			stroke(c, x(i)-pitch/2, y(*line.v), x(i)+pitch/2, y(*line.v))
		}
	}
	c.SetLineDash(nil, 0)
}

// along prints as many labels below as have room, the last one always.
func (p Plot) along(c vg.Canvas, width vg.Length, l Look, x func(int) vg.Length) {
	edge := width + 1
	for i := len(p.Plot.Points) - 1; i >= 0 && i < len(p.Labels); i-- {
		w := l.width(false, smallSize, p.Labels[i])
		from := max(0, min(x(i)-w/2, width-w))
		if p.Labels[i] == "" || from+w+8 > edge {
			continue
		}
		l.text(c, false, smallSize, l.Ink2, from, vg.Length(smallSize*0.3), p.Labels[i])
		edge = from
	}
}

// bars lie: their names are words, which do not fit below one another.
func (p Plot) bars(c vg.Canvas, width vg.Length, l Look) {
	_, high := p.extent()
	names := vg.Length(0)
	for _, name := range p.Labels {
		names = max(names, l.width(false, smallSize, name))
	}
	names = min(names, width*0.46) + 6
	room := vg.Length(0)
	for _, pt := range p.Plot.Points {
		room = max(room, l.width(true, smallSize, p.value(pt)))
	}
	room += 6
	long := width - names - room
	y := p.Height() - pad - barHeight
	for i, pt := range p.Plot.Points {
		middle := y + barHeight/2
		if i < len(p.Labels) {
			l.text(c, false, smallSize, l.Ink, 0, middle-vg.Length(smallSize*0.34), l.cut(p.Labels[i], names-6))
		}
		if pt.Value != nil && high > 0 {
			at := func(v float64) vg.Length { return names + long*vg.Length(v/high) }
			c.SetColor(l.Line)
			fill(c, names, middle-barHeight*0.3, at(*pt.Value), middle+barHeight*0.3)
			c.SetColor(l.Ink2)
			c.SetLineWidth(hairline)
			box(c, names, middle-barHeight*0.3, at(*pt.Value), middle+barHeight*0.3)
			if pt.Low != nil && pt.High != nil {
				c.SetColor(l.Ink)
				c.SetLineWidth(0.9)
				stroke(c, at(*pt.Low), middle, at(*pt.High), middle)
				stroke(c, at(*pt.Low), middle-capHalf, at(*pt.Low), middle+capHalf)
				stroke(c, at(*pt.High), middle-capHalf, at(*pt.High), middle+capHalf)
			}
			l.text(c, true, smallSize, l.Ink, names+long+6, middle-vg.Length(smallSize*0.34), p.value(pt))
		}
		y -= barHeight
	}
}

func (p Plot) value(pt models.PlotPoint) string {
	if pt.Value == nil {
		return ""
	}
	return strings.Replace(strconv.FormatFloat(*pt.Value, 'f', p.Plot.Decimals, 64), "-", "\u2212", 1)
}

// cut shortens a text to a width.
func (l Look) cut(text string, width vg.Length) string {
	if l.width(false, smallSize, text) <= width {
		return text
	}
	letters := []rune(text)
	for len(letters) > 1 && l.width(false, smallSize, string(letters)+"…") > width {
		letters = letters[:len(letters)-1]
	}
	return string(letters) + "…"
}

func stroke(c vg.Canvas, x1, y1, x2, y2 vg.Length) {
	var p vg.Path
	p.Move(vg.Point{X: x1, Y: y1})
	p.Line(vg.Point{X: x2, Y: y2})
	c.Stroke(p)
}

func fill(c vg.Canvas, x1, y1, x2, y2 vg.Length) { c.Fill(rectangle(x1, y1, x2, y2)) }

func box(c vg.Canvas, x1, y1, x2, y2 vg.Length) { c.Stroke(rectangle(x1, y1, x2, y2)) }

func square(c vg.Canvas, x, y, half vg.Length) { box(c, x-half, y-half, x+half, y+half) }

func dot(c vg.Canvas, x, y, radius vg.Length) {
	var p vg.Path
	p.Move(vg.Point{X: x + radius, Y: y})
	p.Arc(vg.Point{X: x, Y: y}, radius, 0, 2*math.Pi)
	p.Close()
	c.Fill(p)
}
