package conformity

import (
	"errors"
	"math"
	"testing"

	"pgregory.net/rapid"
)

// drawRange makes limits, one or both.
func drawRange(r *rapid.T) Range {
	low := rapid.Float64Range(-10, 10).Draw(r, "low")
	high := low + rapid.Float64Range(0.01, 10).Draw(r, "width")
	switch rapid.IntRange(1, 3).Draw(r, "sides") {
	case 1:
		return Range{Low: &low}
	case 2:
		return Range{High: &high}
	}
	return Range{Low: &low, High: &high}
}

// Nearer the middle of the limits a value conforms more likely, and with wider
// limits too; the chances sum to 1.
func TestChanceIsMonotone(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		limits := drawRange(r)
		u := rapid.Float64Range(1e-3, 10).Draw(r, "u")
		y := rapid.Float64Range(-30, 30).Draw(r, "y")
		step := rapid.Float64Range(0, 5).Draw(r, "step")
		chance := func(y float64, limits Range) Chance {
			c, err := ChanceOf(y, u, limits)
			if err != nil {
				r.Fatal(err)
			}
			if c.Below < 0 || c.Inside < 0 || c.Above < 0 || math.Abs(c.Below+c.Inside+c.Above-1) > 1e-14 {
				r.Fatalf("%+v", c)
			}
			return c
		}
		here := chance(y, limits)
		nearer := y
		switch {
		case limits.Low == nil:
			nearer -= step
		case limits.High == nil:
			nearer += step
		default:
			middle := (*limits.Low + *limits.High) / 2
			nearer = middle + (y-middle)/(1+step)
		}
		if there := chance(nearer, limits); there.Inside < here.Inside-1e-14 {
			r.Fatalf("p falls from %v at %v to %v at %v", here.Inside, y, there.Inside, nearer)
		}
		wider := limits
		if wider.High != nil {
			wider.High = to(*wider.High + step)
		} else {
			wider.Low = to(*wider.Low - step)
		}
		if there := chance(y, wider); there.Inside < here.Inside-1e-14 {
			r.Fatalf("p falls from %v to %v with wider limits", here.Inside, there.Inside)
		}
	})
}

// The guard band is the least that keeps the risk: right on the acceptance limit
// the risk is the one asked for, and no accepted value has more.
func TestGuardBandKeepsTheRisk(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		limits := drawRange(r)
		u := rapid.Float64Range(0.01, 3).Draw(r, "u")
		risk := rapid.Float64Range(1e-6, 0.9).Draw(r, "risk")
		w, err := GuardBand(u, risk, limits)
		if errors.Is(err, ErrNoAcceptanceZone) {
			middle := (*limits.Low + *limits.High) / 2
			if best, err := ChanceOf(middle, u, limits); err != nil || best.Outside() <= risk {
				r.Fatalf("refused, though the middle has a risk of %v, %v", best.Outside(), err)
			}
			return
		}
		if err != nil {
			r.Fatal(err)
		}
		var edges []float64
		if limits.Low != nil {
			edges = append(edges, *limits.Low+w)
		}
		if limits.High != nil {
			edges = append(edges, *limits.High-w)
		}
		for _, y := range edges {
			c, err := ChanceOf(y, u, limits)
			if err != nil || math.Abs(c.Outside()-risk) > 1e-9 {
				r.Fatalf("w = %v: risk %v, %v on the acceptance limit; want %v", w, c.Outside(), err, risk)
			}
		}
		if len(edges) == 2 {
			y := edges[0] + rapid.Float64Range(0, 1).Draw(r, "between")*(edges[1]-edges[0])
			if c, err := ChanceOf(y, u, limits); err != nil || c.Outside() > risk*(1+1e-9) {
				r.Fatalf("accepted %v has a risk of %v, %v", y, c.Outside(), err)
			}
		}
	})
}

// A wider guard band costs the producer and spares the consumer, and neither
// risk depends on the unit.
func TestGlobalRisksFollowTheGuardBand(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		limits := drawRange(r)
		p := Process{Mean: rapid.Float64Range(-12, 12).Draw(r, "mean"), SD: rapid.Float64Range(0.05, 5).Draw(r, "sd")}
		u := rapid.Float64Range(0.01, 5).Draw(r, "u")
		w := rapid.Float64Range(-2, 2).Draw(r, "w")
		narrow, err := GlobalRisks(p, u, w, limits)
		if errors.Is(err, ErrNoAcceptanceZone) {
			return
		}
		if err != nil {
			r.Fatal(err)
		}
		for _, v := range []float64{narrow.Consumer, narrow.Producer, narrow.Accepted, narrow.Conforming} {
			if !(v >= 0 && v <= 1+1e-12) {
				r.Fatalf("%+v", narrow)
			}
		}
		// Accepted is what conforms less the good that are rejected, and the bad
		// that are not.
		if math.Abs(narrow.Accepted-(narrow.Conforming-narrow.Producer+narrow.Consumer)) > 1e-12 {
			r.Fatalf("does not add up: %+v", narrow)
		}
		unit := math.Exp2(float64(rapid.IntRange(-30, 30).Draw(r, "unit")))
		scaled := Range{}
		if limits.Low != nil {
			scaled.Low = to(*limits.Low * unit)
		}
		if limits.High != nil {
			scaled.High = to(*limits.High * unit)
		}
		if other, err := GlobalRisks(Process{p.Mean * unit, p.SD * unit}, u*unit, w*unit, scaled); err != nil || other != narrow {
			r.Fatalf("%+v, in another unit %+v, %v", narrow, other, err)
		}
		wide, err := GlobalRisks(p, u, w+rapid.Float64Range(0, 1).Draw(r, "more"), limits)
		if errors.Is(err, ErrNoAcceptanceZone) {
			return
		}
		if err != nil || wide.Consumer > narrow.Consumer+1e-12 || wide.Producer < narrow.Producer-1e-12 {
			r.Fatalf("%+v with a wider band, %+v with a narrower one, %v", wide, narrow, err)
		}
	})
}

func BenchmarkGlobalRisks(b *testing.B) {
	for range b.N {
		if _, err := GlobalRisks(Process{1500, 0.12}, 0.04, 0.02, Range{Low: to(1499.8), High: to(1500.2)}); err != nil {
			b.Fatal(err)
		}
	}
}
