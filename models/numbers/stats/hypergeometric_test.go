package stats

import (
	"errors"
	"math"
	"math/big"
	"testing"
)

// The definition in exact integers: C(marked, x) C(lot-marked, drawn-x) over
// C(lot, drawn), summed.
func TestHypergeometricAgainstIntegers(t *testing.T) {
	for _, lot := range []int64{1, 2, 7, 20, 61} {
		for marked := int64(0); marked <= lot; marked += 1 + lot/9 {
			for drawn := int64(0); drawn <= lot; drawn += 1 + lot/7 {
				sum, whole := new(big.Int), new(big.Int).Binomial(lot, drawn)
				for k := int64(0); k <= drawn; k++ {
					ways := new(big.Int).Binomial(marked, k)
					sum.Add(sum, ways.Mul(ways, new(big.Int).Binomial(lot-marked, drawn-k)))
					want, _ := new(big.Rat).SetFrac(sum, whole).Float64()
					rest, _ := new(big.Rat).SetFrac(new(big.Int).Sub(whole, sum), whole).Float64()
					below, err := HypergeometricBelow(float64(k), float64(lot), float64(marked), float64(drawn))
					above, errAbove := HypergeometricAbove(float64(k), float64(lot), float64(marked), float64(drawn))
					if err != nil || errAbove != nil || math.Abs(below-want) > 1e-13 || math.Abs(above-rest) > 1e-13 {
						t.Fatalf("%d of %d from %d, %d or fewer: %v and %v, %v, %v; want %v and %v", drawn, marked, lot, k, below, above, err, errAbove, want, rest)
					}
				}
			}
		}
	}
}

// A lot without end draws like a binomial, one with few marked has a closed form.
func TestHypergeometricOfLargeLots(t *testing.T) {
	const lot, marked, drawn = 1e9, 2., 3e8
	// None of two marked among 3e8 of 1e9.
	want := (lot - drawn) / lot * (lot - drawn - 1) / (lot - 1)
	if got, err := HypergeometricBelow(0, lot, marked, drawn); err != nil || math.Abs(got-want) > 1e-13 {
		t.Errorf("none of two: %.16g, %v; want %.16g", got, err, want)
	}
	binomial, err := BinomialBelow(50, 1000, 0.05)
	if err != nil {
		t.Fatal(err)
	}
	// The difference is of the order of drawn/lot.
	if got, err := HypergeometricBelow(50, 1e10, 5e8, 1000); err != nil || math.Abs(got-binomial) > 1e-7 {
		t.Errorf("of 1e10: %.12g, %v; binomial %.12g", got, err, binomial)
	}
	middle, err := HypergeometricBelow(2.5e8, 1e9, 5e8, 5e8)
	other, errOther := HypergeometricAbove(2.5e8-1, 1e9, 5e8, 5e8)
	if err != nil || errOther != nil || math.Abs(middle-other) > 1e-10 {
		t.Errorf("half of half: %.14g and %.14g should be one by symmetry, %v, %v", middle, other, err, errOther)
	}
}

func TestHypergeometricRefuses(t *testing.T) {
	for name, arguments := range map[string][4]float64{
		"drawn": {0, 5, 1, 6}, "marked": {0, 5, 6, 1}, "lot": {0, 1e18, 1, 1}, "k": {math.NaN(), 5, 1, 1},
	} {
		_, err := HypergeometricBelow(arguments[0], arguments[1], arguments[2], arguments[3])
		var named *ArgumentError
		if !errors.As(err, &named) || named.Argument != name {
			t.Errorf("%v: %v; want an error about %s", arguments, err, name)
		}
	}
	if _, err := HypergeometricBelow(0, 5, -1, 1); !errors.Is(err, ErrOutOfRange) {
		t.Errorf("negative marked: %v", err)
	}
}
