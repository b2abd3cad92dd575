package pack

import (
	"cmp"
	"fmt"
	"math"
	"slices"
)

// Effort of the search, in looks at one block of a pack, so that a choice takes
// half a second whatever the stock, and always the same one. Several runs serve a
// stock of a few packs better, one long run a large one. Of twenty stocks of sixty
// scattered blocks, measured against the best that searches many times as long
// found, three runs of half this length lay up to 1.9 % above it, and these 0.7 %.
const (
	smallStock    = 150
	smallRuns     = 3
	smallEffort   = 12_000_000
	largeEffort   = 30_000_000
	attemptEffort = 8_000_000 // to find out how many packs can be made
	polishEffort  = 20_000_000
	attempts      = 4
	searchSeed    = 2026
)

// effort is how many runs there are, and what each may spend.
func (m *matcher) effort() (runs, each int) {
	if len(m.blocks) <= smallStock {
		return smallRuns, smallEffort
	}
	return 1, largeEffort
}

// aim is what annealing makes small.
type aim int

// The aims.
const (
	toSum       aim = iota // the sum of the costs
	toWorst                // the worst cost
	toKeepRules            // the packs that break a rule, and the costs as a help
)

func (m *matcher) aim() aim {
	if m.task.Least == LeastMax {
		return toWorst
	}
	return toSum
}

// layout is a choice as one list: packs one behind the other, then what is left
// over.
type layout []int

// score orders layouts: packs that break a rule, then the cost the task wants
// least, then the sum.
type score struct {
	broken    int
	cost, sum int64
}

func (s score) compare(o score) int {
	return cmp.Or(cmp.Compare(s.broken, o.broken), cmp.Compare(s.cost, o.cost), cmp.Compare(s.sum, o.sum))
}

func (m *matcher) score(l layout, packs int) score {
	var s score
	for p := range packs {
		s = m.add(s, l[p*m.k:(p+1)*m.k])
	}
	return s
}

// add scores one more pack. Packs of two lots do not arise here: blocks change
// places only within their lot.
func (m *matcher) add(s score, members []int) score {
	sh := m.shape(members)
	if m.excess(sh) > 0 {
		s.broken++
	}
	c := m.cost(sh)
	s.cost, s.sum = m.join(s.cost, c), s.sum+c
	return s
}

// search chooses packs out of a stock too large to cover every choice: runs of
// sorted lists, then simulated annealing by exchanging blocks, then every two
// packs divided anew in the best way until nothing improves. Source: simulated
// annealing, Kirkpatrick, Gelatt and Vecchi 1983; the rest common practice.
func (m *matcher) search(most int) (choice, error) {
	packs := m.task.Packs
	var known layout // keeps the rules with that many packs
	if packs == 0 {
		packs, known = m.reach(most)
		if packs == 0 {
			return choice{}, nil
		}
	}
	start := m.start(packs)
	best, bestScore := start, m.score(start, packs)
	candidates := []layout{}
	if known != nil {
		candidates = append(candidates, known)
	}
	runs, each := m.effort()
	if bestScore.broken == 0 && bestScore.sum == 0 {
		runs = 0 // nothing is better than no cost
	}
	for run := range runs {
		candidates = append(candidates, m.anneal(start, packs, each, uint64(run), m.aim()))
	}
	for _, l := range candidates {
		m.polish(l, packs, polishEffort/len(candidates))
		if s := m.score(l, packs); s.compare(bestScore) < 0 {
			best, bestScore = l, s
		}
	}
	if bestScore.broken > 0 {
		return choice{}, fmt.Errorf("%w: none found with %d packs of %d that keep to the rules", ErrNoMatch, packs, m.k)
	}
	m.leaveNewest(best, packs)
	var out choice
	for p := range packs {
		out.packs = append(out.packs, slices.Clone(best[p*m.k:(p+1)*m.k]))
	}
	return out, nil
}

// reach looks for as many packs as keep the rules, from the bound downwards. The
// number does not depend on what is made least.
func (m *matcher) reach(most int) (int, layout) {
	counting := *m
	counting.task.Least = LeastSum
	packs, found := 0, layout(nil)
	for try := 0; try < attempts && most-try > packs; try++ {
		wanted := most - try
		l := counting.anneal(counting.start(wanted), wanted, attemptEffort, uint64(100+try), toKeepRules)
		counting.polish(l, wanted, polishEffort/10)
		if kept, whole := counting.whole(l, wanted); whole > packs {
			packs, found = whole, kept
		}
	}
	return packs, found
}

