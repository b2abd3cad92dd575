package failures

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"slices"

	"tracewright/models"
	"tracewright/models/numbers/stats"
)

// stratum is what first sets are alike in before groups are compared.
type stratum struct{ product, month string }

// part is first sets of one group and stratum.
type part struct {
	group string
	of    stratum
	k, n  int
	took  models.Tally
}

// names are what groups are called.
type names struct{ products, people, lots map[string]string }

func (s *Service) names(ctx context.Context, a asked, t models.Tallied) (names, error) {
	n := names{map[string]string{}, map[string]string{}, map[string]string{}}
	for _, p := range a.products {
		n.products[p.ID] = p.Name
	}
	people, err := s.store.People(ctx)
	if err != nil {
		return n, fmt.Errorf("people: %w", err)
	}
	for _, p := range people {
		n.people[p.ID] = p.Name
	}
	var ids []string
	for _, l := range t.Lots {
		ids = append(ids, l.LotID)
	}
	slices.Sort(ids)
	for chunk := range slices.Chunk(slices.Compact(ids), 500) {
		lots, err := s.store.LotsByID(ctx, chunk)
		if err != nil {
			return n, fmt.Errorf("lots: %w", err)
		}
		for _, l := range lots {
			n.lots[l.ID] = l.Code
		}
	}
	return n, nil
}

// cuts parts the first sets in every way, each group held against its own mix: what
// is expected of it is, over products and months, its first sets times the share of
// all first sets of that product and month that failed. A cut by product is adjusted
// for months alone, one by month for products alone. A group's own first sets are
// among all, so that one as large as the rest together differs from it by half.
// Where a cause is asked for, what failed so is counted; of lots that is not known.
func (v *View) cuts(t models.Tallied, n names) error {
	var places, people, products, months, lots []part
	same := func(id string) string { return id }
	add := func(day, product, place, person string, p part) {
		month := day[:len("2031-05")]
		put := func(list *[]part, group string, of stratum) {
			p.group, p.of = group, of
			*list = append(*list, p)
		}
		if place != "" {
			put(&places, place, stratum{product, month})
		}
		put(&people, person, stratum{product, month})
		if product != "" {
			put(&products, product, stratum{month: month})
		}
		put(&months, month, stratum{product: product})
	}
	for _, s := range t.Sets {
		if judged := s.Passed + s.Failed; judged > 0 {
			p := part{n: judged, took: s}
			if v.Query.Code == "" {
				p.k = s.Failed
			}
			add(s.Day, s.ProductID, s.Place, s.PersonID, p)
		}
	}
	for _, d := range t.Defects {
		if v.Query.Code != "" && d.Source == models.FromFirstSet && d.Code == v.Query.Code {
			add(d.Day, d.ProductID, d.Place, d.PersonID, part{k: d.Items})
		}
	}
	for _, l := range t.Lots {
		if v.Query.Code == "" {
			lots = append(lots, part{group: l.LotID, of: stratum{l.ProductID, l.Day[:len("2031-05")]}, k: l.Failed, n: l.Passed + l.Failed})
		}
	}
	all := rates(people) // Every first set has a person.
	for _, c := range []struct {
		by    string
		parts []part
		rates map[stratum]float64
		name  func(string) string
	}{
		{ByPlace, places, all, same}, {ByPerson, people, all, named(n.people)}, {ByProduct, products, rates(products), named(n.products)}, {ByMonth, months, rates(months), v.Part}, {ByLot, lots, all, named(n.lots)},
	} {
		cut := cutOf(c.by, c.parts, c.rates, c.name)
		if len(cut.Groups) == 1 { // One group has nothing beside it: it is listed.
			cut.Few = append(cut.Few, cut.Groups...)
			cut.Groups = nil
		}
		for j := range cut.Groups {
			if err := cut.Groups[j].judge(len(cut.Groups)); err != nil {
				return fmt.Errorf("compare by %s: %w", c.by, err)
			}
		}
		if cut.Among = len(cut.Groups); cut.Among+len(cut.Few) > 0 {
			v.Cuts = append(v.Cuts, cut)
			v.Compared += cut.Among
		}
	}
	return nil
}

