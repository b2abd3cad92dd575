package finder

import (
	"cmp"
	"context"
	"math"
	"slices"
	"time"

	"tracewright/models/numbers/stats"
)

// candidate is one cut of a question that survived.
type candidate struct {
	*question
	level int // of its question; -1 where time is searched
	cut   Cut
	// distance is the difference in its standard errors.
	distance float64
	chance   stats.Chance
	in       map[int]bool // rows of the series that are in the cut
}

// candidates are the cuts of a question that stand at the rate that is left. Of
// two cuts that are all there is only one is said: what one has more the other has
// less.
func (q *question) candidates(left float64) []*candidate {
	if q.overTime {
		return []*candidate{q.inTime()}
	}
	var out []*candidate
	for k := range q.cuts {
		f := q.found.levels
		if k != f.Largest && f.Each[k] > left {
			continue
		}
		if len(q.cuts) == 2 && !slices.Contains(q.levels, -1) && f.Differences[k] < 0 {
			continue
		}
		c := &candidate{question: q, level: k, cut: q.cuts[k], distance: f.Differences[k], chance: f.ChanceOf(k), in: map[int]bool{}}
		for i, at := range q.rows {
			if q.levels[i] == k {
				c.in[at] = true
			}
		}
		out = append(out, c)
	}
	return out
}

// inTime is the stretch or the drift that a question over time found.
func (q *question) inTime() *candidate {
	c := &candidate{question: q, level: -1, cut: q.of, distance: q.times.Difference, chance: q.times.Chance, in: map[int]bool{}}
	for _, at := range q.rows {
		if day := q.series.rows[at].day; q.times.Drift || day >= q.times.From && (q.times.Open || day < q.times.To) {
			c.in[at] = true
		}
	}
	return c
}

// dates is how many days are needed to say which part it is: the fewer, the more
// is explained by less.
func (c *candidate) dates() int {
	switch {
	case c.level >= 0:
		return 0
	case c.times.Open:
		return 1
	}
	return 2
}

// order is in which order factors are named where they cannot be told apart.
var order = map[string]int{ByStand: 0, ByGauge: 1, ByBuilder: 2, ByLot: 3, ByProduct: 4, ByAll: 5, ByMonth: 6, ByWeekday: 7}

// alike is the share of rows that two candidates have in common.
func (c *candidate) alike(d *candidate) float64 {
	both := c.within(d) * float64(len(c.in))
	return both / (float64(len(c.in)+len(d.in)) - both)
}

// within is the share of c's rows that are d's too.
func (c *candidate) within(d *candidate) float64 {
	n := 0.
	for i := range c.in {
		if d.in[i] {
			n++
		}
	}
	return n / float64(max(1, len(c.in)))
}

const (
	// nearlyOne: two candidates with so much in common are one thing by two names.
	nearlyOne = 0.8
	// somewhat: with less in common the one does not explain the other.
	somewhat = 0.2
	// mostOf a series are said; more are folded.
	mostOf = 8
)

// fold says the largest difference, takes it out of the values, asks the others
// again, and so on. What no longer stands is folded under the one that explains
// it: one that has rows in common. What is left of the values comes with them.
func (s *series) fold(ctx context.Context, candidates []*candidate, left float64, how stats.Shuffling) ([]Finding, []float64, error) {
	values := slices.Clone(s.values)
	var out []Finding
	var fallen []*candidate
	// Whether something still stands at the rate left is known from few shuffles.
	few := how
	few.Most = min(how.Most, max(1000, int(math.Ceil(4/left))))
	for len(candidates) > 0 && len(out) < mostOf {
		if err := ctx.Err(); err != nil {
			return nil, nil, err
		}
		lead := leading(candidates)
		// In what is left it is another difference, with a chance of its own.
		sure, err := lead.again(values, left, how)
		if err != nil {
			return nil, nil, err
		}
		at := slices.Index(candidates, lead)
		if sure == nil {
			fallen, candidates = append(fallen, lead), slices.Delete(candidates, at, at+1)
			continue
		}
		lead, candidates[at] = sure, sure
		finding, ok := s.describe(lead, values)
		values = lead.takenOut(values)
		var rest []*candidate
		for _, c := range candidates {
			if c == lead {
				continue
			}
			again, err := c.again(values, left, few)
			if err != nil {
				return nil, nil, err
			}
			if again == nil || again.within(lead) >= nearlyOne && again.distance*lead.distance > 0 {
				fallen = append(fallen, c)
			} else {
				rest = append(rest, again)
			}
		}
		candidates = rest
		if !ok {
			continue
		}
		fallen = slices.DeleteFunc(fallen, func(c *candidate) bool {
			near := max(c.within(lead), lead.within(c)) >= somewhat
			if near {
				finding.Same = append(finding.Same, c.said())
			}
			return near
		})
		out = append(out, finding)
	}
	return out, values, nil
}

