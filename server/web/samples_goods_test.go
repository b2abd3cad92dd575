package web

import (
	"net/url"
	"tracewright/models"
	"tracewright/models/trade/genealogy"
	"tracewright/models/work/receive"
)

// sampleLot is a spoke lot that was used beyond what came, did not pass when it
// was looked at, went back in part, was counted short and lies in a bin with
// another.
func sampleLot(s *site, frame Frame) LotPage {
	uses := sampleUses()
	check := models.LotCheck{ID: "c1", LotID: "l1", Plan: models.LotPlan{Kind: models.PlanZero, Bad: "20", Risk: "10"}, Lot: 60, Size: 10, Looked: 10, Verdict: models.CheckAccepted, CheckedBy: "p2", CheckedAt: sampleNow}
	failed := check
	failed.ID, failed.Verdict, failed.Bad, failed.Note = "c2", models.CheckRejected, []models.DefectCount{{Code: "W13", Count: 3}}, "4 mm short"
	unfinished := check
	unfinished.ID, unfinished.Verdict, unfinished.Looked = "c3", models.CheckUnfinished, 4
	count := models.LotCount{ID: "k1", LotID: "l1", Counted: 3, Expected: 5, CountedBy: "p2", CountedAt: sampleNow}
	story := receive.Story{Lot: *uses.Lot, Material: sampleMaterials()[0], Totals: models.LotTotals{BuiltIn: 72, Scrapped: 4, Mixed: 9},
		LotRecords: models.LotRecords{Checks: []models.LotCheck{check, unfinished, failed}, Counts: []models.LotCount{count}, Scraps: []models.LotScrap{{ID: "s1", Quantity: 4, Code: "W09", Reason: "bent", ScrappedBy: "p2", ScrappedAt: sampleNow}},
			Decisions:    []models.LotDecision{{ID: "d1", Decision: models.LotConcession, Reason: "for a trial", DecidedBy: "p2", DecidedAt: sampleNow}, {ID: "d2", Decision: models.LotQuarantine, CheckID: text("c2"), DecidedBy: "p2", DecidedAt: sampleNow}},
			Explanations: []models.LotExplanation{{ID: "e1", Difference: -7, Reason: "a bag more", ExplainedBy: "p2", ExplainedAt: sampleNow}},
			Bins:         []models.LotMix{{ID: "m1", MixID: "l9", LotID: "l1", Quantity: 9, MixedBy: "p2", MixedAt: sampleNow}}},
		Stops: []models.LotStop{{LotID: "l1", Code: "SP-0200", Decision: models.LotReturn}}, Codes: map[string]string{"l9": "BIN-3"},
		Balance: &receive.Balance{Balance: genealogy.Balance{Received: 60, Consumed: 81, Scrapped: 4, Expected: -25}, Count: &count, Beyond: 25, Unexplained: 18}}
	story.Decision = &story.Decisions[1]
	photo := models.AttachmentView{Attachment: models.Attachment{ID: "a1", SubjectID: "c2", Name: "IMG 12.png", Note: "beside a good one", AddedBy: "p2", AddedAt: sampleNow}, MediaType: models.MediaJPEG}
	note := models.AttachmentView{Attachment: models.Attachment{ID: "a2", SubjectID: "l1", AddedBy: "p2", AddedAt: sampleNow}, MediaType: models.MediaPDF}
	return s.lotPage(frame, story, uses, true, []models.AttachmentView{note}, []models.AttachmentView{photo})
}

func sampleMaterials() []models.Material {
	return []models.Material{{Code: "spokes", Name: "spokes", Unit: "pieces", Roles: []string{"spokes_a", "spokes_b"}, Plan: models.LotPlan{Kind: models.PlanZero, Bad: "20", Risk: "10"}, Least: 500},
		{Code: "glue", Name: "glue", Unit: "tubes", Plan: models.LotPlan{Kind: models.PlanSingle, Level: "II", AQL: "1.0"}}}
}

// sampleLines are lots in every state.
func sampleLines() []receive.Line {
	line := func(id, decision string, left int) receive.Line {
		l := receive.Line{Lot: models.Lot{ID: id, Code: "SP-" + id, Material: "spokes", Supplier: "Orlo", Quantity: 400, ReceivedAt: sampleNow}, Left: &left}
		if decision != "" {
			l.Decision = &models.LotDecision{Decision: decision}
		}
		return l
	}
	return []receive.Line{line("l1", "", 400), line("l2", models.LotAccept, 0), line("l3", "", -3), line("l4", models.LotQuarantine, 12), line("l5", models.LotConcession, 7), {Lot: models.Lot{ID: "l6", Code: "BIN-3", Material: "spokes"}, Bin: true}}
}

// sampleSummed is a page of lots with what is left, between an earlier page and a
// later one.
func sampleSummed(s *site, owner Frame) LotsPage {
	page := s.lotsPage(owner, sampleMaterials(), sampleLines(), nil, "spokes", "to_use")
	page.sums(sampleMaterials(), sampleLines(), "spokes")
	page.leaf(url.Values{"before": {"x"}, "material": {"spokes"}}, models.LotKey{ReceivedAt: sampleNow, Code: "SP-1"})
	return page
}
