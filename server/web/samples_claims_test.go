package web

import (
	"time"

	"tracewright/models"
	"tracewright/models/work/claims"
)

// sampleClaim is a claim on the sample wheel that is coded and accepted.
func sampleClaim() models.ClaimView {
	v := models.ClaimView{Claim: models.Claim{ID: "k1", Number: "CL27-00153", Kind: models.KindWheel, ItemID: text("i1"), State: models.ClaimDecided, Customer: "c1", OpenedAt: sampleNow.Add(-time.Hour), OpenedBy: "p2"},
		Words: &models.ClaimWords{Words: "Ticking at the back for a week, then a bang."}}
	for _, e := range []models.ClaimEvent{{What: models.ClaimLinked, ItemID: text("i1")}, {What: models.ClaimCameIn, CameOn: "2027-05-24"}, {What: models.ClaimLinked, ItemID: text("i1"), Reason: "the label of the other one"}, {What: models.ClaimWhere, Spot: "14"},
		{What: models.ClaimCoded, Symptom: "spoke_broken", Answers: []models.ClaimAnswer{{Question: "flange_worn", Yes: true}}, Code: "W17"},
		{What: models.ClaimCoded, Symptom: "spoke_broken", CheckList: 1, Answers: []models.ClaimAnswer{{Question: "own1", Yes: true}}, Code: "W09"},
		{What: models.ClaimAnswered, Decision: models.ClaimGoodwill, Reason: "a week late"}, {What: models.ClaimCost, Amount: "34.20", Currency: "€"}, {What: models.ClaimPart, RemovalID: text("r1")}} {
		e.MadeAt, e.MadeBy = sampleNow, "p2"
		v.Events = append(v.Events, e)
	}
	return v
}

// sampleLists are two check lists: one that the shop changed, one as shipped.
func sampleLists() []claims.List {
	shipped := models.CheckList{Symptom: "dead", Questions: []models.CheckQuestion{{Code: "fuse_open", Yes: "P16"}}, Otherwise: "P08"}
	own := models.CheckList{Symptom: "spoke_broken", Revision: 1, Questions: []models.CheckQuestion{{Code: "own1", Text: "Is it one of the black ones?", Yes: "W09"}, {Code: "flange_worn", Yes: "W17"}}, Otherwise: "W08", Reason: "the black ones were soft", MadeAt: sampleNow, MadeBy: "p2"}
	return []claims.List{{CheckList: own, Kind: models.KindWheel, Revisions: []models.CheckList{own}}, {CheckList: shipped, Kind: models.KindPack, AsShipped: true}}
}

// claimPages are the pages of claims: none, open on an unknown item, decided,
// closed with its words erased.
func claimPages(s *site, owner Frame) map[string][]any {
	people, none, lists := map[string]string{"p2": "Inge Okarra"}, func(string) string { return "" }, sampleLists()
	unknown := models.ClaimView{Claim: models.Claim{Number: "CL27-00154", Kind: models.KindPack, Product: "a grey one of four blocks", MotorNumber: "0007", OrderRef: "4471", State: models.ClaimOpen, OpenedAt: sampleNow}, Words: &models.ClaimWords{Words: "dead"}}
	decided, closed := sampleClaim(), sampleClaim()
	closed.State, closed.Words = models.ClaimClosed, nil
	closed.Events = append(closed.Events, models.ClaimEvent{What: models.ClaimEnded, MadeAt: sampleNow, MadeBy: "p2"})
	full := s.claimPage(owner, decided, lists, people, none, nil)
	full.On = Span{Text: "W26-00005-1", Mono: true, Path: "/items/W26000051"}
	service := claims.InService{Shipped: sampleNow.AddDate(0, -7, 0), Until: sampleNow.AddDate(0, 17, 0), Runs: true, Months: 24}
	s.claimKnown(&full, decided, sampleRebuilt(), service, []models.ClaimView{decided, closed})
	full.Photos = []PaperRow{{Path: "/papers/a1", Name: "photo.jpg", Image: true, Added: "24 May 2027"}}
	ended := s.claimPage(owner, closed, lists, people, none, nil)
	s.claimKnown(&ended, closed, sampleWheel(), claims.InService{}, nil)
	refused := s.claimPage(owner, unknown, lists, people, func(name string) string {
		return map[string]string{"symptom": "dead", "yes_fuse_open": "yes", "decision": "reject"}[name]
	}, models.Invalid("reason", "reason_needed"))
	item := s.itemPage(owner, sampleWheel(), nil)
	s.claimed(&item, sampleWheel(), service, []models.ClaimView{decided})
	over := s.itemPage(owner, sampleWheel(), nil)
	service.Runs = false
	s.claimed(&over, sampleWheel(), service, nil)
	open := sampleClaim()
	open.State, open.Events = models.ClaimOpen, open.Events[:2]
	moving := s.claimPage(owner, open, lists, people, func(name string) string { return map[string]string{"item": "W27-00001-8"}[name] }, models.Invalid("moved", "claim_moved_why"))
	changed := s.checkListPage(owner, lists[0], people, filled(checkListValues(lists[0])))
	wrong := s.checkListPage(owner, lists[1], people, newForm(func(name string) string { return checkListValues(lists[1])[name] }, models.Invalid("reason", "reason_needed")))
	return map[string][]any{
		"check_lists": {checkListsPage(owner, nil), checkListsPage(owner, lists)},
		"check_list":  {CheckListPage{Frame: owner}, changed, wrong},
		"claims":      {ClaimsPage{Frame: owner}, ClaimsPage{Frame: owner, Answer: "One claim waits for an answer", Waiting: []ClaimRow{s.claimRow(unknown, nil), s.claimRow(decided, map[string]models.Item{"i1": {ID: "i1", Serial: text("W26000051")}})}, Rest: []ClaimRow{s.claimRow(closed, nil)}}},
		"claim":       {ClaimPage{Frame: owner}, full, ended, refused, moving},
		"item":        {item, over},
		"others":      {s.othersPage(owner, sampleWheel(), claims.Others{}), s.othersPage(owner, sampleWheel(), claims.Others{Lives: 300, Groups: []claims.Group{{Same: claims.SameLot, Name: "SP-0931", Units: 212, Back: 7, Low: 0.013, High: 0.067, Expected: 1.9, Elsewhere: 1118, More: true, Beyond: 3}, {Same: claims.SamePlace, Name: "stand 2", Units: 9, Back: 2, Few: true}, {Same: claims.SameMonth, Name: "2027-05", Few: true}, {Same: claims.SameProduct, Units: 40, Back: 1, Low: 0.001, High: 0.13, Expected: 0.9, Elsewhere: 200}}})},
	}
}
