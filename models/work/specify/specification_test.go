package specify_test

import (
	"errors"
	"fmt"
	"slices"
	"testing"

	"tracewright/models"
	"tracewright/models/work/specify"
	"tracewright/models/work/worktest"
)

// limit finds a limit in a list, to be changed.
func limit(t *testing.T, list []models.Characteristic, result string) *models.Limit {
	t.Helper()
	for i := range list {
		for j := range list[i].Results {
			if list[i].Results[j].Result == result {
				return &list[i].Results[j]
			}
		}
	}
	t.Fatalf("no result %s", result)
	return nil
}

// at is the path of a result in a list.
func at(list []models.Characteristic, result, field string) string {
	for i := range list {
		for j := range list[i].Results {
			if list[i].Results[j].Result == result {
				return fmt.Sprintf("characteristics[%d].results[%d]%s", i, j, field)
			}
		}
	}
	return "nowhere"
}

// Each row changes one thing of the default specification of a wheel and names
// what must be said of it.
func TestSpecificationIsChecked(t *testing.T) {
	h := worktest.New(t)
	s := specify.New(h.Store, h.Clock)
	family := *h.Item[models.KindWheel].FamilyID
	type list = []models.Characteristic
	rows := []struct {
		name   string
		change func(*specify.SpecificationChange)
		want   func(list) []string
	}{
		{"as it is", func(*specify.SpecificationChange) {}, nil},
		{"no reason", func(c *specify.SpecificationChange) { c.Reason = "" }, func(list) []string { return []string{"reason: reason_needed"} }},
		{"a grade nobody knows", func(c *specify.SpecificationChange) { c.Grade = "A" }, func(list) []string { return []string{"grade: unknown_grade"} }},
		{"own limits", func(c *specify.SpecificationChange) { c.Grade = specify.OwnGrade }, nil},
		{"a rule that is not offered", func(c *specify.SpecificationChange) { c.Rule = "iso14253" }, func(list) []string { return []string{"rule: unknown_choice"} }},
		{"nothing", func(c *specify.SpecificationChange) { c.Characteristics = nil }, func(list) []string { return []string{"characteristics: missing"} }},
		{"one characteristic is enough", func(c *specify.SpecificationChange) { c.Characteristics = c.Characteristics[:1] }, nil},
		{"one twice", func(c *specify.SpecificationChange) {
			c.Characteristics = append(c.Characteristics[:1], c.Characteristics[0])
		}, func(list) []string { return []string{"characteristics[1].code: listed_twice"} }},
		{"one nobody knows", func(c *specify.SpecificationChange) { c.Characteristics[0].Code = "colour" }, func(list) []string { return []string{"characteristics[0].code: unknown_characteristic"} }},
		{"a result nobody knows", func(c *specify.SpecificationChange) { c.Characteristics[0].Results[0].Result = "shine" }, func(list) []string { return []string{"characteristics[0].results[0].result: unknown_code"} }},
		{"a method it does not have", func(c *specify.SpecificationChange) { c.Characteristics[0].Methods = []string{"sample"} }, func(list) []string { return []string{"characteristics[0].methods[0]: method_not_accepted"} }},
		{"a unit of something else", func(c *specify.SpecificationChange) { c.Characteristics[0].Units = []string{"mm", "N"} }, func(list) []string { return []string{"characteristics[0].units[1]: unit_not_accepted"} }},
		{"another unit of length", func(c *specify.SpecificationChange) { c.Characteristics[0].Units = []string{"mm", "in"} }, nil},
		{"a unit nobody knows", func(c *specify.SpecificationChange) { c.Characteristics[0].Units = []string{"furlong"} }, func(list) []string { return []string{"characteristics[0].units[0]: unknown_unit"} }},
		{"low above high", func(c *specify.SpecificationChange) {
			l := limit(t, c.Characteristics, "tension_mean_tight")
			l.Low, l.High = "1300", "1299.9"
		}, func(l list) []string { return []string{at(l, "tension_mean_tight", ".low: low_above_high")} }},
		{"low equal to high", func(c *specify.SpecificationChange) {
			l := limit(t, c.Characteristics, "tension_mean_tight")
			l.Low, l.High = "1300", "1300.0"
		}, nil},
		{"a limit in words", func(c *specify.SpecificationChange) { limit(t, c.Characteristics, "lateral_tir").High = "a hair" }, func(l list) []string { return []string{at(l, "lateral_tir", ".high: not_a_number")} }},
		{"a limit with a comma", func(c *specify.SpecificationChange) { limit(t, c.Characteristics, "lateral_tir").High = "0,25" }, nil},
		{"an uncertainty of zero", func(c *specify.SpecificationChange) { limit(t, c.Characteristics, "dish_abs").U = "0" }, func(l list) []string { return []string{at(l, "dish_abs", ".u: zero_not_possible")} }},
		{"a limit on a tick", func(c *specify.SpecificationChange) { limit(t, c.Characteristics, "cable_sound").High = "1" }, func(l list) []string { return []string{at(l, "cable_sound", ": limit_not_possible")} }},
		{"too few decimals", func(c *specify.SpecificationChange) { limit(t, c.Characteristics, "lateral_tir").Decimals = 1 }, func(l list) []string { return []string{at(l, "lateral_tir", ".decimals: too_small")} }},
		{"required by a method that cannot give it", func(c *specify.SpecificationChange) {
			limit(t, c.Characteristics, "lateral_h2").Required = []string{models.Extremes}
		}, func(l list) []string { return []string{at(l, "lateral_h2", ".required[0]: method_not_accepted")} }},
		{"a sampled spoke of the other side", func(c *specify.SpecificationChange) { c.Characteristics[3].Sample = []int{0, 12, 7} }, func(list) []string { return []string{"characteristics[3].sample[2]: wrong_side"} }},
		{"a sample of one", func(c *specify.SpecificationChange) { c.Characteristics[3].Sample = []int{0} }, func(list) []string { return []string{"characteristics[3].sample: too_small"} }},
		{"a sampled spoke twice", func(c *specify.SpecificationChange) { c.Characteristics[3].Sample = []int{0, 12, 12} }, func(list) []string { return []string{"characteristics[3].sample[2]: index_twice"} }},
	}
	for _, row := range rows {
		t.Run(row.name, func(t *testing.T) {
			inForce, err := s.InForce(t.Context(), family, nil)
			h.Must(err)
			change := specify.SpecificationChange{FamilyID: family, From: inForce.Revision, Grade: "standard", Rule: "simple", Reason: row.name, Characteristics: defaults(t, h, models.KindWheel)}
			row.change(&change)
			var want []string
			if row.want != nil {
				want = row.want(defaults(t, h, models.KindWheel))
			}
			_, err = s.ReviseSpecification(t.Context(), h.Owner, change)
			worktest.WantProblems(t, err, want...)
		})
	}
}

