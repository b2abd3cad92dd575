package returns

import (
	"maps"
	"math"
	"slices"
	"time"

	"tracewright/models"
	"tracewright/models/numbers/life"
	"tracewright/models/numbers/stats"
)

// group is what left, by day, and what came back of it.
type group struct {
	units map[int]int // by the number of the day
	back  []failure
	count int
}

// failure is an item that came back: the days of shipment and of the claim.
type failure struct{ left, back int }

func newGroup() *group { return &group{units: map[int]int{}} }

func (g *group) add(day, units int) {
	g.units[day] += units
	g.count += units
}

// without leaves out a group that is part of this one.
func (g *group) without(other *group) *group {
	rest := &group{units: maps.Clone(g.units), count: g.count}
	for day, n := range other.units {
		n = min(n, rest.units[day]) // Counts of a moment ago may lag behind a correction.
		rest.units[day] -= n
		rest.count -= n
	}
	gone := map[failure]int{}
	for _, f := range other.back {
		gone[f]++
	}
	for _, f := range g.back {
		if gone[f] > 0 {
			gone[f]--
			continue
		}
		rest.back = append(rest.back, f)
	}
	return rest
}

// lives are the units as ages in months of service, in whole days: those that came
// back failed, all others are censored today. What came back on the first day counts as
// half a day, since a law of lives knows no age of 0. Those whose service has yet to
// begin have no age, and are left out (see [group.waiting]).
func (g *group) lives(today, lag int) []life.Observation {
	age := func(days int) float64 { return math.Max(float64(days-lag), 0.5) / daysAMonth }
	out := map[int]int{}
	maps.Copy(out, g.units)
	var lives []life.Observation
	for _, f := range g.back {
		out[f.left]--
		lives = append(lives, life.Observation{Time: age(f.back - f.left), Failed: true, Count: 1})
	}
	for _, day := range slices.Sorted(maps.Keys(out)) {
		if n := out[day]; n > 0 && begun(day, today, lag) {
			lives = append(lives, life.Observation{Time: age(today - day), Count: n})
		}
	}
	return lives
}

// begun says whether what left on a day is in service today, lag days after it at the
// soonest.
func begun(day, today, lag int) bool { return today-day >= lag }

// inService counts the units that have begun it, those that came back since with them.
func (g *group) inService(today, lag int) int {
	n := 0
	for day, units := range g.units {
		if begun(day, today, lag) {
			n += units
		}
	}
	return n
}

// waiting are the units whose service has yet to begin, for a forecast.
func (g *group) waiting(today, lag int) []life.Waiting {
	var waiting []life.Waiting
	for _, day := range slices.Sorted(maps.Keys(g.units)) {
		if n := g.units[day]; n > 0 && !begun(day, today, lag) {
			waiting = append(waiting, life.Waiting{Wait: float64(lag-(today-day)) / daysAMonth, Count: n})
		}
	}
	return waiting
}

// early counts what came back sooner than service can have begun.
func (g *group) early(lag int) int {
	n := 0
	for _, f := range g.back {
		if f.back-f.left < lag {
			n++
		}
	}
	return n
}

// curveOf is the curve of some lives; that of none has no points.
func curveOf(lives []life.Observation, leastAtRisk int) (life.Curve, error) {
	if len(lives) == 0 {
		return life.Curve{Confidence: confidence}, nil
	}
	return life.KaplanMeier(lives, life.CurveOptions{Confidence: confidence, LeastAtRisk: leastAtRisk})
}

// until is the age that so many units have reached, still running or not.
func until(lives []life.Observation, least int) float64 {
	sorted := slices.Clone(lives)
	slices.SortFunc(sorted, func(a, b life.Observation) int {
		switch {
		case a.Time > b.Time:
			return -1
		case a.Time < b.Time:
			return 1
		}
		return 0
	})
	n := 0
	for _, l := range sorted {
		if n += l.Count; n >= least {
			return l.Time
		}
	}
	return 0
}

// dayNumber counts days; that of a day that cannot be read is 0.
func dayNumber(day string) int {
	t, _ := time.Parse(time.DateOnly, day)
	return int(math.Floor(float64(t.Unix()) / 86400))
}

func monthOf(number int) string {
	return time.Unix(int64(number)*86400, 0).UTC().Format("2006-01")
}

// monthNumber counts months since the year 0.
func monthNumber(month string) int {
	t, _ := time.Parse("2006-01", month)
	return t.Year()*12 + int(t.Month()) - 1
}

// Excess holds what came back of some units against what all of the family lead one
// to expect at their age.
type Excess struct {
	Share
	// Expected is how many would have come back by now if these did at each age as
	// all others do (see life.Expected); it is not known while there are too few
	// others.
	Expected float64
	Known    bool
	// P is the chance of as many or more, were these like all others: of all returns
	// together those of the group are taken as binomial, with the part of them that
	// the curve of everybody leads one to expect of it (conditional on the total;
	// Breslow and Day, Statistical Methods in Cancer Research II, 1987, chapter 3;
	// cited from memory). In truth the part differs from age to age, and a sum of such
	// trials lies closer to its middle than the binomial with their mean (Hoeffding,
	// Annals of Mathematical Statistics 27, 1956): the test errs towards saying nothing.
	// Adjusted is P times the number of groups compared, at most 1 (Bonferroni).
	P, Adjusted float64
	More        bool
}

// excess compares a group with the family that it belongs to. curve is that of the
// whole family. Fewer than [FewUnits] in service on either side are only counted.
func excess(g, all *group, curve life.Curve, compared, today, lag int) (Excess, error) {
	share, err := shareOf(len(g.back), g.count)
	e := Excess{Share: share, P: 1, Adjusted: 1}
	if err != nil || !comparable(g, all, today, lag) {
		return e, err
	}
	rest, err := curveOf(all.without(g).lives(today, lag), 0)
	if err != nil {
		return e, err
	}
	lives := g.lives(today, lag)
	expected, err := rest.Expected(lives)
	if err != nil {
		return e, err
	}
	e.Expected, e.Known = expected.Failures, true
	of, err := curve.Expected(lives)
	if err != nil || curve.Failures == 0 || len(g.back) == 0 {
		return e, err
	}
	part := math.Min(of.Failures/float64(curve.Failures), 1)
	if e.P, err = stats.BinomialAbove(float64(len(g.back)-1), float64(curve.Failures), part); err != nil {
		return e, err
	}
	e.Adjusted = math.Min(1, e.P*float64(max(compared, 1)))
	e.More = e.Adjusted < 1-confidence
	return e, nil
}

// comparable says whether a group and its rest have enough units in service to compare.
func comparable(g, all *group, today, lag int) bool {
	n := g.inService(today, lag)
	return n >= FewUnits && all.inService(today, lag)-n >= FewUnits
}

// failureOf is a returned item by the days of the shop.
func failureOf(r models.ReturnedItem, zone *time.Location) failure {
	return failure{dayNumber(r.ShippedAt.In(zone).Format(time.DateOnly)), dayNumber(r.OpenedAt.In(zone).Format(time.DateOnly))}
}
