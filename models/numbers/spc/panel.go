package spc

import "math"

// strip returns a panel with its centre at one height.
func strip(name string, points []float64, centre float64) Panel {
	return Panel{Name: name, Points: points, Centre: level(centre, len(points))}
}

// between draws limits at one height each.
func (p Panel) between(low, high float64) Panel {
	p.Low, p.High = level(low, len(p.Points)), level(high, len(p.Points))
	return p
}

// spreadLimits draws a high limit, and a low one where it lies above nothing: a spread
// or a count cannot fall below 0.
func (p Panel) spreadLimits(low, high float64) Panel {
	p.High = level(high, len(p.Points))
	if low > 0 {
		p.Low = level(low, len(p.Points))
	}
	return p
}

// level returns a line at one height, n points long.
func level(height float64, n int) []float64 {
	line := make([]float64, n)
	for i := range line {
		line[i] = height
	}
	return line
}

// allFinite reports whether no value is NaN or infinite: nothing of those is
// left by a multiplication by 0.
func allFinite(line []float64) bool {
	var rest float64
	for _, y := range line {
		rest += y * 0
	}
	return rest == 0
}

func finite(x float64) bool { return !math.IsNaN(x) && !math.IsInf(x, 0) }

// Beyond returns the points outside their limits, strictly; a point on its
// limit is inside. A nil line is no limit.
func Beyond(points, low, high []float64) []int {
	outside := []int{}
	for i, y := range points {
		if high != nil && y > high[i] || low != nil && y < low[i] {
			outside = append(outside, i)
		}
	}
	return outside
}
