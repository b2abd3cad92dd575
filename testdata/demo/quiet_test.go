package demo

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"testing"
)

// rankSum is how far the ranks of one group lie above those of all, in standard
// deviations: Wilcoxon's rank sum (Biometrics Bulletin 1, 1945) in its normal
// approximation, equal values sharing their ranks. Unlike a t it is not led
// astray by the few blocks that were not full.
func rankSum(with, without []float64) float64 {
	type ranked struct {
		x    float64
		with bool
	}
	var all []ranked
	for _, x := range with {
		all = append(all, ranked{x, true})
	}
	for _, x := range without {
		all = append(all, ranked{x, false})
	}
	slices.SortFunc(all, func(a, b ranked) int { return cmp.Compare(a.x, b.x) })
	a, n, sum, ties := float64(len(with)), float64(len(all)), 0.0, 0.0
	for i := 0; i < len(all); {
		j := i
		for j < len(all) && all[j].x == all[i].x {
			j++
		}
		rank, equal := float64(i+j+1)/2, float64(j-i)
		for ; i < j; i++ {
			if all[i].with {
				sum += rank
			}
		}
		ties += equal*equal*equal - equal
	}
	variance := a * (n - a) / 12 * (n + 1 - ties/(n*(n-1)))
	return (sum - a*(n+1)/2) / math.Sqrt(variance)
}

// differences compares every builder, stand and lot with all others, in each
// quantity that a story moves, and lists those beyond 4.4 standard deviations.
// Of some 250 comparisons of equal groups one goes so far about once in 400
// shops.
func differences(t *testing.T, s shop) (found []string, compared int) {
	t.Helper()
	const far, fewest = 4.4, 25
	lots := s.lotsOf(t)
	for _, code := range []string{"lateral_tir", "radial_tir", "tension_mean_tight", "ocv_lowest"} {
		list := apartFromProduct(s.values(t, code))
		groups := map[string]func(value) bool{}
		for _, v := range list {
			groups["person "+v.person] = func(x value) bool { return x.person == v.person }
			groups["place "+v.place] = at(v.place)
			groups["improver's last months"] = func(x value) bool { return x.person == improver && x.at.After(testDay.AddDate(0, -3, 0)) }
			for _, lot := range lots[v.item] {
				groups["lot "+lot] = func(x value) bool { return slices.Contains(lots[x.item], lot) }
			}
		}
		for name, is := range groups {
			with, without := split(list, is)
			if len(with) < fewest || len(without) < fewest {
				continue
			}
			compared++
			if x := rankSum(with, without); !(x < far && x > -far) {
				found = append(found, fmt.Sprintf("%s, %s: %.1f", code, name, x))
			}
		}
	}
	slices.Sort(found)
	return found, compared
}

func TestAQuietShopHasNothingToFind(t *testing.T) {
	s := full(t, Quiet)
	found, compared := differences(t, s)
	if compared < 120 {
		t.Errorf("only %d comparisons", compared)
	}
	for _, f := range found {
		t.Error(f)
	}
	// Nor does any lot lose more than the others in the weeks after.
	lots := s.lotsOf(t)
	for _, code := range []string{"tension_mean_tight", "ocv_lowest"} {
		ratios, by := []float64{}, map[string][]float64{}
		for _, c := range changes(s.values(t, code)) {
			ratios = append(ratios, c.ratio)
			for _, lot := range lots[c.item] {
				by[lot] = append(by[lot], c.ratio)
			}
		}
		if len(ratios) < 40 {
			t.Errorf("%s: %d rechecks", code, len(ratios))
		}
		for lot, own := range by {
			if len(own) >= 6 && (mean(own) < mean(ratios)-0.03 || mean(own) > mean(ratios)+0.03) {
				t.Errorf("%s: lot %s is at %.3f of its first value, all at %.3f", code, lot, mean(own), mean(ratios))
			}
		}
	}
	if truth := s.summary.Stories; truth.Told || truth.SpokeLot != "" || truth.BlockLot != "" {
		t.Errorf("stories are told: %+v", truth)
	}
	if n := s.count(t, "SELECT count(*) FROM holds WHERE code = 'W08'"); n > 0 {
		t.Errorf("%d wheels came back broken", n)
	}
	if n := s.count(t, "SELECT count(*) FROM instruments WHERE state <> 'in_use'"); n > 0 {
		t.Errorf("%d gauges are out of use", n)
	}
}

// The same comparisons do find things where things were planted.
func TestTheComparisonsSeeTheStories(t *testing.T) {
	found, _ := differences(t, full(t, Story))
	if len(found) < 4 {
		t.Errorf("found only %d: %v", len(found), found)
	}
}