// whole moves the packs that keep the rules to the front and counts them.
func (m *matcher) whole(l layout, packs int) (layout, int) {
	var front, back layout
	for p := range packs {
		members := l[p*m.k : (p+1)*m.k]
		if m.excess(m.shape(members)) == 0 {
			front = append(front, members...)
		} else {
			back = append(back, members...)
		}
	}
	whole := len(front) / m.k
	return append(append(front, back...), l[packs*m.k:]...), whole
}

// start gives the best of the layouts that cut runs out of the stock sorted
// along lines between the two quantities.
func (m *matcher) start(packs int) layout {
	var best layout
	var bestScore score
	for _, t := range []float64{1, 0.75, 0.5, 0.25, 0, -0.25, -0.5, -0.75} {
		key := make([]float64, len(m.blocks))
		for i := range key {
			key[i] = t*float64(m.mv[i])/float64(m.task.ScaleMV) + (1-math.Abs(t))*float64(m.uohm[i])/float64(m.task.ScaleUohm)
		}
		l := m.runs(key, packs)
		if s := m.score(l, packs); best == nil || s.compare(bestScore) < 0 {
			best, bestScore = l, s
		}
	}
	return best
}

// runs sorts each lot by a key, cuts as many runs out of it as it can give, and
// takes the cheapest of all lots.
func (m *matcher) runs(key []float64, packs int) layout {
	type run struct {
		members []int
		score   score
	}
	var all []run
	for _, lot := range m.lots {
		sorted := slices.Clone(lot)
		slices.SortStableFunc(sorted, func(a, b int) int { return cmp.Compare(key[a], key[b]) })
		for _, end := range m.cutRuns(sorted, min(packs, len(lot)/m.k)) {
			members := sorted[end-m.k+1 : end+1]
			all = append(all, run{members, m.add(score{}, members)})
		}
	}
	slices.SortStableFunc(all, func(a, b run) int { return a.score.compare(b.score) })
	var l layout
	used := make([]bool, len(m.blocks))
	for _, r := range all[:packs] {
		l = append(l, r.members...)
		for _, i := range r.members {
			used[i] = true
		}
	}
	for i := range m.blocks {
		if !used[i] {
			l = append(l, i)
		}
	}
	return l
}

// cutRuns chooses packs runs of a sorted list with the least sum of costs and
// gives where they end. A run that breaks a rule costs more than any that does
// not.
func (m *matcher) cutRuns(sorted []int, packs int) []int {
	n := len(sorted)
	least := make([][]float64, packs+1)
	for p := range least {
		least[p] = make([]float64, n+1)
		for j := range least[p] {
			if p > 0 && j < p*m.k {
				least[p][j] = math.Inf(1)
			}
		}
	}
	price := make([]float64, n+1)
	for j := m.k; j <= n; j++ {
		s := m.shape(sorted[j-m.k : j])
		price[j] = m.float(m.cost(s))
		if over := m.excess(s); over > 0 {
			price[j] += brokenPrice * (1 + over)
		}
	}
	for p := 1; p <= packs; p++ {
		for j := p * m.k; j <= n; j++ {
			least[p][j] = min(least[p][j-1], least[p-1][j-m.k]+price[j])
		}
	}
	var ends []int
	for p, j := packs, n; p > 0; {
		if j > p*m.k && least[p][j] == least[p][j-1] {
			j--
			continue
		}
		ends = append(ends, j-1)
		j -= m.k
		p--
	}
	return ends
}

// brokenPrice stands for a broken rule among runs, far above the cost of a pack.
const brokenPrice = 1e6

// leaveNewest puts older blocks in place of newer ones where the cost stays the
// same.
func (m *matcher) leaveNewest(l layout, packs int) {
	used := packs * m.k
	for changed := true; changed; {
		changed = false
		for i := range used {
			for j := used; j < len(l); j++ {
				if m.age[l[j]] >= m.age[l[i]] || m.lotOf[l[j]] != m.lotOf[l[i]] {
					continue
				}
				p := i / m.k * m.k
				before := m.add(score{}, l[p:p+m.k])
				l[i], l[j] = l[j], l[i]
				if m.add(score{}, l[p:p+m.k]).compare(before) == 0 {
					changed = true
				} else {
					l[i], l[j] = l[j], l[i]
				}
			}
		}
	}
}
