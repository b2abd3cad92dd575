package models

import (
	"testing"
	"time"

	"tracewright/models/trail"
)

func encodingsOfClaims(at time.Time) []encoding {
	return []encoding{
		{Claim{ID: "c1", Number: "CL31-00004", Kind: KindWheel, Product: "a blue one", MotorNumber: "0007", OrderRef: "4471", Customer: "k1", WordsHash: "ab", OpenedAt: at, OpenedBy: "p1", ItemID: ptr("i1"), State: ClaimClosed},
			`{"customer":"k1","id":"c1","kind":"wheel","motor_number":"0007","number":"CL31-00004","opened_at":"2031-05-12T12:03:02.007Z","opened_by":"p1","order":"4471","product":"a blue one","words":"ab"}`},
		{Claim{ID: "c1", Number: "CL31-00004", Kind: KindWheel, WordsHash: "ab", OpenedAt: at, OpenedBy: "p1"},
			`{"id":"c1","kind":"wheel","number":"CL31-00004","opened_at":"2031-05-12T12:03:02.007Z","opened_by":"p1","words":"ab"}`},
		{ClaimEvent{ID: "e1", ClaimID: "c1", What: ClaimLinked, ItemID: ptr("i1"), HoldID: ptr("h1"), MadeAt: at, MadeBy: "p1"},
			`{"claim":"c1","hold":"h1","id":"e1","item":"i1","made_at":"2031-05-12T12:03:02.007Z","made_by":"p1","what":"linked"}`},
		{ClaimEvent{ID: "e2", ClaimID: "c1", What: ClaimCameIn, CameOn: "2031-05-11", MadeAt: at, MadeBy: "p1"},
			`{"came_on":"2031-05-11","claim":"c1","id":"e2","made_at":"2031-05-12T12:03:02.007Z","made_by":"p1","what":"came_in"}`},
		{ClaimEvent{ID: "e3", ClaimID: "c1", What: ClaimCoded, Symptom: "spoke_broken", Answers: []ClaimAnswer{{"flange_worn", true}, {"rim_cracked", false}}, Code: "W17", MadeAt: at, MadeBy: "p1"},
			`{"answers":[{"question":"flange_worn","yes":true},{"question":"rim_cracked","yes":false}],"claim":"c1","code":"W17","id":"e3","made_at":"2031-05-12T12:03:02.007Z","made_by":"p1","symptom":"spoke_broken","what":"coded"}`},
		{ClaimEvent{ID: "e4", ClaimID: "c1", What: ClaimAnswered, Decision: ClaimGoodwill, Reason: "a week late", MadeAt: at, MadeBy: "p1"},
			`{"claim":"c1","decision":"goodwill","id":"e4","made_at":"2031-05-12T12:03:02.007Z","made_by":"p1","reason":"a week late","what":"decided"}`},
		{ClaimEvent{ID: "e5", ClaimID: "c1", What: ClaimCost, Amount: "34.20", Currency: "€", MadeAt: at, MadeBy: "p1"},
			`{"amount":"34.20","claim":"c1","currency":"€","id":"e5","made_at":"2031-05-12T12:03:02.007Z","made_by":"p1","what":"cost"}`},
		{CheckList{ID: "l1", Symptom: "spoke_broken", Revision: 2, Questions: []CheckQuestion{{Code: "flange_worn", Yes: "W17"}, {Code: "own1", Text: "Is it black?", Yes: "W09"}}, Otherwise: "W08", Reason: "black ones", MadeAt: at, MadeBy: "p1"},
			`{"id":"l1","made_at":"2031-05-12T12:03:02.007Z","made_by":"p1","otherwise":"W08","questions":[{"code":"flange_worn","yes":"W17"},{"code":"own1","text":"Is it black?","yes":"W09"}],"reason":"black ones","revision":2,"symptom":"spoke_broken"}`},
		{ClaimEvent{ID: "e6", ClaimID: "c1", What: ClaimPart, RemovalID: ptr("r1"), MadeAt: at, MadeBy: "p1"},
			`{"claim":"c1","id":"e6","made_at":"2031-05-12T12:03:02.007Z","made_by":"p1","removal":"r1","what":"part"}`},
	}
}

// The hash was made by sha256sum over salt and words, each ended by a zero byte.
func TestAClaimKeepsItsWordsByASaltedHash(t *testing.T) {
	const want = "497fd95f101bca543e4887c1fd84d8c971dd650d50d5abdaaf1e788dc64e7e80"
	if got := (ClaimWords{Salt: "NaCl", Words: "ticks"}).Hash(); got != want {
		t.Errorf("hash %s, want %s", got, want)
	}
}

// What was written before events had more columns keeps its version; what has
// them is of version 2, written here by hand as those of version 1 are.
func TestAnEventOfAClaimSaysItsVersion(t *testing.T) {
	at := time.Date(2031, 5, 12, 12, 3, 2, 7_000_000, time.UTC)
	for _, c := range []encoding{
		{ClaimEvent{ID: "e7", ClaimID: "c1", What: ClaimCoded, Symptom: "spoke_broken", CheckList: 2, Answers: []ClaimAnswer{{"own1", true}}, Code: "W17", MadeAt: at, MadeBy: "p1"},
			`{"answers":[{"question":"own1","yes":true}],"check_list":2,"claim":"c1","code":"W17","id":"e7","made_at":"2031-05-12T12:03:02.007Z","made_by":"p1","symptom":"spoke_broken","what":"coded"}`},
		{ClaimEvent{ID: "e8", ClaimID: "c1", What: ClaimWhere, Spot: "14", MadeAt: at, MadeBy: "p1"},
			`{"claim":"c1","id":"e8","made_at":"2031-05-12T12:03:02.007Z","made_by":"p1","spot":"14","what":"where"}`},
	} {
		got, err := trail.Canonical(c.record.Canonical())
		if _, _, version := c.record.TrailName(); err != nil || string(got) != c.want || version != 2 {
			t.Errorf("version %d is\n%s (%v), want version 2\n%s", version, got, err, c.want)
		}
	}
	for _, e := range []ClaimEvent{{What: ClaimCoded, Symptom: "ticks"}, {What: ClaimEnded}} {
		if _, _, version := e.TrailName(); version != 1 {
			t.Errorf("%+v has version %d, want 1", e, version)
		}
	}
}
