package models

import "time"

func encodingsOfRecalls(at time.Time) []encoding {
	return []encoding{
		{Recall{ID: "r1", Number: "R31-00001", Reason: "elbows crack", Wanted: "stop riding", Scope: RecallScope{Lot: "l1"}, MadeAt: at, MadeBy: "p1"},
			`{"id":"r1","made_at":"2031-05-12T12:03:02.007Z","made_by":"p1","number":"R31-00001","reason":"elbows crack","scope":{"lot":"l1"},"wanted":"stop riding"}`},
		{RecallRun{ID: "n1", RecallID: "r1", N: 2, Items: []RecallItem{{Item: "i1", Where: RecallShipped}, {Item: "i2", Where: RecallHere, Possibly: true}}, RunAt: at, RunBy: "p1"},
			`{"id":"n1","items":[{"item":"i1","where":"shipped"},{"item":"i2","possibly":true,"where":"here"}],"n":2,"recall":"r1","run_at":"2031-05-12T12:03:02.007Z","run_by":"p1"}`},
		{RecallResponse{ID: "x1", RecallID: "r1", ItemID: "i1", Response: "returned", RespondedAt: at, RespondedBy: "p1"},
			`{"id":"x1","item":"i1","recall":"r1","responded_at":"2031-05-12T12:03:02.007Z","responded_by":"p1","response":"returned"}`},
		{RecallEnd{RecallID: "r1", Reason: "all are back", EndedAt: at, EndedBy: "p1"}, `{"ended_at":"2031-05-12T12:03:02.007Z","ended_by":"p1","reason":"all are back","recall":"r1"}`},
	}
}
