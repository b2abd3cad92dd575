package claims

import (
	"context"
	"fmt"
	"slices"
	"time"

	"tracewright/models"
	"tracewright/models/numbers/life"
	"tracewright/models/numbers/stats"
)

// What the others have in common with an item.
const (
	SameLot     = "lot"
	SameProduct = "product"
	SamePlace   = "place" // where it was first measured
	SameMonth   = "month" // in which it was made
)

const (
	// FewUnits: of fewer only counts are said.
	FewUnits   = 20
	confidence = 0.95
	leastPart  = 1e-6 // of all returns, that a group is taken to have where none is expected
)

// Group is the items that share something with one in hand, and how many of
// them came back, as far as this shop knows.
type Group struct {
	Same      string
	Name      string // code of the lot, name of the place, month as 2026-09
	Units     int    // that left the shop, without the one in hand
	Back      int
	Few       bool // too few, here or elsewhere, to compare
	Low, High float64
	// Expected is how many would have come back by now if these did at each age as
	// all others of the family do (see life.Expected). Elsewhere counts those.
	Expected  float64
	Elsewhere int
	Beyond    int // older than all of those: their expectation ends at that age
	// More says that more came back than its part of all that did, by a test that
	// knows how few they are: of all returns together, those of the group are taken
	// as binomial with the part that the curve of everybody expects of it at equal
	// age (conditional on the total; Breslow and Day, Statistical Methods in Cancer
	// Research II, 1987, chapter 3; cited from memory). In truth the part differs
	// from age to age: a sum of such trials lies closer to its middle than the
	// binomial with their mean (Hoeffding, Annals of Mathematical Statistics 27,
	// 1956), so that the test errs towards saying nothing. Its exact lower bound
	// allows for the number of groups compared (Bonferroni).
	More bool
	// AtLeast is how many times its part of all returns it has, by that bound: of
	// several groups with more, the one with the most of it is the first to look at.
	// A share of returns says less, for a few of few make a large one.
	AtLeast float64

	total int     // returns, here and elsewhere
	part  float64 // of them that is expected of the group
}

// Others is what is known of items like one.
type Others struct {
	Groups []Group
	Lives  int // of the family, that left the shop, without the one in hand
}

// Others compares the items that share a lot, the product, the place or the month
// with the item in hand, each group with all others of its family at equal age.
// It is worked out anew from every item of the family, so a page of its own asks.
func (s *Service) Others(ctx context.Context, item models.Item, lots []models.Lot) (Others, error) {
	if item.FamilyID == nil {
		return Others{}, nil
	}
	lives, err := s.store.ServiceLives(ctx, *item.FamilyID)
	if err != nil {
		return Others{}, fmt.Errorf("what left the shop: %w", err)
	}
	ids := make([]string, len(lots))
	for i, l := range lots {
		ids[i] = l.ID
	}
	held, err := s.store.EverHeld(ctx, ids)
	if err != nil {
		return Others{}, fmt.Errorf("what holds the same lots: %w", err)
	}
	zone := s.zone(ctx)
	own := models.ServiceLife{MadeAt: item.MadeAt()}
	if at := slices.IndexFunc(lives, func(l models.ServiceLife) bool { return l.ItemID == item.ID }); at >= 0 {
		own = lives[at]
		lives = slices.Delete(slices.Clone(lives), at, at+1)
	}
	out := Others{Lives: len(lives)}
	add := func(same, name string, in func(models.ServiceLife) bool) error {
		g, err := compared(lives, in, s.now())
		if err != nil {
			return fmt.Errorf("items of the same %s: %w", same, err)
		}
		g.Same, g.Name = same, name
		out.Groups = append(out.Groups, g)
		return nil
	}
	for _, l := range lots {
		has := map[string]bool{}
		for _, id := range held[l.ID] {
			has[id] = true
		}
		if err := add(SameLot, l.Code, func(x models.ServiceLife) bool { return has[x.ItemID] }); err != nil {
			return Others{}, err
		}
	}
	month := func(t time.Time) string { return t.In(zone).Format("2006-01") }
	if item.ProductID != nil {
		if err := add(SameProduct, "", func(x models.ServiceLife) bool { return x.ProductID == *item.ProductID }); err != nil {
			return Others{}, err
		}
	}
	if own.Place != "" {
		if err := add(SamePlace, own.Place, func(x models.ServiceLife) bool { return x.Place == own.Place }); err != nil {
			return Others{}, err
		}
	}
	err = add(SameMonth, month(own.MadeAt), func(x models.ServiceLife) bool { return month(x.MadeAt) == month(own.MadeAt) })
	if err != nil {
		return Others{}, err
	}
	return out, out.mark()
}

// mark finds the groups of which more came back than expected.
func (o *Others) mark() error {
	n := 0
	for _, g := range o.Groups {
		if !g.Few {
			n++
		}
	}
	for i := range o.Groups {
		g := &o.Groups[i]
		if g.Few || g.total == 0 {
			continue
		}
		share, err := stats.ProportionIntervalsOf(g.Back, g.total, 1-(1-confidence)/float64(n))
		if err != nil {
			return fmt.Errorf("what came back of %d: %w", g.Units, err)
		}
		if g.More = share.Exact.Low > g.part; g.More {
			g.AtLeast = share.Exact.Low / max(g.part, leastPart)
		}
	}
	return nil
}

// compared counts those of a group that came back, with the exact interval of
// their share (Clopper and Pearson), beside what is expected at equal age.
func compared(lives []models.ServiceLife, in func(models.ServiceLife) bool, now time.Time) (Group, error) {
	var group, rest []life.Observation
	g := Group{}
	for _, l := range lives {
		// Days since the shipment, whole: what was claimed on one day failed at one age.
		o := life.Observation{Time: days(now.Sub(l.ShippedAt)), Count: 1}
		if l.ClaimedAt != nil {
			o.Time, o.Failed = days(l.ClaimedAt.Sub(l.ShippedAt)), true
		}
		if !in(l) {
			rest = append(rest, o)
			continue
		}
		group = append(group, o)
		if o.Failed {
			g.Back++
		}
	}
	g.Units, g.Elsewhere = len(group), len(rest)
	if g.Few = g.Units < FewUnits || g.Elsewhere < FewUnits; g.Few {
		return g, nil
	}
	share, err := stats.ProportionIntervalsOf(g.Back, g.Units, confidence)
	if err != nil {
		return g, err
	}
	curve, err := life.KaplanMeier(rest, life.CurveOptions{Confidence: confidence})
	if err != nil {
		return g, err
	}
	expected, err := curve.Expected(group)
	if err != nil {
		return g, err
	}
	all, err := life.KaplanMeier(slices.Concat(group, rest), life.CurveOptions{Confidence: confidence})
	if err != nil {
		return g, err
	}
	of, err := all.Expected(group)
	if g.total = all.Failures; g.total > 0 {
		g.part = of.Failures / float64(g.total)
	}
	g.Low, g.High, g.Expected, g.Beyond = share.Exact.Low, share.Exact.High, expected.Failures, expected.Beyond
	return g, err
}

func days(d time.Duration) float64 { return float64(max(0, int(d.Hours()/24))) }
