package web

import (
	"time"

	"tracewright/models"
	"tracewright/models/numbers/life"
	"tracewright/models/numbers/spc"
	"tracewright/models/numbers/stats"
	"tracewright/models/work/goodness"
	"tracewright/models/work/returns"
)

// mustSample is what cannot fail in a sample.
func mustSample[T any](value T, err error) T {
	if err != nil {
		panic(err)
	}
	return value
}

// goodPages are how good and what comes back: nothing, too little, and one of
// everything.
func goodPages(s *site, owner Frame) map[string][]any {
	family := models.Family{ID: "f1", Kind: models.KindWheel, Name: "Rear wheels"}
	share := goodness.Share{K: 2, N: 40, Interval: stats.Interval{Low: 0.0061, High: 0.1692}}
	key := goodness.Query{ChartKey: models.ChartKey{FamilyID: "f1", Result: "lateral_tir", Place: "stand 1"}}
	law := mustSample(stats.NewDistribution(stats.ShapeLognormal, -1.5, 0.3))
	point := models.MeasuredPoint{ItemID: "i1", Serial: "W26000051", MeasuredAt: sampleNow, Value: "0.5500", ValueF: 0.55, High: "0.50"}
	full := goodness.View{Query: key, Family: family, Unit: "mm", Decimals: 2, Limits: []goodness.Limits{{High: "0.50", N: 40}}, InForce: goodness.Limits{High: "0.50"}, Share: share, Above: 2, Limited: true,
		Histogram: goodness.Histogram{First: 0.2, Width: 0.1, Counts: []int{10, 14, 14, 2}}, Beyond: []models.MeasuredPoint{point}, Charted: goodness.Charted{Control: spc.NotInControl, Signals: 3},
		Law: &goodness.Law{Fitted: law, Goodness: stats.Goodness{Distance: 0.4, Limit: 0.752}, Tried: 6, Predicted: &goodness.Predicted{Share: 0.001, Interval: &stats.Interval{Low: 0.0002, High: 0.004}}}, IndexRefused: "good_not_in_control",
		Rounds: &share, Final: &goodness.Final{N: 38, Beyond: 1, Histogram: goodness.Histogram{First: 0.1, Width: 0.1, Counts: []int{3, 30, 5}}}, Older: 2, Truncated: true}
	indexed := full
	indexed.Charted, indexed.IndexRefused, indexed.Index, indexed.Law.Predicted = goodness.Charted{Control: spc.InControl}, "", &spc.Index{Value: 1.1, Interval: &stats.Interval{Low: 0.9, High: 1.3}}, nil
	several := full
	several.Limits, several.Law, several.LawRefused, several.IndexRefused = append(several.Limits, goodness.Limits{High: "0.40", N: 3}), nil, "good_several_limits", "good_several_limits"
	blocks := goodness.View{Query: goodness.Query{ChartKey: models.ChartKey{FamilyID: "f2", Result: "block_ocv25"}}, Family: models.Family{ID: "f2", Kind: models.KindBlock, Name: "Blocks"}, Unit: "V", Decimals: 2, Limits: []goodness.Limits{{Low: "12.60", N: 60}}, Share: goodness.Share{N: 60, Interval: stats.Interval{High: 0.06}}, Limited: true,
		Histogram: goodness.Histogram{First: 12.8, Width: 0.02, Counts: []int{5, 50, 5}}, Charted: goodness.Charted{Control: spc.ControlNotShown}, LawRefused: "good_no_law", IndexRefused: "good_no_law",
		Lots:  &goodness.Lots{Unit: "V", Known: true, P: 0.3, Rows: []goodness.LotRow{{Lot: "BL-1", N: 30, Mean: 12.84}, {Lot: "BL-2", N: 30, Mean: 12.9}}},
		Falls: &goodness.Lots{Unit: "mV", Known: true, P: 0.0001, Part: 0.8, Rows: []goodness.LotRow{{LotID: "a", Lot: "BL-1", N: 30, Mean: 5.6, Apart: true, Side: "high"}, {LotID: "b", Lot: "BL-2", N: 30, Mean: 0.5, Apart: true, Side: "low"}, {LotID: "c", Lot: "BL-3", N: 2, Mean: 0.4}}}}
	ticked := goodness.View{Query: goodness.Query{ChartKey: models.ChartKey{FamilyID: "f1", Result: "cable_sound"}}, Family: family, Ticked: true, Share: share, Beyond: []models.MeasuredPoint{{ItemID: "i1", Serial: "W26000051", MeasuredAt: sampleNow}}, Rounds: &share}
	good := func(v goodness.View) HowGoodPage {
		page := HowGoodPage{Frame: owner}
		s.fillHowGood(&page, v)
		return page
	}
	all := HowGoodPage{Frame: owner}
	s.fillOverview(&all, goodness.Overview{Query: key, Family: family, Rounds: &share, Results: []goodness.ResultLine{{Result: "lateral_tir", Limit: models.Limit{Unit: "mm", High: "0.50"}, Share: share, Limits: 1, Judged: goodness.Limits{High: "0.50"}},
		{Result: "cable_sound", Ticked: true, Share: goodness.Share{N: 3, Few: true}, Limits: 1}, {Result: "dish_abs", Share: share, Limits: 2}, {Result: "tension_lowest", Limit: models.Limit{Unit: "N", Low: "450"}}}}, key, "90")

	back := returns.Share{K: 6, N: 100, Interval: stats.Interval{Low: 0.022, High: 0.126}}
	lives := []life.Observation{{Time: 6, Count: 94}, {Time: 0.5, Failed: true, Count: 1}, {Time: 1, Failed: true, Count: 2}, {Time: 2, Failed: true, Count: 3}}
	curve := mustSample(life.KaplanMeier(lives, life.CurveOptions{Confidence: 0.95, LeastAtRisk: 10}))
	fit := mustSample(life.FitWeibull(lives))
	excess := returns.Excess{Share: back, Expected: 1.2, Known: true, P: 1e-6, Adjusted: 1e-5, More: true}
	few := returns.Excess{Share: returns.Share{K: 1, N: 4, Few: true}}
	item := models.ReturnedItem{Number: "CL27-00153", ItemID: "i1", Serial: "W26000051", ShippedAt: sampleNow.AddDate(0, -2, 0), OpenedAt: sampleNow, Code: "W08", Decision: models.ClaimAccept, Amount: "12.50", Currency: "€"}
	came := returns.View{Query: returns.Query{FamilyID: "f1", Months: 12, LagDays: 3}, Family: family, From: "2026-06-01", Today: "2027-05-24", Share: back, AsOf: "2027-04", Curve: &curve, Until: 6, Clock: models.NewRemark("returns_from_lag", "days", "3"),
		Months: []returns.Month{{Month: "2026-03", Returns: map[int]int{0: 1, 13: 1}, Excess: excess}, {Month: "2027-05", Returns: map[int]int{0: 1}, Excess: few}, {Month: "2027-04", Excess: returns.Excess{Share: back, Known: true}, Because: []string{"SP-1"}}},
		Ages:   []life.AgeRow{{Age: 0, AtRisk: 97, Returns: 2, Hazard: 0.02, Cumulative: 0.02, Bounded: true}, {Age: 1, AtRisk: 40}}, Law: &returns.Law{Fit: &fit, Shape: life.Interval{Low: 0.5, High: 2}},
		Ahead: []returns.Ahead{{Months: 3, Expected: 2.1, Known: true, Mean: life.Interval{Low: 1, High: 4}, Low: 0, High: 6, StillOut: 94, Costs: []returns.Cost{{Currency: "€", Claims: 6, Expected: 40, Low: 14, High: 90, Bounded: true}, {Claims: 1, Expected: 3}}}},
		Lots:  []returns.Lot{{Lot: models.Lot{ID: "l1", Code: "SP-1", Material: "spokes"}, Excess: excess}, {Lot: models.Lot{Code: "RM-1", Material: "rims"}, Excess: returns.Excess{Share: back, Known: true}, Because: "SP-1"}, {Lot: models.Lot{Code: "NP-1"}, Excess: few}}, LotsCompared: 2, MonthsCompared: 1, Claims: []models.ReturnedItem{item}}
	lot := came
	lot.Lot, lot.Rest, lot.Clock, lot.Query = &models.Lot{ID: "l1", Code: "SP-1"}, &curve, models.NewRemark("returns_from_shipment"), returns.Query{FamilyID: "f1", Lot: "SP-1"}
	lot.Law = &returns.Law{Assumed: []life.Assumed{{Shape: 0.5, Low: 100}, {Shape: 1, Scale: 200, ScaleKnown: true, Low: 90, High: 900}}}
	lot.Ahead = []returns.Ahead{{Months: 3, High: 2, StillOut: 94}, {Months: 6, Expected: 1, Known: true, StillOut: 94}}
	waiting := came
	waiting.Curve, waiting.Until, waiting.Law, waiting.Ahead, waiting.Waiting, waiting.Lag = &life.Curve{}, 0, nil, nil, 100, 30
	returned := func(v returns.View) ReturnsPage {
		page := ReturnsPage{Frame: owner}
		s.returnsPickers(&page, v.Query, []models.Family{family})
		page.Families = []ReturnsRow{familyRow(returns.FamilyLine{Family: family, Share: back}, v.Query), familyRow(returns.FamilyLine{Family: family, Share: few.Share}, v.Query)}
		s.fillReturns(&page, v, map[string]string{"spokes": "spokes"})
		return page
	}
	nothing := returns.View{Query: returns.Query{FamilyID: "f1"}, Family: family, From: "2026-06-01", Clock: models.NewRemark("returns_from_shipment")}
	listed := returns.Listed{Family: family, Lot: "SP-1", Month: "2027-04", Age: -1, Shipped: []models.ShippedItem{{ItemID: "i1", Serial: "W26000051", ShippedAt: sampleNow.Add(-time.Hour)}}, More: true, Back: []models.ReturnedItem{item, {Number: "CL27-00154", ItemID: "i2", ShippedAt: sampleNow, OpenedAt: sampleNow}}}
	return map[string][]any{
		"how_good": {HowGoodPage{Frame: owner}, all, good(full), good(indexed), good(several), good(blocks), good(ticked), good(goodness.View{Query: key, Family: family, LawRefused: "good_no_limits", IndexRefused: "good_no_limits"})},
		"returns":  {ReturnsPage{Frame: owner}, returned(came), returned(lot), returned(waiting), returned(nothing)},
		"returned": {ReturnedPage{Frame: owner}, s.returnedPage(owner, returns.Query{FamilyID: "f1"}, listed), s.returnedPage(owner, returns.Query{FamilyID: "f1"}, returns.Listed{Family: family, Age: 1})},
	}
}
