package gauge

import (
	"errors"
	"math"
	"testing"

	"pgregory.net/rapid"

	"tracewright/models/numbers/stats"
)

// By hand from the slopes of Fritsch and Butland (1984) with three-point ends,
// and the cubic of Hermite: on (0, 0), (1, 1), (3, 2) the secants are 1 and 1/2,
// the inner slope 9/(5/1 + 4/0.5) = 9/13, the ends (4x1 - 0.5)/3 = 7/6 and
// (5x0.5 - 2)/3 = 1/6; in the middle of an interval of length h the cubic is
// the mean of its ends plus h/8 times the fall of the slope.
func TestMonotoneCubicByHand(t *testing.T) {
	for _, test := range []struct {
		name    string
		points  []Point
		reading float64
		want    float64
	}{
		{"first interval", []Point{{0, 0}, {1, 1}, {3, 2}}, 0.5, 0.5 + (7./6-9./13)/8},
		{"second interval", []Point{{0, 0}, {1, 1}, {3, 2}}, 2, 1.5 + 2*(9./13-1./6)/8},
		{"a straight line stays one", []Point{{0, 5}, {1, 7}, {4, 13}, {5, 15}}, 2.3, 9.6},
		{"two points", []Point{{0, 5}, {2, 6}}, 0.5, 5.25},
		{"a peak is flat", []Point{{0, 0}, {1, 1}, {2, 0}}, 0.5, 0.75},
		{"falling", []Point{{0, 2}, {2, 1}, {3, 0}}, 1, 1.5 + 2*(-1./6+9./13)/8},
	} {
		t.Run(test.name, func(t *testing.T) {
			c, err := NewCurve(test.points, MonotoneCubic, false)
			if err != nil {
				t.Fatal(err)
			}
			got, err := c.Value(test.reading)
			if err != nil {
				t.Fatal(err)
			}
			near(t, "value", got, test.want, 1e-12)
		})
	}
}

// Fritsch and Carlson's example of a sharp rise (SIAM Journal on Numerical
// Analysis 17, 1980), data from memory: a cubic spline overshoots on it, this
// curve must not.
func TestSharpRise(t *testing.T) {
	points := []Point{
		{7.99, 0}, {8.09, 2.76429e-5}, {8.19, 4.37498e-2}, {8.7, 0.169183}, {9.2, 0.469428},
		{10, 0.943740}, {12, 0.998636}, {15, 0.999919}, {20, 0.999994},
	}
	c, err := NewCurve(points, MonotoneCubic, true)
	if err != nil {
		t.Fatal(err)
	}
	last := -1.0
	for i := range 2000 {
		got, err := c.Value(7.99 + float64(i)*12.01/2000)
		if err != nil || got < last || got < 0 || got > 0.999994 {
			t.Fatalf("step %d: %v after %v, %v", i, got, last, err)
		}
		last = got
	}
}

// drawTable makes a strictly rising table.
func drawTable(r *rapid.T) []Point {
	points := make([]Point, rapid.IntRange(2, 12).Draw(r, "points"))
	p := Point{rapid.Float64Range(-100, 100).Draw(r, "first reading"), rapid.Float64Range(-100, 100).Draw(r, "first value")}
	for i := range points {
		p.Reading += rapid.Float64Range(0.01, 50).Draw(r, "step")
		p.Value += rapid.Float64Range(0.001, 500).Draw(r, "rise")
		points[i] = p
	}
	return points
}