// rates are the shares that failed in each stratum.
func rates(parts []part) map[stratum]float64 {
	k, n := map[stratum]float64{}, map[stratum]float64{}
	for _, p := range parts {
		k[p.of], n[p.of] = k[p.of]+float64(p.k), n[p.of]+float64(p.n)
	}
	for of := range n {
		k[of] /= n[of]
	}
	return k
}

func named(names map[string]string) func(string) string {
	return func(id string) string { return cmp.Or(names[id], id) }
}

// cutOf adds the parts of each group up, in the order of their names.
func cutOf(by string, parts []part, rates map[stratum]float64, name func(string) string) Cut {
	groups := map[string]*Group{}
	for _, p := range parts {
		g := groups[p.group]
		if g == nil {
			g = &Group{ID: p.group, Name: name(p.group)}
			groups[p.group] = g
		}
		g.K, g.N = g.K+p.k, g.N+p.n
		g.Expected += float64(p.n) * rates[p.of]
		g.Took.add(p.took)
	}
	cut := Cut{By: by}
	for _, g := range groups {
		g.Took.settle()
		if g.N < FewestInGroup {
			cut.Few = append(cut.Few, *g)
		} else {
			cut.Groups = append(cut.Groups, *g)
		}
	}
	byName := func(a, b Group) int { return cmp.Or(cmp.Compare(a.Name, b.Name), cmp.Compare(a.ID, b.ID)) }
	slices.SortFunc(cut.Groups, byName)
	slices.SortFunc(cut.Few, byName)
	return cut
}

// judge holds a group against its expected failures: twice the smaller tail of the
// binomial distribution at expected/n, with 5 % divided by the number of groups of
// its cut (Bonferroni). Chances that differ from item to item spread less than
// the one at their mean (Hoeffding, Annals of Mathematical Statistics 27, 1956), so
// that the limits are on the safe side.
func (g *Group) judge(compared int) error {
	n, p := float64(g.N), g.Expected/float64(g.N)
	if p <= 0 || p >= 1 { // Nothing failed in any of its strata, or everything.
		g.P, g.Low, g.High, g.Least, g.Most = 1, g.K, g.K, g.K, g.K
		return nil
	}
	alpha := 0.05 / float64(compared)
	funnel, err := stats.FunnelOf([]int{g.K}, []int{g.N}, p, 0.95, 1-alpha)
	if err != nil {
		return err
	}
	inner, outer := funnel.Levels[0].Counts[0], funnel.Levels[1].Counts[0]
	g.Low, g.High, g.Least, g.Most = int(inner.Low), int(inner.High), int(outer.Low), int(outer.High)
	below, err := stats.BinomialBelow(float64(g.K), n, p)
	if err != nil {
		return err
	}
	above := 1.
	if g.K > 0 {
		if above, err = stats.BinomialAbove(float64(g.K-1), n, p); err != nil {
			return err
		}
	}
	g.P = math.Min(1, 2*math.Min(below, above))
	if g.P < alpha {
		g.Signal = "low"
		if float64(g.K) > g.Expected {
			g.Signal = "high"
		}
	}
	return nil
}

// SeesPeople says whether somebody is told how builders differ.
func SeesPeople(actor models.Actor) bool { return actor.SeesBuilders() }

// Hidden says whether groups were compared that this person does not see.
func (v *View) Hidden() bool {
	return slices.ContainsFunc(v.Cuts, func(c Cut) bool { return c.Among > len(c.Groups) })
}

// keepPrivate leaves out the builders that somebody is not to see: all but himself,
// unless he decides about the work.
func (v *View) keepPrivate(actor models.Actor) {
	if SeesPeople(actor) {
		return
	}
	for i := range v.Cuts {
		if c := &v.Cuts[i]; c.By == ByPerson {
			other := func(g Group) bool { return g.ID != actor.PersonID }
			before, compared := len(c.Groups)+len(c.Few), len(c.Groups)
			c.Groups, c.Few = slices.DeleteFunc(c.Groups, other), slices.DeleteFunc(c.Few, other)
			c.Hidden = len(c.Groups)+len(c.Few) < before
			v.Compared -= compared - len(c.Groups)
		}
	}
}
