package pack

import (
	"fmt"
	"slices"
	"testing"
	"time"

	"tracewright/testdata/cases"
)

// matchCase is a worked match: optima by enumeration, confirmed by an integer
// linear programme.
type matchCase struct {
	Input struct {
		Agg         string `json:"agg"`
		PackSize    int    `json:"pack_size"`
		Packs       *int   `json:"packs"`
		ScaleMV     int64  `json:"scale_mV"`
		ScaleUohm   int64  `json:"scale_uohm"`
		Constraints struct {
			SameLot bool   `json:"same_lot"`
			MaxMV   *int64 `json:"max_range_mV"`
			MaxUohm *int64 `json:"max_range_uohm"`
			MaxSpan *int64 `json:"max_age_span_days"`
		} `json:"constraints"`
		Blocks []struct {
			ID   string `json:"id"`
			MV   int64  `json:"ocv_mV"`
			Uohm int64  `json:"ir_uohm"`
			Lot  string `json:"lot"`
			Made string `json:"made"`
		} `json:"blocks"`
	}
	Packs int     `json:"packs"`
	Cost  float64 `json:"cost"`
	Bound float64 `json:"lower_bound"`
	Count int64   `json:"optimal_count"`
}

// task makes a task of a case.
func (c matchCase) task(t testing.TB) MatchTask {
	t.Helper()
	task := MatchTask{PackSize: c.Input.PackSize, Least: c.Input.Agg, ScaleMV: c.Input.ScaleMV, ScaleUohm: c.Input.ScaleUohm,
		Rules: MatchRules{SameLot: c.Input.Constraints.SameLot, MaxMV: c.Input.Constraints.MaxMV, MaxUohm: c.Input.Constraints.MaxUohm, MaxSpanDays: c.Input.Constraints.MaxSpan}}
	if c.Input.Packs != nil {
		task.Packs = *c.Input.Packs
	}
	for _, b := range c.Input.Blocks {
		made, err := time.Parse(time.DateOnly, b.Made)
		if err != nil {
			t.Fatal(err)
		}
		task.Blocks = append(task.Blocks, Block{ID: b.ID, MV: b.MV, Uohm: b.Uohm, Lot: b.Lot, Made: made})
	}
	return task
}

// matchCases reads the worked matches by their name.
func matchCases(t testing.TB) map[string]matchCase {
	t.Helper()
	out := map[string]matchCase{}
	for _, c := range cases.OfKind(t, "match") {
		m := cases.Decode[matchCase](t, c.Expected)
		m.Input = cases.Decode[struct {
			matchCase
		}](t, []byte(fmt.Sprintf(`{"Input":%s}`, c.Input))).matchCase.Input
		out[c.ID] = m
	}
	return out
}

// checkMatch says whether an answer is what it claims: disjoint packs of the
// right size out of the stock that keep every rule, with ranges and cost that
// follow from the blocks.
func checkMatch(t testing.TB, task MatchTask, r MatchResult) {
	t.Helper()
	stock := map[string]Block{}
	for _, b := range task.Blocks {
		stock[b.ID] = b
	}
	take := func(name string) Block {
		b, there := stock[name]
		if !there {
			t.Fatalf("block %q is not in the stock, or used twice", name)
		}
		delete(stock, name)
		return b
	}
	var total float64
	for _, p := range r.Packs {
		if len(p.Blocks) != task.PackSize {
			t.Fatalf("pack %v: want %d blocks", p.Blocks, task.PackSize)
		}
		var mv, uohm, day []int64
		lots := map[string]bool{}
		for _, name := range p.Blocks {
			b := take(name)
			mv, uohm = append(mv, b.MV), append(uohm, b.Uohm)
			day = append(day, b.Made.Unix()/86400)
			lots[b.Lot] = true
		}
		apart := func(x []int64) int64 { return slices.Max(x) - slices.Min(x) }
		within := func(x []int64, limit *int64) bool { return limit == nil || apart(x) <= *limit }
		if !within(mv, task.Rules.MaxMV) || !within(uohm, task.Rules.MaxUohm) || !within(day, task.Rules.MaxSpanDays) || task.Rules.SameLot && len(lots) > 1 {
			t.Errorf("pack %v breaks a rule", p.Blocks)
		}
		if p.RangeMV != apart(mv) || p.RangeUohm != apart(uohm) {
			t.Errorf("pack %v: ranges %d mV, %d uohm, want %d, %d", p.Blocks, p.RangeMV, p.RangeUohm, apart(mv), apart(uohm))
		}
		cost := float64(apart(mv))/float64(task.ScaleMV) + float64(apart(uohm))/float64(task.ScaleUohm)
		near(t, fmt.Sprintf("cost of %v", p.Blocks), p.Cost, cost, 1e-9)
		if task.Least == LeastMax {
			total = max(total, cost)
		} else {
			total += cost
		}
	}
	near(t, "cost", r.Cost, total, 1e-9)
	for _, name := range r.Left {
		take(name)
	}
	if len(stock) > 0 {
		t.Errorf("%d blocks are neither used nor left over", len(stock))
	}
	if r.LotBound > r.Cost+1e-9 || r.LowerBound > r.LotBound+1e-9 {
		t.Errorf("bounds %g and by lot %g, cost %g: they must not fall", r.LowerBound, r.LotBound, r.Cost)
	}
	if task.Packs > 0 && len(r.Packs) != task.Packs || len(r.Packs) > r.MostPacks {
		t.Errorf("%d packs, asked for %d, at most %d", len(r.Packs), task.Packs, r.MostPacks)
	}
}

func TestMatchCases(t *testing.T) {
	for id, c := range matchCases(t) {
		t.Run(id, func(t *testing.T) {
			task := c.task(t)
			r, err := Match(task)
			if err != nil {
				t.Fatal(err)
			}
			checkMatch(t, task, r)
			near(t, "cost", r.Cost, c.Cost, 1e-9)
			near(t, "bound", r.LowerBound, c.Bound, 0.01)
			if len(r.Packs) != c.Packs || r.BestCount != c.Count || !r.Exact {
				t.Errorf("got %d packs, %d ways, exact %v; want %d, %d, true", len(r.Packs), r.BestCount, r.Exact, c.Packs, c.Count)
			}
		})
	}
}

// The search that serves larger stocks finds the known optimum of the small ones.
func TestSearchFindsKnownOptima(t *testing.T) {
	for id, c := range matchCases(t) {
		t.Run(id, func(t *testing.T) {
			task := c.task(t)
			m, err := newMatcher(task)
			if err != nil {
				t.Fatal(err)
			}
			most := m.mostPacks()
			found, err := m.search(most)
			if err != nil {
				t.Fatal(err)
			}
			r, err := m.result(found, most)
			if err != nil {
				t.Fatal(err)
			}
			checkMatch(t, task, r)
			near(t, "cost", r.Cost, c.Cost, 1e-9)
			if len(r.Packs) != c.Packs {
				t.Errorf("%d packs, want %d", len(r.Packs), c.Packs)
			}
		})
	}
}
