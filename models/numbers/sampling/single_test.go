package sampling

import (
	"math"
	"math/big"
	"testing"

	"pgregory.net/rapid"

	"tracewright/models/numbers/stats"
)

func apart(t *testing.T, what string, got float64, err error, want, tolerance float64) {
	t.Helper()
	if err != nil || !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s: %.12g, %v; want %.12g", what, got, err, want)
	}
}

// NIST/SEMATECH e-Handbook, 6.2.3.2, the plan n = 52, c = 3 for a lot of 10000,
// as printed (from memory): Pa to three decimals, which at 4 % and 5 % are a
// unit and a half off; ATI to whole pieces, a unit off in three places.
func TestHandbookPlan(t *testing.T) {
	plan := Single{52, 3}
	for _, row := range []struct{ p, pa, ati float64 }{
		{0.01, 0.998, 70}, {0.02, 0.980, 253}, {0.03, 0.930, 753}, {0.04, 0.845, 1584}, {0.05, 0.739, 2655}, {0.06, 0.620, 3836},
		{0.07, 0.502, 5007}, {0.08, 0.394, 6083}, {0.09, 0.300, 7012}, {0.10, 0.223, 7779}, {0.11, 0.162, 8388}, {0.12, 0.115, 8854},
	} {
		pa, err := plan.Binomial(row.p)
		apart(t, "Pa", pa, err, row.pa, 0.0011)
		outgoing, err := plan.Outgoing(10000, row.p)
		apart(t, "ATI", outgoing.Inspected, err, row.ati, 1.1)
	}
	// The printed curve of outgoing quality has its top, 0.0372 with the factor
	// (N - n)/N left out, at 6 %.
	limit, at, err := plan.OutgoingLimit(10000)
	apart(t, "AOQL", limit, err, 0.0372, 0.0002)
	apart(t, "where", at, err, 0.056, 0.005)
}

// Accept-on-zero plans have closed forms: Pa = (1-p)^n; p Pa is largest at
// p = 1/(n+1).
func TestZeroInClosedForm(t *testing.T) {
	for _, n := range []int{1, 5, 20, 125, 2000, MaxSample} {
		plan := Single{n, 0}
		for _, p := range []float64{0, 1e-9, 0.003, 0.2, 1} {
			pa, err := plan.Binomial(p)
			apart(t, "Pa", pa, err, math.Exp(float64(n)*math.Log1p(-p)), 1e-12)
		}
		for _, pa := range []float64{0.95, 0.5, 0.1, 1e-6} {
			p, err := plan.QualityAt(pa)
			want := -math.Expm1(math.Log(pa) / float64(n))
			apart(t, "quality", p, err, want, 1e-10*want)
		}
		limit, at, err := plan.OutgoingLimit(MaxLot)
		m := float64(n)
		apart(t, "place of AOQL", at, err, 1/(m+1), 1e-9/m)
		apart(t, "AOQL", limit, err, math.Exp(m*math.Log(m/(m+1)))/(m+1)*(MaxLot-m)/MaxLot, 1e-12)
	}
}

// The definition in exact fractions.
func TestHypergeometricByHand(t *testing.T) {
	// 20 of 100 drawn, 5 bad, one allowed: (C(95,20) + 5 C(95,19)) / C(100,20).
	ways := new(big.Int).Binomial(95, 19)
	ways.Mul(ways, big.NewInt(5)).Add(ways, new(big.Int).Binomial(95, 20))
	want, _ := new(big.Rat).SetFrac(ways, new(big.Int).Binomial(100, 20)).Float64()
	got, err := Single{20, 1}.Hypergeometric(100, 5)
	apart(t, "one of five", got, err, want, 1e-13)
	got, err = Single{100, 4}.Hypergeometric(100, 5)
	apart(t, "the whole lot shows all five", got, err, 0, 0)
	got, err = Single{100, 5}.Hypergeometric(100, 5)
	apart(t, "the whole lot, five allowed", got, err, 1, 0)
}

func drawPlan(t *rapid.T) Single {
	n := rapid.IntRange(1, 3000).Draw(t, "n")
	return Single{n, rapid.IntRange(0, min(n, 60)).Draw(t, "c")}
}

