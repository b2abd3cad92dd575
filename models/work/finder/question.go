package finder

import (
	"errors"
	"fmt"
	"maps"
	"slices"

	"tracewright/models/numbers/stats"
)

// Factors that work is cut by.
const (
	ByBuilder = "builder"
	ByStand   = "stand"
	ByGauge   = "gauge"
	ByLot     = "lot"
	ByProduct = "product"
	ByMonth   = "month"
	ByWeekday = "weekday"
	ByAll     = "all" // no cut but that in time
)

// Cut is a part of the work: one builder's, of one stand, with one lot.
type Cut struct {
	Factor   string
	Key      string // of the level: a key, a code, a name; a month as 2006-01, a weekday in English
	Name     string // as people call it
	Material string // of a lot
}

// question is one series and one way of cutting it.
type question struct {
	series *series
	of     Cut // whose time is searched; only its factor where levels are compared
	// rows are those of the series that take part; levels their cuts, -1 for those
	// too small to be looked at; nil where time is searched.
	rows     []int
	levels   []int
	cuts     []Cut
	overTime bool // the days of one part of the work are searched, else levels are compared
	within   bool // months are centred, and days exchanged within them
	own      bool // the product is what is compared, so it is not centred
	small    int  // cuts that are too small
	found
}

// found is what shuffling says of a question.
type found struct {
	levels stats.LevelsSearched
	times  stats.TimesSearched
	asked  bool
}

func (q *question) chance() stats.Chance {
	if q.overTime {
		return q.times.Chance
	}
	return q.found.levels.Chance
}

// ask makes the questions of a series.
func (all *gathered) ask(s *series) []*question {
	name := func(names map[string]string) func(string) string {
		return func(id string) string { return names[id] }
	}
	same := func(text string) string { return text }
	var out []*question
	add := func(q *question) {
		if q != nil {
			out = append(out, q)
		}
	}
	over := func(of Cut, in func(*row) bool) { add(s.inTime(of, in)) }
	if !s.pooled() {
		over(Cut{Factor: ByAll}, func(*row) bool { return true })
	}
	for _, f := range []struct {
		factor string
		of     func(*row) string
		name   func(string) string
		within bool // compared within months
		time   bool // each level is searched over time
		levels bool // levels are compared
	}{
		{ByBuilder, func(r *row) string { return r.person }, name(all.people), true, true, true},
		{ByStand, func(r *row) string { return r.place }, same, true, true, true},
		{ByGauge, func(r *row) string { return r.gauge }, same, true, true, true},
		{ByProduct, func(r *row) string { return r.product }, name(all.products), false, true, s.kind != reading},
		{ByMonth, func(r *row) string { return fmt.Sprintf("%04d-%02d", r.month/12, r.month%12+1) }, same, false, false, true},
		{ByWeekday, func(r *row) string { return r.weekday.String() }, same, true, false, true},
	} {
		// What comes back or is lost is measured by others, later.
		if s.kind != reading && (f.factor == ByBuilder || f.factor == ByGauge || f.factor == ByWeekday || s.kind == change && f.factor == ByStand) {
			continue
		}
		if s.pooled() && f.factor != ByStand && f.factor != ByBuilder && f.factor != ByGauge {
			continue // Products are of one family, and what a month or a weekday does is asked of each.
		}
		if f.levels {
			add(s.compare(Cut{Factor: f.factor}, f.of, f.name, f.within))
		}
		if f.time && s.kind == reading {
			for _, level := range distinct(s.rows, f.of) {
				over(Cut{Factor: f.factor, Key: level, Name: f.name(level)}, func(r *row) bool { return f.of(r) == level })
			}
		}
	}
	if s.pooled() {
		return out
	}
	for _, material := range s.lotMaterials() {
		add(s.compare(Cut{Factor: ByLot, Material: material}, func(r *row) string { return r.lots[material] }, same, false))
	}
	return out
}

// distinct lists the levels of a cut, when there is more than one.
func distinct(rows []row, of func(*row) string) []string {
	seen := map[string]bool{}
	for i := range rows {
		if name := of(&rows[i]); name != "" {
			seen[name] = true
		}
	}
	if len(seen) < 2 {
		return nil
	}
	return slices.Sorted(maps.Keys(seen))
}

