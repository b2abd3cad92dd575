package stats

import "math"

// zeroBetween returns where f, of opposite signs at low and high, is 0, to the
// last digits of a double. Of equal signs, which rounding makes where the zero
// is one of the ends, the end nearer to 0 is the answer. The search only ever
// shrinks the bracket, at most 200 times. Inverse quadratic interpolation where it is safe, halving otherwise
// (Chandrupatla, Advances in Engineering Software 28, 1997).
func zeroBetween(f func(float64) float64, low, high float64) float64 {
	a, b := high, low
	fa, fb := f(a), f(b)
	if math.Signbit(fa) == math.Signbit(fb) {
		if math.Abs(fa) < math.Abs(fb) {
			return a
		}
		return b
	}
	c, fc := a, fa
	t := 0.5
	for range 200 {
		x := a + t*(b-a)
		fx := f(x)
		if math.Signbit(fx) == math.Signbit(fa) {
			c, fc = a, fa
		} else {
			c, fc = b, fb
			b, fb = a, fa
		}
		a, fa = x, fx
		best, fbest := a, fa
		if math.Abs(fb) < math.Abs(fa) {
			best, fbest = b, fb
		}
		width := math.Abs(b - a)
		least := 2e-16*math.Abs(best) + 5e-324
		if fbest == 0 || width <= 2*least {
			return best
		}
		t = 0.5
		xi, phi := (a-b)/(c-b), (fa-fb)/(fc-fb)
		if phi*phi < xi && (1-phi)*(1-phi) < 1-xi {
			t = fa/(fb-fa)*(fc/(fb-fc)) + (c-a)/(b-a)*(fa/(fc-fa))*(fb/(fc-fb))
		}
		edge := least / width
		if !(t >= edge) {
			t = edge
		}
		if t > 1-edge {
			t = 1 - edge
		}
	}
	return a + (b-a)/2
}
