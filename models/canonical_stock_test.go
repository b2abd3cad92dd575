package models

import "time"

func encodingsOfStock(at time.Time) []encoding {
	return []encoding{
		{BlockReceipt{ItemID: "i1", RowID: "r1", N: 2, LotID: ptr("l1"), DateCode: "2620", MadeOn: "2026-05-11", SentHash: "ab", ReceivedAt: at, ReceivedBy: "p1"},
			`{"date_code":"2620","item":"i1","lot":"l1","made_on":"2026-05-11","n":2,"received_at":"2031-05-12T12:03:02.007Z","received_by":"p1","row":"r1","sent":"ab"}`},
		{BlockReceipt{ItemID: "i1", RowID: "r1", N: 1, SentHash: "ab", ReceivedAt: at, ReceivedBy: "p1"},
			`{"item":"i1","n":1,"received_at":"2031-05-12T12:03:02.007Z","received_by":"p1","row":"r1","sent":"ab"}`},
		{Disposition{ID: "d1", ItemID: "i1", Decision: Quarantine, Code: "loses_charge", Reason: "6.4 mV a day", DecidedBy: "p1", DecidedAt: at},
			`{"code":"loses_charge","decided_at":"2031-05-12T12:03:02.007Z","decided_by":"p1","decision":"quarantine","id":"d1","item":"i1","reason":"6.4 mV a day"}`},
		{Match{ID: "m1", ProductID: "x2", Blocks: "x1", Content: "{}", ContentHash: "cd", MadeBy: "p1", MadeAt: at},
			`{"blocks":"x1","content":"cd","id":"m1","made_at":"2031-05-12T12:03:02.007Z","made_by":"p1","product":"x2"}`},
		{MatchPlacement{ID: "k1", MatchID: "m1", Pack: 2, Place: 4, ItemID: "i1", Override: "the other one fell", PlacedBy: "p1", PlacedAt: at},
			`{"id":"k1","item":"i1","match":"m1","override":"the other one fell","pack":2,"place":4,"placed_at":"2031-05-12T12:03:02.007Z","placed_by":"p1"}`},
		{MatchPlacement{ID: "k1", MatchID: "m1", Pack: 1, Place: 1, ItemID: "i1", PlacedBy: "p1", PlacedAt: at},
			`{"id":"k1","item":"i1","match":"m1","pack":1,"place":1,"placed_at":"2031-05-12T12:03:02.007Z","placed_by":"p1"}`},
		{MatchEnd{MatchID: "m1", Kept: true, Packs: []string{"i8", "i9"}, EndedBy: "p1", EndedAt: at},
			`{"ended_at":"2031-05-12T12:03:02.007Z","ended_by":"p1","kept":true,"match":"m1","packs":["i8","i9"]}`},
		{MatchEnd{MatchID: "m1", Reason: "an order fell through", EndedBy: "p1", EndedAt: at},
			`{"ended_at":"2031-05-12T12:03:02.007Z","ended_by":"p1","kept":false,"match":"m1","reason":"an order fell through"}`},
	}
}
