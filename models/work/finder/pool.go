package finder

import (
	"maps"
	"math"
	"slices"

	"tracewright/models/numbers/stats"
)

// A fault that sits at one stand, one gauge or one pair of hands shows in every family
// that goes through them, and where each family is made too seldom it stands out in
// none. So a result that several families have is asked of all of them together as
// well.
//
// The estimator: each value is taken from the mean of its product and divided by the
// spread of its family,
//
//	z = (x - mean of its product) / s,  s^2 = sum of such squares / (n - products),
//
// on the scale on which its family is searched, wild values drawn in for s. All z have
// one spread, so that least squares over them, with a constant for each product and for
// each month of each family, weighs what the families say by how surely they say it:
// the difference is the mean of their standardised differences with the weights
// 1/variance (Hedges, Journal of Educational Statistics 6, 1981, without his correction
// for small samples: what differs is only told from 20 values on).
//
// Whole days are shuffled as for one family: what was made at one stand on one day, of
// whatever family, is one witness, since what a day did it may have done to all of them.
// What most families tell by themselves, or one more surely than all together, is said
// of them, in their own unit, and taken out before several are asked: so what one family
// does is not told of others. What most do not tell is said of all of them together, and
// taken out of each. The questions count with all others.

const (
	// fewestOfFamily is how many values a family needs to take part, and to speak for a
	// cut: of fewer its spread is a guess.
	fewestOfFamily = 8
	// mostFamilies parts the numbers of months by families; no shop has as many.
	mostFamilies = 100_000
)

// source is where a row of a pooled series stands.
type source struct {
	series *series
	at     int
	spread float64
}

// pool makes the pooled series: one a result that two families or more have.
func (all *gathered) pool() {
	of := map[string][]*series{}
	for _, s := range append(slices.Clone(all.series), all.thin...) {
		if s.kind == reading {
			of[s.measure] = append(of[s.measure], s)
		}
	}
	for _, measure := range slices.Sorted(maps.Keys(of)) {
		p := &series{measure: measure, unit: "sigma", decimals: 2, kind: reading}
		var rows []row
		for _, s := range of[measure] {
			spread := s.spread()
			if !(spread > 0) {
				continue
			}
			for at, r := range s.rows {
				r.family, r.product = len(p.families), s.family.ID+" "+r.product
				rows, p.from = append(rows, r), append(p.from, source{s, at, spread})
			}
			p.families = append(p.families, s.family)
		}
		if len(p.families) < 2 || len(rows) < p.fewest() {
			continue
		}
		order := make([]int, len(rows))
		for i := range order {
			order[i] = i
		}
		slices.SortStableFunc(order, func(a, b int) int { return rows[a].at.Compare(rows[b].at) })
		from := slices.Clone(p.from)
		for i, at := range order {
			p.rows, p.from[i] = append(p.rows, rows[at]), from[at]
		}
		if p.standardise(nil) == nil {
			all.pooled = append(all.pooled, p)
		}
	}
}

// spread is that of a series' values about the means of their products; 0 where there
// are too few to tell.
func (s *series) spread() float64 {
	products := s.product()
	groups := len(distinctNumbers(products))
	if len(s.rows) < fewestOfFamily || len(s.rows) < 2*groups {
		return 0
	}
	free, err := stats.Freed(s.values, products)
	if err != nil {
		return 0
	}
	sum := 0.
	for _, z := range stats.DrawnIn(free) {
		sum += z * z
	}
	return math.Sqrt(sum / float64(len(free)-groups))
}

func distinctNumbers(list []int) map[int]bool {
	out := map[int]bool{}
	for _, x := range list {
		out[x] = true
	}
	return out
}

// standardise finds the values of a pooled series from those of its families, or from
// what is left of these.
func (s *series) standardise(left map[*series][]float64) error {
	scaled := make([]float64, len(s.from))
	for i, f := range s.from {
		values := f.series.values
		if rest := left[f.series]; rest != nil {
			values = rest
		}
		scaled[i] = values[f.at] / f.spread
	}
	var err error
	s.values, err = stats.Freed(scaled, s.product())
	return err
}

// leads says whether a candidate is said of several families: fewer than half of them
// tell it by themselves, by the same cut or by another name for largely the same part of
// their work, and none tells it more surely than all do together.
func (s *series) leads(c *candidate, candidates map[*series][]*candidate) bool {
	in := map[*series]map[int]bool{}
	for at := range c.in {
		f := s.from[at]
		if in[f.series] == nil {
			in[f.series] = map[int]bool{}
		}
		in[f.series][f.at] = true
	}
	families, tell := 0, 0
	for family, rows := range in {
		if len(rows) < fewestOfFamily {
			continue
		}
		families++
		own, told := &candidate{in: rows}, false
		for _, d := range candidates[family] {
			if d.cut.Factor == c.cut.Factor && d.cut.Key == c.cut.Key || own.alike(d) >= 0.5 {
				if math.Abs(d.distance) >= math.Abs(c.distance) {
					return false
				}
				told = true
			}
		}
		if told {
			tell++
		}
	}
	return 2*tell < families
}

// takeFromFamilies takes out of the families' values what was found of all of them; left
// is what that leaves of the pooled ones.
func (s *series) takeFromFamilies(left []float64) {
	for i, f := range s.from {
		f.series.values[f.at] -= (s.values[i] - left[i]) * f.spread
	}
}

// ofSeveral says whether two families or more have a cut and others beside it.
func (s *series) ofSeveral(rows []int, in func(*row) bool) bool {
	cut, others := map[int]int{}, map[int]int{}
	for _, at := range rows {
		if r := &s.rows[at]; in(r) {
			cut[r.family]++
		} else {
			others[r.family]++
		}
	}
	several := 0
	for family, n := range cut {
		if n >= fewestOfFamily && others[family] >= fewestOfFamily {
			several++
		}
	}
	return several >= 2
}

// inSeveral says whether the rows are of two families or more.
func (s *series) inSeveral(rows []int) bool {
	count := map[int]int{}
	for _, at := range rows {
		count[s.rows[at].family]++
	}
	several := 0
	for _, n := range count {
		if n >= fewestOfFamily {
			several++
		}
	}
	return several >= 2
}
