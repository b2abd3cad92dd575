package models

import "time"

func encodingsOfShelf(at time.Time) []encoding {
	return []encoding{
		{Charge{ID: "c1", ItemID: "i1", Kind: ChargeRefresh, Charger: "CH-2", StartedAt: at, StartedBy: "p1", EnteredAt: at},
			`{"charger":"CH-2","entered_at":"2031-05-12T12:03:02.007Z","id":"c1","item":"i1","kind":"refresh","started_at":"2031-05-12T12:03:02.007Z","started_by":"p1"}`},
		{ChargeEnd{ChargeID: "c1", EndedAt: at, EndCurrent: "0.12", EndedBy: "p1", EnteredAt: at},
			`{"charge":"c1","end_current":"0.12","ended_at":"2031-05-12T12:03:02.007Z","ended_by":"p1","entered_at":"2031-05-12T12:03:02.007Z"}`},
		{ChargeEnd{ChargeID: "c1", EndedAt: at, EndedBy: "p1", EnteredAt: at},
			`{"charge":"c1","ended_at":"2031-05-12T12:03:02.007Z","ended_by":"p1","entered_at":"2031-05-12T12:03:02.007Z"}`},
		{ShelfPlace{ID: "s1", ItemID: "i1", Place: "rack C 1", Since: at, PlacedBy: "p1", EnteredAt: at},
			`{"entered_at":"2031-05-12T12:03:02.007Z","id":"s1","item":"i1","place":"rack C 1","placed_by":"p1","since":"2031-05-12T12:03:02.007Z"}`},
		{ShelfPlace{ID: "s2", ItemID: "i1", Since: at, PlacedBy: "p1", EnteredAt: at},
			`{"entered_at":"2031-05-12T12:03:02.007Z","id":"s2","item":"i1","placed_by":"p1","since":"2031-05-12T12:03:02.007Z"}`},
		{ShelfTemperature{ID: "t1", Place: "loft 1", C: "29.0", At: at, EnteredBy: "p1", DeviceID: ptr("d1"), EnteredAt: at},
			`{"at":"2031-05-12T12:03:02.007Z","c":"29.0","device":"d1","entered_at":"2031-05-12T12:03:02.007Z","entered_by":"p1","id":"t1","place":"loft 1"}`},
		{WantedDate{ID: "w1", ItemID: "i1", Day: "2031-06-01", SetBy: "p1", SetAt: at},
			`{"day":"2031-06-01","id":"w1","item":"i1","set_at":"2031-05-12T12:03:02.007Z","set_by":"p1"}`},
		{BuildList{FamilyID: "f1", N: 2, Steps: []BuildStep{{"joined", "Blocks joined"}, {"wrapped", "Wrapped"}}, Reason: "as we build", MadeBy: "p1", MadeAt: at},
			`{"family":"f1","made_at":"2031-05-12T12:03:02.007Z","made_by":"p1","n":2,"reason":"as we build","steps":[{"code":"joined","words":"Blocks joined"},{"code":"wrapped","words":"Wrapped"}]}`},
		{BuildTick{ID: "k1", ItemID: "i1", Step: "soldered", Done: true, DoneBy: "p1", DoneAt: at},
			`{"done":true,"done_at":"2031-05-12T12:03:02.007Z","done_by":"p1","id":"k1","item":"i1","step":"soldered"}`},
		{BuildTick{ID: "k2", ItemID: "i1", Step: "strings_joined", Done: true, Volts: []string{"38.62", "38.60"}, DoneBy: "p1", DoneAt: at},
			`{"done":true,"done_at":"2031-05-12T12:03:02.007Z","done_by":"p1","id":"k2","item":"i1","step":"strings_joined","volts":["38.62","38.60"]}`},
		{CapacityTest{ID: "x1", ItemID: "i1", StartedAt: at, TemperatureC: "22.5", RatedAh: "12.0", CutOffV: "10.50", CoefPerK: "0.006", ReferenceC: "25", Strings: 2, AcceptPct: "95", Log: `{"hours":[]}`, LogHash: "ab", EnteredBy: "p1",
			EnteredAt: at},
			`{"accept_pct":"95","coef_per_k":"0.006","cut_off_v":"10.50","entered_at":"2031-05-12T12:03:02.007Z","entered_by":"p1","id":"x1","item":"i1","log":"ab","rated_ah":"12.0","reference_c":"25",` +
				`"started_at":"2031-05-12T12:03:02.007Z","strings":2,"temperature_c":"22.5"}`},
	}
}