// A pack's voltages are compared at one temperature, and the pack with the sum
// of its blocks: what that rests on cannot be dropped alone.
func TestWhatAnotherCharacteristicRestsOnStays(t *testing.T) {
	h := worktest.New(t)
	s := specify.New(h.Store, h.Clock)
	family := *h.Item[models.KindPack].FamilyID
	for _, row := range []struct {
		name string
		drop []string
		want []string // the characteristics with a problem
	}{
		{"the temperature", []string{"block_temperature"}, []string{"block_resistance", "block_voltage"}},
		{"the voltage of the blocks", []string{"block_voltage"}, []string{"pack_voltage"}},
		{"the voltage of the whole", []string{"pack_voltage"}, nil},
		{"all that rests on the temperature, and it", []string{"block_temperature", "block_resistance", "block_voltage", "pack_voltage"}, nil},
	} {
		t.Run(row.name, func(t *testing.T) {
			inForce, err := s.InForce(t.Context(), family, nil)
			h.Must(err)
			list := slices.DeleteFunc(defaults(t, h, models.KindPack), func(c models.Characteristic) bool { return slices.Contains(row.drop, c.Code) })
			var want []string
			for i, c := range list {
				if slices.Contains(row.want, c.Code) {
					want = append(want, fmt.Sprintf("characteristics[%d].code: needs_another", i))
				}
			}
			_, err = s.ReviseSpecification(t.Context(), h.Owner, specify.SpecificationChange{FamilyID: family, From: inForce.Revision, Grade: inForce.Grade, Rule: "simple", Reason: row.name, Characteristics: list})
			worktest.WantProblems(t, err, want...)
		})
	}
}

// defaults is the first specification of a kind, copied, to be changed.
func defaults(t *testing.T, h *worktest.Shop, kind string) []models.Characteristic {
	t.Helper()
	all, err := h.Store.Specifications(t.Context(), *h.Item[kind].FamilyID)
	h.Must(err)
	first := all[len(all)-1]
	list := slices.Clone(first.Characteristics)
	for i := range list {
		list[i].Results = slices.Clone(list[i].Results)
	}
	return list
}