// compare asks which level of a factor differs from the others.
func (s *series) compare(of Cut, level func(*row) string, name func(string) string, within bool) *question {
	q := &question{series: s, of: of, within: within, own: of.Factor == ByProduct}
	counts, days, allDays := map[string]int{}, map[string]map[int]bool{}, map[int]bool{}
	for i := range s.rows {
		r := &s.rows[i]
		l := level(r)
		if l == "" {
			continue
		}
		q.rows = append(q.rows, i)
		counts[l]++
		allDays[r.day] = true
		if days[l] == nil {
			days[l] = map[int]bool{}
		}
		days[l][r.day] = true
	}
	if len(counts) < 2 {
		return nil
	}
	number := map[string]int{}
	for _, l := range slices.Sorted(maps.Keys(counts)) {
		number[l] = -1
		if counts[l] < s.fewest() || len(days[l]) < fewestDays || len(q.rows)-counts[l] < s.fewest() || len(allDays)-len(days[l]) < fewestDays && !within && !s.beside(q.rows, level, l) || s.pooled() && !s.ofSeveral(q.rows, func(r *row) bool { return level(r) == l }) {
			q.small++
			continue
		}
		number[l] = len(q.cuts)
		q.cuts = append(q.cuts, Cut{Factor: of.Factor, Key: l, Name: name(l), Material: of.Material})
	}
	if len(q.cuts) == 0 {
		return q
	}
	q.levels = make([]int, len(q.rows))
	for i, at := range q.rows {
		q.levels[i] = number[level(&s.rows[at])]
	}
	return q
}

// beside says whether enough days have values of others than this level.
func (s *series) beside(rows []int, level func(*row) string, l string) bool {
	others := map[int]bool{}
	for _, i := range rows {
		if level(&s.rows[i]) != l {
			others[s.rows[i].day] = true
		}
	}
	return len(others) >= fewestDays
}

// inTime asks whether some days of a part of the work differ from its others.
func (s *series) inTime(of Cut, in func(*row) bool) *question {
	q := &question{series: s, of: of, overTime: true}
	days := map[int]bool{}
	for i := range s.rows {
		if in(&s.rows[i]) {
			q.rows = append(q.rows, i)
			days[s.rows[i].day] = true
		}
	}
	if len(q.rows) < 2*s.fewest() || len(days) < 4*fewestDays || s.pooled() && !s.inSeveral(q.rows) {
		q.small, q.rows = 1, nil
	}
	return q
}

// count is how many cuts a question looks at: the time of a part of the work is
// one.
func (q *question) count() int {
	switch {
	case !q.overTime:
		return len(q.cuts)
	case len(q.rows) == 0:
		return 0
	}
	return 1
}

// constants are what the values of the question are taken from: the mean of each
// product, and of each month where it is asked within months.
func (q *question) constants() [][]int {
	product, month := make([]int, len(q.rows)), make([]int, len(q.rows))
	all := q.series.product()
	for i, at := range q.rows {
		// Months of each family: what one of them did in a month is nothing that a stand
		// did.
		product[i], month[i] = all[at], q.series.rows[at].month*mostFamilies+q.series.rows[at].family
	}
	switch {
	case q.own:
		return nil
	case q.within:
		return [][]int{product, month}
	}
	return [][]int{product}
}

// shuffle answers the question from values of the whole series.
func (q *question) shuffle(values []float64, how stats.Shuffling) error {
	own, days := make([]float64, len(q.rows)), make([]int, len(q.rows))
	var strata []int
	for i, at := range q.rows {
		own[i], days[i] = values[at], q.series.rows[at].day
		if q.within {
			strata = append(strata, q.series.rows[at].month)
		}
	}
	free, err := stats.Freed(own, q.constants()...)
	if err != nil {
		return err
	}
	if q.series.kind != share {
		free = stats.DrawnIn(free) // One block that was not full does not hide what all others show.
	}
	q.asked = false
	cells, err := stats.CellsOf(free, days, q.levels, strata)
	if err != nil {
		return err
	}
	if q.overTime {
		q.times, err = stats.SearchTimes(cells, how)
	} else {
		q.found.levels, err = stats.SearchLevels(cells, len(q.cuts), how)
	}
	// Too few days, or all alike: there is nothing that could differ.
	if errors.Is(err, stats.ErrTooFew) || errors.Is(err, stats.ErrNoSpread) {
		return nil
	}
	q.asked = err == nil
	return err
}
