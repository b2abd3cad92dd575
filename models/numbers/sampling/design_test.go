package sampling

import (
	"math"
	"math/big"
	"testing"

	"pgregory.net/rapid"

	"tracewright/models/numbers/stats"
)

// none is C(lot-bad, n)/C(lot, n) in exact fractions.
func none(lot, bad, n int) *big.Rat {
	return new(big.Rat).SetFrac(new(big.Int).Binomial(int64(lot-bad), int64(n)), new(big.Int).Binomial(int64(lot), int64(n)))
}

// The definition, in exact fractions: n keeps the risk, n-1 does not.
func TestZeroAcceptanceIsTheLeast(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		lot := rapid.IntRange(1, 300).Draw(t, "lot")
		bad := rapid.IntRange(1, lot).Draw(t, "bad")
		// A risk that is met exactly by some n, or any other.
		risk := none(lot, bad, rapid.IntRange(1, lot).Draw(t, "exact"))
		if risk.Sign() == 0 || risk.Cmp(big.NewRat(1, 1)) >= 0 || rapid.Bool().Draw(t, "any") {
			risk.SetFloat64(rapid.Float64Range(1e-6, 0.999).Draw(t, "risk"))
		}
		asked, _ := risk.Float64()
		got, err := ZeroAcceptance(lot, bad, asked)
		if err != nil {
			t.Fatal(err)
		}
		want, _ := none(lot, bad, got.Size).Float64()
		if none(lot, bad, got.Size).Cmp(risk) > 0 || got.Size > 0 && none(lot, bad, got.Size-1).Cmp(risk) <= 0 || math.Abs(got.Accepts-want) > 1e-12 {
			t.Errorf("%d bad of %d at %v: %+v, which is %v", bad, lot, asked, got, want)
		}
	})
}

// Of a lot beyond counting, missing all is (1 - bad/lot)^n.
func TestZeroAcceptanceOfLargeLots(t *testing.T) {
	got, err := ZeroAcceptance(MaxLot, MaxLot/100, 0.05)
	// ln 0.05 / ln 0.99 = 298.07.
	if err != nil || got.Size != 299 {
		t.Errorf("%+v, %v; want 299", got, err)
	}
	got, err = ZeroAcceptance(MaxLot, 1, 0.25)
	if err != nil || got.Size != MaxLot*3/4 {
		t.Errorf("%+v, %v; want three quarters of the lot", got, err)
	}
}

// The definition, tried from the bottom: every smaller c misses one of the
// risks at its own smallest n.
func TestTwoPointIsTheLeast(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := Risks{
			Good:     rapid.Float64Range(0.001, 0.1).Draw(t, "p1"),
			Producer: rapid.Float64Range(0.01, 0.2).Draw(t, "alpha"),
			Consumer: rapid.Float64Range(0.01, 0.2).Draw(t, "beta"),
		}
		r.Bad = r.Good * rapid.Float64Range(3, 8).Draw(t, "ratio")
		got, err := TwoPoint(r)
		if err != nil {
			t.Fatal(err)
		}
		accepts := func(s Single, p float64) float64 {
			pa, err := stats.BinomialBelow(float64(s.Accept), float64(s.Size), p)
			if err != nil {
				t.Fatal(err)
			}
			return pa
		}
		for c := 0; ; c++ {
			n := c + 1
			for accepts(Single{n, c}, r.Bad) > r.Consumer {
				n++
			}
			if accepts(Single{n, c}, r.Good) >= 1-r.Producer {
				if got != (Single{n, c}) {
					t.Errorf("%+v: %+v; want n = %d, c = %d", r, got, n, c)
				}
				return
			}
		}
	})
}