// A guarded rule needs what it rests on. Limits and uncertainties are decided as
// in ILAC-G8:09/2019, 4.2.2: low + rU at most high - rU, equality allowed.
func TestGuardedRule(t *testing.T) {
	h := worktest.New(t)
	s := specify.New(h.Store, h.Clock)
	family := *h.Item[models.KindWheel].FamilyID
	// Only what is limited here, so that each row stands alone.
	withMean := func(low, high, u string) []models.Characteristic {
		return []models.Characteristic{{Code: "tension_a", Methods: []string{models.EveryHole}, Results: []models.Limit{{Result: "tension_mean_tight", Low: low, High: high, U: u}, {Result: "side_ratio"}}}}
	}
	const mean = "characteristics[0].results[0]"
	for _, row := range []struct {
		name            string
		factor          string
		characteristics []models.Characteristic
		want            []string
		stored          string // guard factor
	}{
		{"with an uncertainty", "", withMean("800", "1300", "50"), nil, "1"},
		{"without one", "1", withMean("800", "1300", ""), []string{mean + ".u: guarded_needs_uncertainty"}, ""},
		{"nothing limited needs none", "1", withMean("", "", ""), nil, "1"},
		{"acceptance limits that meet", "1", withMean("800", "900", "50"), nil, "1"},
		{"acceptance limits that cross", "1", withMean("800", "900", "50.1"), []string{mean + ".u: no_acceptance_zone"}, ""},
		{"a smaller factor lets them meet again", "0,5", withMean("800", "900", "100"), nil, "0.5"},
		{"one side cannot cross", "1", withMean("800", "", "5000"), nil, "1"},
		{"a factor of zero is the simple rule", "0", withMean("800", "1300", "50"), []string{"guard_factor: zero_not_possible"}, ""},
		{"a factor below zero would widen", "-1", withMean("800", "1300", "50"), []string{"guard_factor: negative_not_possible"}, ""},
		{"a limited full reading", "1", []models.Characteristic{{Code: "lateral_runout", Methods: []string{models.Extremes}, Results: []models.Limit{{Result: "lateral_tir", High: "0.3", U: "0.02"}}}}, []string{"rule: guarded_not_for_runout"}, ""},
		{"a full reading without limit", "1", []models.Characteristic{{Code: "lateral_runout", Methods: []string{models.Extremes}, Results: []models.Limit{{Result: "lateral_tir", U: "0.02"}}}}, nil, "1"},
	} {
		t.Run(row.name, func(t *testing.T) {
			inForce, err := s.InForce(t.Context(), family, nil)
			h.Must(err)
			made, err := s.ReviseSpecification(t.Context(), h.Owner, specify.SpecificationChange{FamilyID: family, From: inForce.Revision, Grade: specify.OwnGrade, Rule: "guarded", GuardFactor: row.factor, Reason: row.name, Characteristics: row.characteristics})
			worktest.WantProblems(t, err, row.want...)
			if err == nil && made.GuardFactor != row.stored {
				t.Errorf("guard factor %q, want %q", made.GuardFactor, row.stored)
			}
		})
	}
}

