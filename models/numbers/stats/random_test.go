package stats

import (
	"math"
	"testing"
)

// The numbers of splitmix64 for the seed 1234567, as they go round with the
// algorithm (Rosetta Code, pseudo-random numbers/splitmix64; from memory).
func TestSplitmix(t *testing.T) {
	chance := NewRandom(1234567)
	for i, want := range []uint64{6457827717110365317, 3203168211198807973, 9817491932198370423, 4593380528125082431, 16408922859458223821} {
		if got := chance.next(); got != want {
			t.Errorf("number %d: %d, want %d", i, got, want)
		}
	}
}

// Mean, standard deviation, tails and independence of neighbours, each within
// four standard errors.
func TestNormalNumbers(t *testing.T) {
	const n = 200_000
	chance := NewRandom(9)
	x := make([]float64, n)
	beyond := 0
	for i := range x {
		x[i] = chance.Normal()
		if math.Abs(x[i]) > 2 {
			beyond++
		}
	}
	s, err := Summarise(x)
	if err != nil {
		t.Fatal(err)
	}
	root := math.Sqrt(n)
	near(t, "mean", s.Mean, 0, 4/root)
	near(t, "standard deviation", s.SD, 1, 4/(root*math.Sqrt2))
	near(t, "neighbours", s.Lag1, 0, 4/root)
	p := 2 * NormalAbove(2)
	near(t, "beyond two", float64(beyond)/n, p, 4*math.Sqrt(p*(1-p))/root)
}