func TestDesignsRefuse(t *testing.T) {
	two := func(p1, alpha, p2, beta float64) func() error {
		return func() error { _, err := TwoPoint(Risks{p1, alpha, p2, beta}); return err }
	}
	zero := func(lot, bad int, risk float64) func() error {
		return func() error { _, err := ZeroAcceptance(lot, bad, risk); return err }
	}
	for _, test := range []struct {
		name, argument string
		err            error
		call           func() error
	}{
		{"good worse than bad", "p2", stats.ErrOutOfRange, two(0.05, 0.05, 0.01, 0.1)},
		{"good as bad", "p2", stats.ErrOutOfRange, two(0.05, 0.05, 0.05, 0.1)},
		{"good of nothing", "p1", stats.ErrOutOfRange, two(0, 0.05, 0.05, 0.1)},
		{"no risk", "alpha", stats.ErrOutOfRange, two(0.01, 0, 0.05, 0.1)},
		{"risk not a number", "beta", stats.ErrOutOfRange, two(0.01, 0.05, 0.05, math.NaN())},
		{"risks that ask nothing", "beta", stats.ErrOutOfRange, two(0.01, 0.5, 0.05, 0.5)},
		{"points too close", "p2", ErrNoPlan, two(0.01, 0.05, 0.0101, 0.1)},
		{"points far too close", "p2", ErrNoPlan, two(0.5, 0.01, math.Nextafter(0.5, 1), 0.01)},
		{"quality too good", "p2", ErrNoPlan, two(1e-9, 0.05, 1e-8, 0.1)},
		{"nothing bad", "nonconforming", stats.ErrOutOfRange, zero(50, 0, 0.1)},
		{"more bad than lot", "nonconforming", stats.ErrOutOfRange, zero(50, 51, 0.1)},
		{"lot of 1e18", "lot", stats.ErrOutOfRange, zero(1e18, 5, 0.1)},
		{"certain risk", "risk", stats.ErrOutOfRange, zero(50, 5, 1)},
	} {
		t.Run(test.name, func(t *testing.T) { wantArgument(t, test.call(), test.argument, test.err) })
	}
}

// Montgomery, Statistical Quality Control, n1 = 50, c1 = 1, n2 = 100, c2 = 3 at
// p = 0.05, as printed (from memory): 0.279 on the first sample, 0.289 in all,
// where the terms are rounded down.
func TestDoublePlanAsPrinted(t *testing.T) {
	got, err := Double{50, 1, 4, 100, 3}.Characteristic(0.05)
	apart(t, "first", got.First, err, 0.279, 0.0015)
	apart(t, "both", got.Accept, err, 0.289, 0.0015)
}

// A double plan by the definition: every pair of counts.
func TestDoublePlanPairByPair(t *testing.T) {
	exactly := func(k, n int, p float64) float64 {
		ways, _ := new(big.Float).SetInt(new(big.Int).Binomial(int64(n), int64(k))).Float64()
		return ways * math.Pow(p, float64(k)) * math.Pow(1-p, float64(n-k))
	}
	rapid.Check(t, func(t *rapid.T) {
		d := Double{FirstSize: rapid.IntRange(1, 30).Draw(t, "n1"), SecondSize: rapid.IntRange(1, 30).Draw(t, "n2")}
		d.FirstAccept = rapid.IntRange(0, d.FirstSize).Draw(t, "c1")
		d.FirstReject = rapid.IntRange(d.FirstAccept+1, d.FirstSize+1).Draw(t, "r1")
		d.SecondAccept = rapid.IntRange(d.FirstAccept, d.FirstSize+d.SecondSize).Draw(t, "c2")
		p := rapid.Float64Range(0, 1).Draw(t, "p")
		var first, second, average float64
		for a := range d.FirstSize + 1 {
			pa := exactly(a, d.FirstSize, p)
			average += pa * float64(d.FirstSize)
			switch {
			case a <= d.FirstAccept:
				first += pa
				continue
			case a >= d.FirstReject:
				continue
			}
			for b := range d.SecondSize + 1 {
				pair := pa * exactly(b, d.SecondSize, p)
				average += pair * float64(d.SecondSize)
				if a+b <= d.SecondAccept {
					second += pair
				}
			}
		}
		got, err := d.Characteristic(p)
		for _, figure := range [][2]float64{{got.First, first}, {got.Second, second}, {got.Accept, first + second}, {got.Average, average}} {
			if err != nil || math.Abs(figure[0]-figure[1]) > 1e-10 {
				t.Fatalf("%+v at %v: %+v, %v; want %v, %v, %v", d, p, got, err, first, second, average)
			}
		}
	})
}

func TestDoublePlanRefuses(t *testing.T) {
	for argument, d := range map[string]Double{
		"n1": {0, 0, 1, 10, 1}, "c1": {10, 11, 12, 10, 12}, "r1": {10, 2, 2, 10, 3}, "n2": {10, 1, 3, MaxDouble + 1, 3}, "c2": {10, 2, 4, 10, 1},
	} {
		_, err := d.Characteristic(0.1)
		wantArgument(t, err, argument, stats.ErrOutOfRange)
	}
	_, err := Double{50, 1, 4, 100, 3}.Characteristic(-0.1)
	wantArgument(t, err, "p", stats.ErrOutOfRange)
}
