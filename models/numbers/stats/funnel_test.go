package stats

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

// choose returns the number of ways to take k of n.
func choose(n, k int) float64 {
	ways := 1.
	for i := range k {
		ways *= float64(n-i) / float64(i+1)
	}
	return ways
}

// The least count with enough at or below it, by adding up the binomial
// distribution itself.
func TestBinomialQuantileAddsUp(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		n := rapid.IntRange(1, 60).Draw(r, "n")
		chance := float64(rapid.IntRange(1, 99).Draw(r, "chance")) / 100
		p := float64(rapid.IntRange(1, 999).Draw(r, "p")) / 1000
		want, sum := 0, 0.
		for k := 0; ; k++ {
			sum += choose(n, k) * math.Pow(chance, float64(k)) * math.Pow(1-chance, float64(n-k))
			if math.Abs(sum-p) < 1e-9 {
				return // Too near to tell which.
			}
			if want = k; sum > p || k == n {
				break
			}
		}
		if got := binomialQuantile(p, 1-p, float64(n), chance); got != float64(want) {
			r.Fatalf("n %d, chance %v, p %v: got %v, want %d", n, chance, p, got, want)
		}
	})
}

func TestFunnelByHand(t *testing.T) {
	// A target of 1/2 and 100 each: standard error 0.05, so 60 lies 2 of them off.
	f, err := FunnelOf([]int{60, 50}, []int{100, 100}, 0.5, 0.95)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "z", f.Z[0], 2, 1e-12)
	near(t, "overdispersion", f.Overdispersion, 2, 1e-12) // Mean of 4 and 0.
	near(t, "normal limit", f.Levels[0].Normal[0].High, 0.5+1.959963984540054*0.05, 1e-12)
	// Wilson limits about a half are half the width of z/sqrt(n+z^2).
	near(t, "Wilson limit", f.Levels[0].Wilson[0].High, 0.5+1.959963984540054/2/math.Sqrt(100+1.959963984540054*1.959963984540054), 1e-12)
	if got := f.Levels[0].Counts[0]; got.Low != 40 || got.High != 60 { // Printed in tables of the sign test.
		t.Errorf("counts %v to %v; want 40 to 60", got.Low, got.High)
	}
}

func TestExactFunnelByHand(t *testing.T) {
	// None and all of four, pooled 1/2.
	pooled, rows, err := ExactFunnel([]int{0, 4}, []int{4, 4})
	if err != nil {
		t.Fatal(err)
	}
	near(t, "pooled", pooled, 0.5, 1e-15)
	for i, row := range rows {
		near(t, "P", row.P, 2./16, 1e-12) // Twice the chance of none, or of all.
		if row.Flagged {
			t.Errorf("group %d is flagged at P %v", i, row.P)
		}
	}
	// 0 and 20 of 20: 2 (1/2)^20 is below 0.05/2.
	if _, rows, err = ExactFunnel([]int{0, 20}, []int{20, 20}); err != nil || !rows[0].Flagged || !rows[1].Flagged {
		t.Errorf("%+v, %v; want both flagged", rows, err)
	}
}

func TestFunnelRefuses(t *testing.T) {
	of := func(x, n []int, target float64, confidence float64) func() error {
		return func() error { _, err := FunnelOf(x, n, target, confidence); return err }
	}
	checkRefusals(t, []refusal{
		{"nothing", of(nil, nil, 0.1, 0.95), "n", ErrTooFew},
		{"target 0", of([]int{1}, []int{2}, 0, 0.95), "target", ErrOutOfRange},
		{"target NaN", of([]int{1}, []int{2}, math.NaN(), 0.95), "target", ErrOutOfRange},
		{"confidence 1", of([]int{1}, []int{2}, 0.1, 1), "confidence", ErrOutOfRange},
		{"count above its size", of([]int{3}, []int{2}, 0.1, 0.95), "x[0]", ErrOutOfRange},
		{"hostile size", of([]int{3}, []int{MostCounted + 1}, 0.1, 0.95), "n[0]", ErrOutOfRange},
		{"one group against itself", func() error { _, _, err := ExactFunnel([]int{1}, []int{2}); return err }, "n", ErrTooFew},
	})
}