// A result may have a rule of its own: then it alone needs what the rule rests on,
// and keeps a full reading out of the others' guard.
func TestARuleOfOneResult(t *testing.T) {
	h := worktest.New(t)
	s := specify.New(h.Store, h.Clock)
	ctx, family := t.Context(), *h.Item[models.KindWheel].FamilyID
	b := models.UncertaintyBudget{ID: models.NewID(), FamilyID: family, Result: "dish_abs", Revision: 1, Unit: "mm", Coverage: "0.9545", Combined: "0.05", K: "2", U: "0.10", Reason: "r", Lines: []models.BudgetLine{}}
	h.Must(h.Store.AddBudget(ctx, models.NewStamp(h.Owner, h.Now), b))
	wide := b
	wide.ID, wide.Revision, wide.Coverage, wide.K, wide.U = models.NewID(), 2, "0.99", "2.58", "0.13"
	h.Must(h.Store.AddBudget(ctx, models.NewStamp(h.Owner, h.Now), wide))
	const dish = "characteristics[0].results[0]"
	for _, row := range []struct {
		name   string
		limit  models.Limit
		want   []string
		stored models.Limit
	}{
		{"its own, with the usual factor", models.Limit{High: "1.0", U: "0.11", Rule: "guarded"}, nil, models.Limit{U: "0.11", Rule: "guarded", GuardFactor: "1"}},
		{"a chance of 95 % is 0.82 times", models.Limit{High: "1.0", U: "0.11", Rule: "iso14253"}, nil, models.Limit{U: "0.11", Rule: "iso14253", GuardFactor: "0.82"}},
		{"a factor of its own", models.Limit{High: "1.0", U: "0.11", Rule: "nonbinary", GuardFactor: "0,5"}, nil, models.Limit{U: "0.11", Rule: "nonbinary", GuardFactor: "0.5"}},
		{"simple needs no factor", models.Limit{High: "1.0", Rule: "simple", GuardFactor: "2"}, nil, models.Limit{Rule: "simple"}},
		{"nothing limited has no rule", models.Limit{Rule: "guarded"}, nil, models.Limit{}},
		{"one that is not known", models.Limit{High: "1.0", U: "0.11", Rule: "lenient"}, []string{dish + ".rule: unknown_choice"}, models.Limit{}},
		{"without an uncertainty", models.Limit{High: "1.0", Rule: "nonbinary"}, []string{dish + ".u: guarded_needs_uncertainty"}, models.Limit{}},
		{"a factor of nothing", models.Limit{High: "1.0", U: "0.11", Rule: "guarded", GuardFactor: "0"}, []string{dish + ".guard_factor: zero_not_possible"}, models.Limit{}},
		{"a guard wider than the limit", models.Limit{High: "0.1", U: "0.11", Rule: "guarded"}, []string{dish + ".u: no_acceptance_zone"}, models.Limit{}},
		{"a guard as wide as the limit", models.Limit{High: "0.11", U: "0.11", Rule: "guarded"}, nil, models.Limit{U: "0.11", Rule: "guarded", GuardFactor: "1"}},
		{"an uncertainty larger than the tolerance", models.Limit{High: "1.0", U: "1.01"}, []string{dish + ".u: gauge_unfit"}, models.Limit{}},
		{"one as large as the tolerance", models.Limit{High: "1.0", U: "1.0"}, nil, models.Limit{U: "1.0"}},
		{"between two limits", models.Limit{Low: "0.5", High: "1.0", U: "0.51"}, []string{dish + ".u: gauge_unfit"}, models.Limit{}},
		{"from the budget", models.Limit{High: "1.0", Budget: b.ID}, nil, models.Limit{U: "0.10", Budget: b.ID}},
		{"typed otherwise than the budget", models.Limit{High: "1.0", U: "0.2", Budget: b.ID}, nil, models.Limit{U: "0.2"}},
		{"from a budget of another probability", models.Limit{High: "1.0", Budget: wide.ID}, []string{dish + ".u: budget_coverage"}, models.Limit{}},
		{"typed otherwise than that budget", models.Limit{High: "1.0", U: "0.2", Budget: wide.ID}, nil, models.Limit{U: "0.2"}},
		{"from a budget nobody made", models.Limit{High: "1.0", Budget: models.NewID()}, []string{dish + ".u: unknown_budget"}, models.Limit{}},
	} {
		t.Run(row.name, func(t *testing.T) {
			inForce, err := s.InForce(ctx, family, nil)
			h.Must(err)
			row.limit.Result = "dish_abs"
			made, err := s.ReviseSpecification(ctx, h.Owner, specify.SpecificationChange{FamilyID: family, From: inForce.Revision, Grade: specify.OwnGrade, Reason: row.name, Characteristics: []models.Characteristic{
				{Code: "dish", Methods: []string{models.Whole}, Results: []models.Limit{row.limit}},
				{Code: "lateral_runout", Methods: []string{models.Extremes}, Results: []models.Limit{{Result: "lateral_tir", High: "0.3", U: "0.02"}}}}})
			worktest.WantProblems(t, err, row.want...)
			if err != nil {
				return
			}
			if l, _, _ := made.Limit("dish_abs"); l.U != row.stored.U || l.Rule != row.stored.Rule || l.GuardFactor != row.stored.GuardFactor || l.Budget != row.stored.Budget {
				t.Errorf("stored as %+v, want %+v", l, row.stored)
			}
		})
	}
	inForce, err := s.InForce(ctx, family, nil)
	h.Must(err)
	guarded := specify.SpecificationChange{FamilyID: family, From: inForce.Revision, Grade: specify.OwnGrade, Rule: "guarded", Reason: "all but the full reading", Characteristics: []models.Characteristic{
		{Code: "dish", Methods: []string{models.Whole}, Results: []models.Limit{{Result: "dish_abs", High: "1.0", U: "0.11"}}},
		{Code: "lateral_runout", Methods: []string{models.Extremes}, Results: []models.Limit{{Result: "lateral_tir", High: "0.3", U: "0.02", Rule: "simple"}}}}}
	_, err = s.ReviseSpecification(ctx, h.Owner, guarded)
	h.Must(err)
	guarded.From++
	guarded.Characteristics[1].Results[0].Rule = "iso14253"
	_, err = s.ReviseSpecification(ctx, h.Owner, guarded)
	worktest.WantProblems(t, err, "characteristics[1].results[0].rule: guarded_not_for_runout")
}