// leading is the largest candidate, or one that is nearly the same part of the
// work and needs fewer dates to say.
func leading(candidates []*candidate) *candidate {
	largest := slices.MaxFunc(candidates, func(a, b *candidate) int {
		return cmp.Or(cmp.Compare(math.Abs(a.distance), math.Abs(b.distance)), order[b.cut.Factor]-order[a.cut.Factor])
	})
	best := largest
	for _, c := range candidates {
		if c.alike(largest) >= nearlyOne && c.distance*largest.distance > 0 && cmp.Or(c.dates()-best.dates(), order[c.cut.Factor]-order[best.cut.Factor]) < 0 {
			best = c
		}
	}
	return best
}

// again asks the question of a candidate once more; nil says that it no longer
// stands.
func (c *candidate) again(values []float64, left float64, how stats.Shuffling) (*candidate, error) {
	q := *c.question
	if err := q.shuffle(values, how); err != nil || !q.asked {
		return nil, err
	}
	if c.level < 0 {
		if q.times.P > left {
			return nil, nil
		}
		return q.inTime(), nil
	}
	d := *c
	d.question, d.distance = &q, q.found.levels.Differences[c.level]
	d.chance = q.found.levels.ChanceOf(c.level)
	if q.found.levels.Each[c.level] > left || d.distance*c.distance < 0 {
		return nil, nil
	}
	return &d, nil
}

// takenOut gives the values without what a candidate explains. Of a level that is
// its difference; of days of a part of the work all that this part does over time,
// by fortnights, since a drift or a wear is no step.
func (c *candidate) takenOut(values []float64) []float64 {
	out := slices.Clone(values)
	if c.level >= 0 {
		if a, err := c.difference(values); err == nil {
			for i := range c.in {
				out[i] -= a.Estimate
			}
		}
		return out
	}
	own, fortnights := make([]float64, len(c.rows)), make([]int, len(c.rows))
	for i, at := range c.rows {
		own[i], fortnights[i] = values[at], c.series.rows[at].fortnight
	}
	constants := append(c.constants(), fortnights)
	free, err := stats.Freed(own, constants...)
	if err != nil {
		return out
	}
	// The means of products stay: they are what the values are taken from.
	kept, err := stats.Freed(own, c.constants()...)
	if err != nil {
		return out
	}
	// What is left lies where the other days lie, not at the mean of all.
	back := 0.
	if a, err := c.difference(values); err == nil && !c.drifts() {
		back = a.Estimate * float64(len(c.in)) / float64(len(c.rows))
	}
	for i, at := range c.rows {
		out[at] += free[i] - kept[i] - back
	}
	return out
}

// difference is that of the candidate's rows against the others of its question,
// or its slope over the days, with what is centred allowed for.
func (c *candidate) difference(values []float64) (stats.Adjusted, error) {
	y, x, days := make([]float64, len(c.rows)), make([]float64, len(c.rows)), make([]int, len(c.rows))
	first := c.series.rows[c.rows[0]].day
	for i, at := range c.rows {
		y[i], days[i] = values[at], c.series.rows[at].day
		switch {
		case c.drifts():
			x[i] = float64(days[i] - first)
		case c.in[at]:
			x[i] = 1
		}
	}
	if c.series.kind == share {
		return stats.AdjustedDifference(y, x, days, 0.95, c.constants()...)
	}
	return stats.RobustDifference(y, x, days, 0.95, c.constants()...)
}

func (c *candidate) drifts() bool { return c.level < 0 && c.times.Drift }

// dayOf is the day that counts so many from 1 January 1970.
func dayOf(day int) time.Time { return time.Unix(int64(day)*24*60*60, 0).UTC() }