// Both ways pass through the points, rise between them and stay between
// neighbours, do not depend on the order of the table, turn over with its sign,
// and know nothing outside.
func TestCurveProperties(t *testing.T) {
	for _, how := range []Interpolation{Linear, MonotoneCubic} {
		rapid.Check(t, func(r *rapid.T) {
			points := drawTable(r)
			c, err := NewCurve(rapid.Permutation(points).Draw(r, "order"), how, true)
			if err != nil {
				r.Fatal(err)
			}
			turned := make([]Point, len(points))
			for i, p := range points {
				turned[i] = Point{p.Reading, -p.Value}
			}
			down, err := NewCurve(turned, how, true)
			if err != nil {
				r.Fatal(err)
			}
			value := func(of *Curve, reading float64) float64 {
				v, err := of.Value(reading)
				if err != nil {
					r.Fatal(err)
				}
				return v
			}
			for i, p := range points {
				if got := value(c, p.Reading); got != p.Value {
					r.Fatalf("at the point %v: %v", p, got)
				}
				if i == 0 {
					continue
				}
				before := points[i-1]
				last := before.Value
				for step := 1; step < 20; step++ {
					reading := before.Reading + (p.Reading-before.Reading)*float64(step)/20
					got := value(c, reading)
					if got < last-1e-9*(1+math.Abs(last)) || got < before.Value || got > p.Value {
						r.Fatalf("%s from %v to %v: %v at %v after %v", how, before, p, got, reading, last)
					}
					if flipped := value(down, reading); math.Abs(flipped+got) > 1e-9*(1+math.Abs(got)) {
						r.Fatalf("turned over %v, want %v", flipped, -got)
					}
					last = got
				}
			}
			low, high := c.Range()
			for _, beyond := range []float64{math.Nextafter(low, math.Inf(-1)), math.Nextafter(high, math.Inf(1)), low - 1, high + 1e9} {
				if v, err := c.Value(beyond); !errors.Is(err, ErrOutOfCalibratedRange) {
					r.Fatalf("outside, at %v: %v, %v", beyond, v, err)
				}
			}
		})
	}
}

func TestCurveRefuses(t *testing.T) {
	good := []Point{{1, 1}, {2, 2}}
	for _, test := range []struct {
		name     string
		points   []Point
		how      Interpolation
		monotone bool
		reason   error
		argument string
	}{
		{"no way", good, "freehand", false, stats.ErrOutOfRange, "interpolation"},
		{"nothing", nil, Linear, false, stats.ErrTooFew, "points"},
		{"one point", good[:1], Linear, false, stats.ErrTooFew, "points"},
		{"a reading twice", []Point{{2, 2}, {1, 1}, {2, 3}}, Linear, false, stats.ErrOutOfRange, "points"},
		{"rise and fall where it must not", []Point{{1, 1}, {2, 3}, {3, 2}}, Linear, true, ErrNotMonotone, "points"},
		{"level where it must not be", []Point{{1, 1}, {2, 1}}, MonotoneCubic, true, ErrNotMonotone, "points"},
		{"NaN reading", []Point{{1, 1}, {math.NaN(), 2}}, Linear, false, stats.ErrNotFinite, "points[1].reading"},
		{"infinite value", []Point{{1, 1}, {2, math.Inf(-1)}}, Linear, false, stats.ErrNotFinite, "points[1].value"},
		{"range beyond a double", []Point{{-math.MaxFloat64, 1}, {math.MaxFloat64, 2}}, Linear, false, stats.ErrOutOfRange, "points"},
		{"slope beyond a double", []Point{{0, 0}, {5e-324, 1e300}, {1, 1e301}}, MonotoneCubic, false, stats.ErrNotFinite, "points"},
		{"too many points", make([]Point, mostPoints+1), Linear, false, ErrTooMuch, "points"},
	} {
		t.Run(test.name, func(t *testing.T) {
			_, err := NewCurve(test.points, test.how, test.monotone)
			if err == nil {
				t.Fatal("made a curve")
			}
			refuses(t, err, test.reason, test.argument)
		})
	}
	if _, err := NewCurve([]Point{{1, 1}, {2, 3}, {3, 2}}, Linear, false); err != nil {
		t.Errorf("rise and fall where it may: %v", err)
	}
	c, err := NewCurve(good, Linear, false)
	if err != nil {
		t.Fatal(err)
	}
	_, err = c.Value(math.NaN())
	refuses(t, err, stats.ErrNotFinite, "reading")
	_, err = c.Value(2.0000001)
	refuses(t, err, ErrOutOfCalibratedRange, "reading")
}
