package gauge

import (
	"math"
	"testing"

	"tracewright/models/numbers/measure"
	"tracewright/models/numbers/stats"
)

// The first four as JCGM 100:2008 prints them: the mass of 7.2.2 with its
// standard uncertainty and of 7.2.4 with its expanded one in grams, the
// resistance and the frequency of 7.2.6. The guide may round 10.47 up to 11; here
// the nearest is taken.
func TestReported(t *testing.T) {
	for _, test := range []struct {
		value, uncertainty float64
		v, u               string
	}{
		{100.02147, 0.00035, "100.02147", "0.00035"},
		{100.02147, 0.00079, "100.02147", "0.00079"},
		{10.05762, 0.027, "10.058", "0.027"},
		{0, 28.05, "0", "28"},
		{0, 10.47, "0", "10"},
		{1.2345, 0.0996, "1.23", "0.10"},
		{1234, 99.6, "1230", "100"},
		{-98765, 1234, "-98800", "1200"},
		{0.21, 2, "0.2", "2.0"},
	} {
		v, u, err := Reported(test.value, test.uncertainty)
		if err != nil || v.String() != test.v || u.String() != test.u {
			t.Errorf("%v and %v: %v and %v, %v; want %s and %s", test.value, test.uncertainty, v, u, err, test.v, test.u)
		}
	}
	_, _, err := Reported(1, 0)
	refuses(t, err, stats.ErrOutOfRange, "uncertainty")
	_, _, err = Reported(math.NaN(), 1)
	refuses(t, err, stats.ErrNotFinite, "value")
	_, _, err = Reported(1, 5e-324)
	refuses(t, err, measure.ErrOutOfRange, "value")
	_, _, err = Reported(1e300, 1)
	refuses(t, err, measure.ErrOutOfRange, "value")
}
