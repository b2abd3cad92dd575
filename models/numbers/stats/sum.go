package stats

import "math"

// Sum returns the sum of the values with the lost low parts added back. Four
// running sums share the values in turn, which lets a processor work on all at
// once, and each gathers what its additions lose (Knuth's exact addition,
// Seminumerical Algorithms, 4.2.2, theorem B); the last few sums are joined by
// [compensated].
func Sum(x []float64) float64 {
	var s0, s1, s2, s3, l0, l1, l2, l3 float64
	i := 0
	for ; i+4 <= len(x); i += 4 {
		v := x[i : i+4 : i+4]
		t0, t1, t2, t3 := s0+v[0], s1+v[1], s2+v[2], s3+v[3]
		r0, r1, r2, r3 := t0-s0, t1-s1, t2-s2, t3-s3
		l0 += (s0 - (t0 - r0)) + (v[0] - r0)
		l1 += (s1 - (t1 - r1)) + (v[1] - r1)
		l2 += (s2 - (t2 - r2)) + (v[2] - r2)
		l3 += (s3 - (t3 - r3)) + (v[3] - r3)
		s0, s1, s2, s3 = t0, t1, t2, t3
	}
	var total compensated
	for _, v := range [...]float64{s0, s1, s2, s3} {
		total.add(v)
	}
	for _, v := range x[i:] {
		total.add(v)
	}
	return total.sum + (total.lost + ((l0 + l1) + (l2 + l3)))
}

// compensated is a running sum that keeps what its additions lose (Neumaier,
// Zeitschrift fuer Angewandte Mathematik und Mechanik 54, 1974).
type compensated struct{ sum, lost float64 }

func (c *compensated) add(v float64) {
	t := c.sum + v
	if math.Abs(c.sum) >= math.Abs(v) {
		c.lost += (c.sum - t) + v
	} else {
		c.lost += (v - t) + c.sum
	}
	c.sum = t
}

func (c *compensated) value() float64 { return c.sum + c.lost }

// block is how many values are added up plainly, in four running sums, before
// [compensated] joins them to the rest: the error is that of 64 additions,
// however many values there are.
const block = 256

// blockSum returns the sum of the values by blocks. It is four times as fast as
// [Sum] and loses their low parts, for a first mean that is corrected after.
func blockSum(x []float64) float64 {
	var sum compensated
	for len(x) > 0 {
		part := x[:min(block, len(x))]
		x = x[len(part):]
		var s0, s1, s2, s3 float64
		for ; len(part) >= 4; part = part[4:] {
			s0, s1, s2, s3 = s0+part[0], s1+part[1], s2+part[2], s3+part[3]
		}
		for _, v := range part {
			s0 += v
		}
		sum.add((s0 + s1) + (s2 + s3))
	}
	return sum.value()
}

// deviations are sums over d[i] = x[i] - centre: of d, of d squared, and of
// d[i] d[i+1].
type deviations struct{ sum, squares, products float64 }

// sumsAbout adds them up by blocks.
func sumsAbout(x []float64, centre float64) deviations {
	var sum, squares, products compensated
	last := 0. // The deviation before the first value, of no weight.
	for len(x) > 0 {
		part := x[:min(block, len(x))]
		x = x[len(part):]
		var s0, s1, s2, s3, q0, q1, q2, q3, p0, p1, p2, p3 float64
		for ; len(part) >= 4; part = part[4:] {
			d0, d1, d2, d3 := part[0]-centre, part[1]-centre, part[2]-centre, part[3]-centre
			s0, s1, s2, s3 = s0+d0, s1+d1, s2+d2, s3+d3
			q0, q1, q2, q3 = q0+d0*d0, q1+d1*d1, q2+d2*d2, q3+d3*d3
			p0, p1, p2, p3 = p0+last*d0, p1+d0*d1, p2+d1*d2, p3+d2*d3
			last = d3
		}
		for _, v := range part {
			d := v - centre
			s0, q0, p0 = s0+d, q0+d*d, p0+last*d
			last = d
		}
		sum.add((s0 + s1) + (s2 + s3))
		squares.add((q0 + q1) + (q2 + q3))
		products.add((p0 + p1) + (p2 + p3))
	}
	return deviations{sum.value(), squares.value(), products.value()}
}
