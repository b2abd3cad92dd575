package web

import (
	"time"

	"tracewright/models"
	"tracewright/models/numbers/stats"
	"tracewright/models/work/effect"
	"tracewright/models/work/finder"
)

// differencePages are the pages of what differs and of before and after: nothing
// searched, nothing found, some found, one shown; no moment, too few, and a change.
func differencePages(s *site, owner Frame) map[string][]any {
	family := models.Family{ID: "f1", Name: "Rear wheels 559", Kind: models.KindWheel}
	day := func(n int) time.Time { return sampleNow.AddDate(0, 0, n) }
	var points []finder.Point
	for i := range 30 {
		points = append(points, finder.Point{InspectionID: "in", ItemID: "i1", Serial: "W26000051", At: day(i - 40), Value: 0.2 + 0.06*float64(i/20), In: i >= 20})
	}
	stand := finder.Finding{ID: "f1.lateral_tir.stand.stand 2.since", Family: family, Measure: "lateral_tir", Unit: "mm", Said: finder.Said{Cut: finder.Cut{Factor: finder.ByStand, Key: "stand 2", Name: "stand 2"}, Shape: finder.Since, From: day(-20), Until: day(-10)},
		Effect: 0.06, Low: 0.03, High: 0.09, Decimals: 2, Log: true, N: 10, Others: 20, Days: 10, Chance: stats.Chance{P: 1. / 10001, Drawn: 10000}, Level0: 0.2, Level1: 0.26, Points: points}
	for range 5 {
		stand.Same = append(stand.Same, finder.Said{Cut: finder.Cut{Factor: finder.ByGauge, Key: "L-14", Name: "L-14"}, Shape: finder.Since, From: day(-20), Until: day(-10)})
		stand.Same = append(stand.Same, finder.Said{Cut: finder.Cut{Factor: finder.ByBuilder, Key: "p2", Name: "Inge Okarra"}, Shape: finder.Level})
		stand.Same = append(stand.Same, finder.Said{Cut: finder.Cut{Factor: finder.ByMonth, Key: "2027-04", Name: "2027-04"}, Shape: finder.Level})
	}
	radial := stand
	radial.ID, radial.Measure = "f1.radial_tir.stand.stand 2.since", "radial_tir"
	drift := stand
	drift.ID, drift.Said = "drift", finder.Said{Cut: finder.Cut{Factor: finder.ByBuilder, Key: "p2", Name: "Inge Okarra"}, Shape: finder.Drift, From: day(-40), Until: day(-10)}
	lot := stand
	lot.ID, lot.Measure, lot.Said = "lot", finder.Returns, finder.Said{Cut: finder.Cut{Factor: finder.ByLot, Key: "SP-0931", Name: "SP-0931", Material: "spokes"}, Shape: finder.Level}
	lot.Back, lot.Share, lot.ShareLow, lot.ShareHigh, lot.Expected, lot.N, lot.Unit = 9, 14.8, 7, 26.2, 1.3, 61, "%"
	answer := func(list ...finder.Finding) *finder.Answer {
		return &finder.Answer{At: sampleNow, From: day(-365), Questions: 480, Cuts: 1644, Small: 12, Findings: list}
	}
	found := answer(stand, radial, drift, lot)
	v := effect.View{Query: effect.Query{FamilyID: "f1", Result: "lateral_tir", Days: 90, Place: "stand 2"}, Day: "2027-05-04", Family: family, Unit: "mm", Decimals: 2, Answer: models.NewRemark("effect_no_moment"),
		Events: []effect.Event{{What: effect.Corrected, At: day(-20), Day: "2027-05-04", Ref: "CA27-00001"}, {What: effect.NewLot, At: day(-22), Day: "2027-05-02", Ref: "SP-0931", Material: "spokes"}, {What: effect.Calibrated, At: day(-30), Day: "2027-04-24", Ref: "L-14"}, {What: effect.Revised, At: day(-31), Day: "2027-04-23", Ref: "4"}}}
	few := v
	few.At, few.Before, few.Points = day(-20), effect.Side{N: 1, Days: 1, Level: 0.2}, []effect.Point{{ItemID: "i1", Serial: "W26000051", At: day(-21), Value: 0.2}}
	few.Answer = models.NewRemark("effect_too_few", "result", "lateral_tir", "before_n", "1", "before_days", "1", "after_n", "0", "after_days", "0", "least_n", "8", "least_days", "5")
	fell := few
	fell.Event, fell.Answered, fell.Effect, fell.Low, fell.High, fell.Larger, fell.Drawn, fell.Log = &fell.Events[0], true, -0.04, -0.06, -0.02, 3, 10000, true
	fell.Before, fell.After = effect.Side{N: 40, Days: 12, Level: 0.24, Low: 0.22, High: 0.26, Bounded: true}, effect.Side{N: 30, Days: 9, Level: 0.2, Low: 0.19, High: 0.21, Bounded: true}
	for i := range 30 {
		fell.Points = append(fell.Points, effect.Point{ItemID: "i1", Serial: "W26000051", At: day(i - 35), Value: 0.2, After: i >= 15})
	}
	fell.Answer = models.NewRemark("effect_fell", "result", "lateral_tir", "unit", "mm", "effect", "-0.04", "effect_low", "-0.06", "effect_high", "-0.02", "larger", "3", "drawn", "10000", "date", "2027-05-04")
	fell.Chance = models.NewRemark("effect_chance", "larger", "3", "drawn", "10000")
	fell.Notes = []models.Remark{models.NewRemark("effect_drift", "unit", "mm", "effect", "-0.01", "effect_low", "-0.02", "effect_high", "-0.01"), models.NewRemark("effect_others_too", "unit", "mm", "n", "90", "effect", "-0.03", "effect_low", "-0.04", "effect_high", "-0.02"), models.NewRemark("effect_small", "n", "9"), models.NewRemark("effect_also_lot", "ref", "SP-0931", "material", "spokes", "date", "2027-05-02")}
	shown := func(v effect.View) EffectPage {
		p := EffectPage{Frame: owner, About: "Before and after"}
		s.fillEffect(&p, v)
		return p
	}
	return map[string][]any{
		"differences": {DifferencesPage{Frame: owner}, s.differencesPage(owner, nil, true, ""), s.differencesPage(owner, nil, false, ""), s.differencesPage(owner, answer(), false, ""), s.differencesPage(owner, &finder.Answer{At: sampleNow}, false, ""), s.differencesPage(owner, found, true, ""),
			s.differencesPage(owner, found, false, stand.ID), s.differencesPage(owner, found, false, drift.ID), s.differencesPage(owner, found, false, lot.ID), s.differencesPage(owner, answer(stand), false, "gone")},
		"effect": {EffectPage{Frame: owner}, shown(v), shown(few), shown(fell), shown(effect.View{Family: family})},
	}
}
