package models

import (
	"testing"
	"time"
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