func TestSpecificationsAreNumberedByTheirOwner(t *testing.T) {
	each(t, func(t *testing.T, h *worktest.Shop, s *specify.Service) {
		ctx := t.Context()
		family, product := *h.Item[models.KindWheel].FamilyID, h.Item[models.KindWheel].ProductID
		change := specify.SpecificationChange{FamilyID: family, From: 1, Grade: specify.OwnGrade, Reason: "closer", Characteristics: defaults(t, h, models.KindWheel)}
		second, err := s.ReviseSpecification(ctx, h.Owner, change)
		h.Must(err)
		if second.Revision != 2 || second.Rule != "simple" {
			t.Errorf("revision %d, rule %q, want 2, simple", second.Revision, second.Rule)
		}
		if _, err := s.ReviseSpecification(ctx, h.Owner, change); !errors.Is(err, models.ErrStale) {
			t.Errorf("a second change on revision 1: %v, want ErrStale", err)
		}
		own := change
		own.ProductID, own.From = product, 0
		first, err := s.ReviseSpecification(ctx, h.Owner, own)
		h.Must(err)
		if first.Revision != 1 {
			t.Errorf("the product's first own is revision %d", first.Revision)
		}
		view, err := s.Product(ctx, *product)
		h.Must(err)
		if !view.Own || view.InForce.ID != first.ID {
			t.Errorf("its own is in force: %v, %s", view.Own, view.InForce.ID)
		}
		whole, err := s.Family(ctx, family)
		h.Must(err)
		if whole.InForce.ID != second.ID || len(whole.Specifications) != 3 {
			t.Errorf("the family's own in force is revision %d of %d in all", whole.InForce.Revision, len(whole.Specifications))
		}
		other := h.Item[models.KindPack].ProductID
		own.ProductID = other
		_, err = s.ReviseSpecification(ctx, h.Owner, own)
		worktest.WantProblems(t, err, "product: unknown_product")
	})
}

func TestFamilyBeginsWithAGrade(t *testing.T) {
	each(t, func(t *testing.T, h *worktest.Shop, s *specify.Service) {
		ctx := t.Context()
		view, err := s.AddFamily(ctx, h.Owner, specify.NewFamily{Kind: models.KindWheel, Name: "Front wheels", Grade: "fine"})
		h.Must(err)
		// The limits of the grade "fine" are common practice: 0.20 mm lateral.
		if l, _, _ := view.InForce.Limit("lateral_tir"); l.High != "0.20" || view.InForce.Revision != 1 {
			t.Errorf("lateral limit %q of revision %d, want 0.20 of 1", l.High, view.InForce.Revision)
		}
		for _, row := range []struct {
			name string
			in   specify.NewFamily
			want []string
		}{
			{"the name again", specify.NewFamily{Kind: models.KindWheel, Name: "Front wheels"}, []string{"name: taken"}},
			{"nothing said", specify.NewFamily{}, []string{"name: missing", "kind: missing"}},
			{"a kind nobody makes", specify.NewFamily{Kind: "trolley", Name: "x"}, []string{"kind: unknown_kind"}},
			{"a grade of packs", specify.NewFamily{Kind: models.KindWheel, Name: "x", Grade: "A"}, []string{"grade: unknown_grade"}},
			{"a form that cannot be", specify.NewFamily{Kind: models.KindWheel, Name: "x", Form: models.ProductForm{Wheel: &models.WheelForm{Holes: 13}}}, []string{"form.wheel.holes: must_be_even"}},
		} {
			_, err := s.AddFamily(ctx, h.Owner, row.in)
			t.Run(row.name, func(t *testing.T) { worktest.WantProblems(t, err, row.want...) })
		}
	})
}
