package models

import "time"

func encodingsOfCharts(at time.Time) []encoding {
	return []encoding{
		// The hash is SHA-256 of the two bytes {}, as sha256sum gives it.
		{ChartBaseline{ID: "b1", FamilyID: "f1", Result: "lateral_tir", SpecificationID: "s1", FirstInspection: "a1", LastInspection: "a2", HoldsFrom: at, Limits: "{}", Excluded: []ChartExclusion{}, MadeBy: "p1", MadeAt: at},
			`{"family":"f1","first":"a1","holds_from":"2031-05-12T12:03:02.007Z","id":"b1","last":"a2","limits":"44136fa355b3678a1146ad16f7e8649e94fb4fc21fe77e8310c060f61caaff8a","made_at":"2031-05-12T12:03:02.007Z","made_by":"p1","result":"lateral_tir","specification":"s1"}`},
		{ChartBaseline{ID: "b1", FamilyID: "f1", ProductID: ptr("q1"), Place: "stand 2", Result: "dish_abs", SpecificationID: "s1", FirstInspection: "a1", LastInspection: "a2", HoldsFrom: at, Limits: "{}",
			Excluded: []ChartExclusion{{InspectionID: "a3", Reason: "dropped"}}, Note: "n", MadeBy: "p1", MadeAt: at},
			`{"excluded":[{"inspection":"a3","reason":"dropped"}],"family":"f1","first":"a1","holds_from":"2031-05-12T12:03:02.007Z","id":"b1","last":"a2","limits":"44136fa355b3678a1146ad16f7e8649e94fb4fc21fe77e8310c060f61caaff8a","made_at":"2031-05-12T12:03:02.007Z","made_by":"p1","note":"n","place":"stand 2","product":"q1","result":"dish_abs","specification":"s1"}`},
		{SignalCause{ID: "c1", FamilyID: "f1", Result: "lateral_tir", Rule: "smoothed_mean", Side: "high", InspectionID: "a1", Code: "tool", MadeBy: "p1", MadeAt: at},
			`{"code":"tool","family":"f1","id":"c1","inspection":"a1","made_at":"2031-05-12T12:03:02.007Z","made_by":"p1","result":"lateral_tir","rule":"smoothed_mean","side":"high"}`},
		{SignalCause{ID: "c1", FamilyID: "f1", ProductID: ptr("q1"), Place: "stand 2", Result: "lateral_tir", Rule: "beyond_limit", Side: "low", InspectionID: "a1", Code: "other", Note: "n", Action: "x", MadeBy: "p1", MadeAt: at},
			`{"action":"x","code":"other","family":"f1","id":"c1","inspection":"a1","made_at":"2031-05-12T12:03:02.007Z","made_by":"p1","note":"n","place":"stand 2","product":"q1","result":"lateral_tir","rule":"beyond_limit","side":"low"}`},
		{ChartEvent{ID: "e1", At: at, Words: "heater on", MadeBy: "p1", MadeAt: at},
			`{"at":"2031-05-12T12:03:02.007Z","id":"e1","made_at":"2031-05-12T12:03:02.007Z","made_by":"p1","words":"heater on"}`},
		{ChartEvent{ID: "e1", FamilyID: ptr("f1"), Place: "stand 2", At: at, Words: "roller replaced", MadeBy: "p1", MadeAt: at},
			`{"at":"2031-05-12T12:03:02.007Z","family":"f1","id":"e1","made_at":"2031-05-12T12:03:02.007Z","made_by":"p1","place":"stand 2","words":"roller replaced"}`},
	}
}