// More bad pieces are never accepted more often, one more allowed is never
// accepted less often, and one more looked at never more often.
func TestCharacteristicFalls(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		plan := drawPlan(t)
		p := rapid.Float64Range(0, 1).Draw(t, "p")
		worse := rapid.Float64Range(p, 1).Draw(t, "worse")
		lot := rapid.IntRange(plan.Size, 100_000).Draw(t, "lot")
		bad := int(p * float64(lot))
		more := rapid.IntRange(bad, lot).Draw(t, "more")
		must := func(pa float64, err error) float64 {
			if err != nil || !(pa >= 0 && pa <= 1) {
				t.Fatalf("%+v: %v, %v", plan, pa, err)
			}
			return pa
		}
		const rounding = 1e-12
		for name, pair := range map[string][2]float64{
			"binomial":       {must(plan.Binomial(p)), must(plan.Binomial(worse))},
			"poisson":        {must(plan.Poisson(p)), must(plan.Poisson(worse))},
			"hypergeometric": {must(plan.Hypergeometric(lot, bad)), must(plan.Hypergeometric(lot, more))},
			"larger sample":  {must(plan.Binomial(p)), must(Single{plan.Size + 1, plan.Accept}.Binomial(p))},
			"fewer allowed":  {must(plan.Binomial(p)), must(Single{plan.Size, max(plan.Accept-1, 0)}.Binomial(p))},
		} {
			if pair[1] > pair[0]+rounding {
				t.Errorf("%s of %+v: %v, then %v", name, plan, pair[0], pair[1])
			}
		}
	})
}

// The quality at a probability has that probability, and nothing leaves
// inspection worse than the limit.
func TestQualityAndOutgoingAgree(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		plan := drawPlan(t)
		lot := rapid.IntRange(plan.Size, 1_000_000).Draw(t, "lot")
		p := rapid.Float64Range(0, 1).Draw(t, "p")
		limit, at, err := plan.OutgoingLimit(lot)
		here, errHere := plan.Outgoing(lot, p)
		there, errThere := plan.Outgoing(lot, at)
		if err != nil || errHere != nil || errThere != nil || here.Fraction > limit*(1+1e-9) || math.Abs(there.Fraction-limit) > 1e-12 {
			t.Errorf("%+v of %d: %v at %v, but %v at %v; %v, %v, %v", plan, lot, limit, at, here.Fraction, p, err, errHere, errThere)
		}
		if here.Inspected < float64(plan.Size) || here.Inspected > float64(lot)*(1+1e-12) {
			t.Errorf("%+v of %d inspects %v", plan, lot, here.Inspected)
		}
		if plan.Accept == plan.Size {
			return
		}
		pa := rapid.Float64Range(1e-6, 1-1e-6).Draw(t, "pa")
		quality, err := plan.QualityAt(pa)
		if err != nil {
			t.Fatal(err)
		}
		if back, err := plan.Binomial(quality); err != nil || math.Abs(back-pa) > 1e-8 {
			t.Errorf("%+v: %v is accepted with %v, %v; want %v", plan, quality, back, err, pa)
		}
	})
}

func TestSingleRefuses(t *testing.T) {
	nan := math.NaN()
	binomial := func(s Single, p float64) func() error {
		return func() error { _, err := s.Binomial(p); return err }
	}
	for _, test := range []struct {
		name, argument string
		call           func() error
	}{
		{"no sample", "n", binomial(Single{0, 0}, 0.1)},
		{"sample of 1e9", "n", binomial(Single{1e9, 0}, 0.1)},
		{"negative acceptance number", "c", binomial(Single{5, -1}, 0.1)},
		{"more allowed than taken", "c", binomial(Single{5, 6}, 0.1)},
		{"fraction above one", "p", binomial(Single{5, 1}, 1.1)},
		{"fraction not a number", "p", binomial(Single{5, 1}, nan)},
		{"negative rate", "p", func() error { _, err := Single{5, 1}.Poisson(-0.1); return err }},
		{"endless rate", "p", func() error { _, err := Single{5, 1}.Poisson(math.Inf(1)); return err }},
		{"sample above lot", "n", func() error { _, err := Single{5, 1}.Hypergeometric(4, 1); return err }},
		{"lot of 1e18", "lot", func() error { _, err := Single{5, 1}.Hypergeometric(1e18, 1); return err }},
		{"more bad than lot", "nonconforming", func() error { _, err := Single{5, 1}.Hypergeometric(10, 11); return err }},
		{"no probability", "pa", func() error { _, err := Single{5, 1}.QualityAt(0); return err }},
		{"plan that accepts all", "c", func() error { _, err := Single{5, 5}.QualityAt(0.5); return err }},
		{"outgoing of no lot", "lot", func() error { _, err := Single{5, 1}.Outgoing(0, 0.1); return err }},
		{"limit of a lot below the sample", "n", func() error { _, _, err := Single{5, 1}.OutgoingLimit(4); return err }},
	} {
		t.Run(test.name, func(t *testing.T) { wantArgument(t, test.call(), test.argument, stats.ErrOutOfRange) })
	}
}
