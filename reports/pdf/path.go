package pdf

import (
	"math"
	"strconv"
	"strings"

	"gonum.org/v1/plot/vg"
)

// pathOperators writes a path in PDF's operators, a space behind the last.
func pathOperators(p vg.Path) string {
	var b strings.Builder
	put := func(operator string, points ...vg.Point) {
		for _, pt := range points {
			b.WriteString(number(pt.X.Points()) + " " + number(pt.Y.Points()) + " ")
		}
		b.WriteString(operator + " ")
	}
	var at, start vg.Point
	begun := false
	move := func(pt vg.Point) {
		put("m", pt)
		at, start, begun = pt, pt, true
	}
	for _, part := range p {
		if !begun && part.Type != vg.MoveComp && part.Type != vg.ArcComp {
			move(part.Pos)
		}
		switch part.Type {
		case vg.MoveComp:
			move(part.Pos)
		case vg.LineComp:
			put("l", part.Pos)
			at = part.Pos
		case vg.ArcComp:
			from := onCircle(part.Pos, part.Radius, part.Start)
			if !begun {
				move(from)
			} else if from != at {
				put("l", from)
			}
			for _, curve := range arcCurves(part) {
				put("c", curve[0], curve[1], curve[2])
				at = curve[2]
			}
		case vg.CurveComp:
			switch len(part.Control) {
			case 1: // A quadratic curve is a cubic one with its controls at two thirds (exact).
				q := part.Control[0]
				put("c", between(at, q, 2.0/3), between(part.Pos, q, 2.0/3), part.Pos)
			case 2:
				put("c", part.Control[0], part.Control[1], part.Pos)
			}
			at = part.Pos
		case vg.CloseComp:
			put("h")
			at = start
		}
	}
	return b.String()
}

// arcCurves turns an arc into cubic curves of a quarter circle at most: two
// control points and an end each. The controls lie 4/3 tan(step/4) of the
// radius along the tangents, the usual form; it is off by at most 0.03 % of
// the radius.
func arcCurves(arc vg.PathComp) [][3]vg.Point {
	pieces := int(math.Ceil(math.Abs(arc.Angle) / (math.Pi / 2)))
	if pieces == 0 {
		return nil
	}
	step := arc.Angle / float64(pieces)
	reach := 4.0 / 3 * math.Tan(step/4) * arc.Radius.Points()
	curves := make([][3]vg.Point, pieces)
	for i := range curves {
		from, to := arc.Start+float64(i)*step, arc.Start+float64(i+1)*step
		a, b := onCircle(arc.Pos, arc.Radius, from), onCircle(arc.Pos, arc.Radius, to)
		curves[i] = [3]vg.Point{
			{X: a.X - vg.Length(reach*math.Sin(from)), Y: a.Y + vg.Length(reach*math.Cos(from))},
			{X: b.X + vg.Length(reach*math.Sin(to)), Y: b.Y - vg.Length(reach*math.Cos(to))},
			b,
		}
	}
	return curves
}

func onCircle(centre vg.Point, radius vg.Length, angle float64) vg.Point {
	return vg.Point{X: centre.X + radius*vg.Length(math.Cos(angle)), Y: centre.Y + radius*vg.Length(math.Sin(angle))}
}

func between(a, b vg.Point, share float64) vg.Point {
	return vg.Point{X: a.X + vg.Length(share)*(b.X-a.X), Y: a.Y + vg.Length(share)*(b.Y-a.Y)}
}

// precise writes a factor, which needs more digits than a coordinate.
func precise(v float64) string {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return "0"
	}
	return strconv.FormatFloat(v, 'f', 6, 64)
}
