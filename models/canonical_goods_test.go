package models

import "time"

// The salted hash of the attachment was made by another program:
//
//	printf 's\0ab\0p.jpg\0n\0' | sha256sum
func encodingsOfGoods(at time.Time) []encoding {
	return []encoding{
		{Material{Code: "spokes", Name: "spokes", Roles: []string{"spokes_a", "spokes_b"}, Unit: "pieces", Plan: LotPlan{Kind: PlanZero, Bad: "20", Risk: "10"}, Least: 500, ChangedAt: at, ChangedBy: "p1"},
			`{"changed_at":"2031-05-12T12:03:02.007Z","changed_by":"p1","code":"spokes","least":500,"name":"spokes","plan":{"bad_percent":"20","kind":"zero","risk_percent":"10"},"roles":["spokes_a","spokes_b"],"unit":"pieces"}`},
		{Material{Code: "glue", Name: "glue", Unit: "tubes", ChangedAt: at, ChangedBy: "p1"},
			`{"changed_at":"2031-05-12T12:03:02.007Z","changed_by":"p1","code":"glue","name":"glue","plan":{},"unit":"tubes"}`},
		{Supplier{Name: "Drahtwerk Anselm", AddedAt: at, AddedBy: "p1"}, `{"added_at":"2031-05-12T12:03:02.007Z","added_by":"p1","name":"Drahtwerk Anselm"}`},
		{LotCheck{ID: "c1", LotID: "l1", Plan: LotPlan{Kind: PlanSingle, Level: "II", AQL: "1.0"}, Lot: 500, Size: 50, Accept: 1, Looked: 50, Bad: []DefectCount{{"W13", 2}}, Verdict: CheckRejected, Note: "short", CheckedBy: "p1", CheckedAt: at},
			`{"accept":1,"bad":[{"code":"W13","count":2}],"checked_at":"2031-05-12T12:03:02.007Z","checked_by":"p1","id":"c1","looked":50,"lot":"l1","lot_size":500,"note":"short","plan":{"aql":"1.0","kind":"single","level":"II"},"size":50,"verdict":"rejected"}`},
		{LotCheck{ID: "c1", LotID: "l1", Plan: LotPlan{Kind: PlanAll}, Lot: 5, Size: 5, Looked: 5, Verdict: CheckAccepted, CheckedBy: "p1", CheckedAt: at},
			`{"accept":0,"checked_at":"2031-05-12T12:03:02.007Z","checked_by":"p1","id":"c1","looked":5,"lot":"l1","lot_size":5,"plan":{"kind":"all"},"size":5,"verdict":"accepted"}`},
		{LotDecision{ID: "d1", LotID: "l1", Decision: LotReturn, Quantity: 300, Reason: "too short", DecidedBy: "p1", DecidedAt: at},
			`{"decided_at":"2031-05-12T12:03:02.007Z","decided_by":"p1","decision":"return","id":"d1","lot":"l1","quantity":300,"reason":"too short"}`},
		{LotDecision{ID: "d1", LotID: "l1", Decision: LotQuarantine, CheckID: ptr("c1"), DecidedBy: "p1", DecidedAt: at},
			`{"check":"c1","decided_at":"2031-05-12T12:03:02.007Z","decided_by":"p1","decision":"quarantine","id":"d1","lot":"l1"}`},
		{LotScrap{ID: "s1", LotID: "l1", Quantity: 4, Code: "W09", Reason: "bent", ScrappedBy: "p1", ScrappedAt: at},
			`{"code":"W09","id":"s1","lot":"l1","quantity":4,"reason":"bent","scrapped_at":"2031-05-12T12:03:02.007Z","scrapped_by":"p1"}`},
		{LotCount{ID: "k1", LotID: "l1", Counted: 0, Expected: -3, CountedBy: "p1", CountedAt: at},
			`{"counted":0,"counted_at":"2031-05-12T12:03:02.007Z","counted_by":"p1","expected":-3,"id":"k1","lot":"l1"}`},
		{LotExplanation{ID: "e1", LotID: "l1", CountID: ptr("k1"), Difference: 3, Reason: "another bag", ExplainedBy: "p1", ExplainedAt: at},
			`{"count":"k1","difference":3,"explained_at":"2031-05-12T12:03:02.007Z","explained_by":"p1","id":"e1","lot":"l1","reason":"another bag"}`},
		{LotExplanation{ID: "e1", LotID: "l1", Difference: -7, Reason: "more came", ExplainedBy: "p1", ExplainedAt: at},
			`{"difference":-7,"explained_at":"2031-05-12T12:03:02.007Z","explained_by":"p1","id":"e1","lot":"l1","reason":"more came"}`},
		{LotMix{ID: "m1", MixID: "b1", LotID: "l1", Quantity: 400, MixedBy: "p1", MixedAt: at},
			`{"id":"m1","lot":"l1","mix":"b1","mixed_at":"2031-05-12T12:03:02.007Z","mixed_by":"p1","quantity":400}`},
		{LotMix{ID: "m2", MixID: "b2", LotID: "l1", ViaID: ptr("b1"), MixedBy: "p1", MixedAt: at},
			`{"id":"m2","lot":"l1","mix":"b2","mixed_at":"2031-05-12T12:03:02.007Z","mixed_by":"p1","via":"b1"}`},
		{Attachment{ID: "a1", SubjectKind: SubjectLot, SubjectID: "l1", FileHash: "ab", Name: "p.jpg", Note: "n", Salt: "s", AddedBy: "p1", AddedAt: at},
			`{"added_at":"2031-05-12T12:03:02.007Z","added_by":"p1","id":"a1","salted":"2cf0bd474b920416974c53c0a4fdc5cab3694364b525a32df9b6e609748d4789","subject":"l1","subject_kind":"lot"}`},
	}
}
