package stats

import (
	"fmt"
	"math"
)

// FunnelLevel is a pair of limits around a common rate, one pair a group.
type FunnelLevel struct {
	Confidence float64
	// Normal is target +- z sqrt(target (1-target)/n), cut to 0 and 1.
	Normal []Interval
	// Wilson solves the normal test for the rate observed, which keeps its shape
	// for small groups.
	Wilson []Interval
	// Counts are the least counts with as much below them as the level asks.
	Counts []Interval
}

// Funnel compares rates with one target, allowing for the size of each group.
type Funnel struct {
	Target float64
	Levels []FunnelLevel
	// Z is each rate's distance from the target in its own standard errors.
	Z []float64
	// Overdispersion is the mean of Z^2: near 1 when chance alone is at work.
	Overdispersion float64
}

// FunnelOf returns limits at each confidence for x[i] of n[i] around a target
// rate between 0 and 1 (Spiegelhalter, Statistics in Medicine 24, 2005).
func FunnelOf(x, n []int, target float64, confidences ...float64) (Funnel, error) {
	if err := checkCounts(x, n, 1); err != nil {
		return Funnel{}, err
	}
	if err := checkOpen("target", target); err != nil {
		return Funnel{}, err
	}
	if err := checkEffort(n, len(confidences)); err != nil {
		return Funnel{}, err
	}
	f := Funnel{Target: target, Z: make([]float64, len(n))}
	for i := range n {
		se := math.Sqrt(target * (1 - target) / float64(n[i]))
		f.Z[i] = (float64(x[i])/float64(n[i]) - target) / se
		f.Overdispersion += f.Z[i] * f.Z[i] / float64(len(n))
	}
	if _, err := finite("overdispersion", f.Overdispersion); err != nil {
		return Funnel{}, about("target", err)
	}
	for _, confidence := range confidences {
		if err := checkOpen("confidence", confidence); err != nil {
			return Funnel{}, err
		}
		f.Levels = append(f.Levels, funnelLevel(n, target, confidence))
	}
	return f, nil
}

func funnelLevel(n []int, target, confidence float64) FunnelLevel {
	tail := (1 - confidence) / 2
	z := -normalAt(tail, 1-tail)
	level := FunnelLevel{Confidence: confidence}
	for _, count := range n {
		size := float64(count)
		half := z * math.Sqrt(target*(1-target)/size)
		level.Normal = append(level.Normal, Interval{Low: max(target-half, 0), High: min(target+half, 1)})
		spread := z*z/(4*size*size) + target*(1-target)/size
		centre, reach := (target+z*z/(2*size))/(1+z*z/size), z*math.Sqrt(spread)/(1+z*z/size)
		level.Wilson = append(level.Wilson, Interval{Low: max(centre-reach, 0), High: min(centre+reach, 1)})
		level.Counts = append(level.Counts, Interval{
			Low:  binomialQuantile(tail, 1-tail, size, target),
			High: binomialQuantile(1-tail, tail, size, target),
		})
	}
	return level
}

// binomialQuantile returns the least k with probability p or more of k or fewer,
// q = 1 - p or less of more.
func binomialQuantile(p, q, n, chance float64) float64 {
	enough := func(k float64) bool {
		if k >= n {
			return true
		}
		above, below := betaTails(k+1, n-k, chance, 1-chance)
		if p <= q {
			return below >= p
		}
		return above <= q
	}
	low, high := -1., n // Not enough at low, enough at high.
	// Nearly always within 40 standard deviations of the mean.
	mean, reach := n*chance, 40*math.Sqrt(n*chance*(1-chance))+40
	if near := math.Floor(mean - reach); near > low && !enough(near) {
		low = near
	}
	if near := math.Ceil(mean + reach); near < high && enough(near) {
		high = near
	}
	for high-low > 1 {
		middle := math.Floor(low + (high-low)/2)
		if enough(middle) {
			high = middle
		} else {
			low = middle
		}
	}
	return high
}

// FunnelRow is one group against the pooled rate of all.
type FunnelRow struct {
	Rate float64
	// Counts are the least counts with 2.5 % and 97.5 % at or below them.
	Counts Interval
	// P is twice the smaller tail, at most 1.
	P float64
	// Flagged: P is below 0.05 divided by the number of groups (Bonferroni).
	Flagged bool
}

// ExactFunnel compares x[i] of n[i] of at least two groups with their pooled
// rate by the binomial distribution.
func ExactFunnel(x, n []int) (pooled float64, rows []FunnelRow, err error) {
	if err := checkCounts(x, n, 2); err != nil {
		return 0, nil, err
	}
	if err := checkEffort(n, 1); err != nil {
		return 0, nil, err
	}
	var bad, all float64
	for i := range n {
		bad, all = bad+float64(x[i]), all+float64(n[i])
	}
	pooled = bad / all
	rows = make([]FunnelRow, len(n))
	for i := range rows {
		k, size := float64(x[i]), float64(n[i])
		below, _, err := binomialTails(k, size, pooled)
		if err != nil {
			return 0, nil, err
		}
		_, orMore, err := binomialTails(k-1, size, pooled)
		if err != nil {
			return 0, nil, err
		}
		rows[i] = FunnelRow{
			Rate: k / size,
			P:    min(2*min(below, orMore), 1),
			Counts: Interval{
				Low:  binomialQuantile(0.025, 0.975, size, pooled),
				High: binomialQuantile(0.975, 0.025, size, pooled),
			},
		}
		rows[i].Flagged = rows[i].P < 0.05/float64(len(rows))
	}
	return pooled, rows, nil
}

// MostCounted bounds the size of a group whose exact limits are looked for.
const MostCounted = 100_000_000

// checkCounts wants x[i] of n[i] for at least least groups.
func checkCounts(x, n []int, least int) error {
	if len(n) < least {
		return about("n", fmt.Errorf("%d groups where %d are needed: %w", len(n), least, ErrTooFew))
	}
	if len(n) > MostGroups {
		return outside("n", len(n), "groups are more than 10000")
	}
	if len(x) != len(n) {
		return outside("x", len(x), fmt.Sprintf("counts do not go with %d sizes", len(n)))
	}
	for i := range n {
		if n[i] < 1 || n[i] > MostCounted {
			return outside(fmt.Sprintf("n[%d]", i), n[i], "must be from 1 to 100000000")
		}
		if x[i] < 0 || x[i] > n[i] {
			return outside(fmt.Sprintf("x[%d]", i), x[i], fmt.Sprintf("must be from 0 to %d, the size of its group", n[i]))
		}
	}
	return nil
}

// checkEffort refuses groups so many and large that exact limits would take
// long: each costs about the root of its size.
func checkEffort(n []int, levels int) error {
	const most = 150_000
	effort := 0.
	for _, size := range n {
		effort += float64(levels) * (20 + math.Sqrt(float64(size)))
	}
	if effort > most {
		return outside("n", len(n), "groups are too many for their size")
	}
	return nil
}
