package web

import (
	"tracewright/models"
	"tracewright/models/work/recall"
)

// sampleRecall is a lot called back: one wheel shipped that came back, one here
// by a bin, one that is new since the time before.
func sampleRecall(end *models.RecallEnd) recall.View {
	shipped := models.Item{ID: "i1", Kind: models.KindWheel, Serial: text("W27000CF6"), State: models.StateRecalled}
	here := models.Item{ID: "i2", Kind: models.KindWheel, Serial: text("W270001AB"), State: models.StateHeld}
	v := recall.View{About: "SP-0931", Shipped: 1, Here: 1, Scrapped: 1, Called: 1, Notified: 1, Answered: 1, New: []models.Item{here}, Gone: []models.Item{shipped}, People: map[string]string{"p2": "Inge Okarra"}}
	v.Recall = models.Recall{Number: "R27-00001", Reason: "elbows crack", Wanted: "Stop riding.", Scope: models.RecallScope{Lot: "l1"}, MadeAt: sampleNow, MadeBy: "p2"}
	v.Runs, v.End = []models.RecallRun{{N: 1, RunAt: sampleNow}, {N: 2, RunAt: sampleNow}}, end
	v.Rows = []recall.Row{{RecallItem: models.RecallItem{Item: "i1", Where: models.RecallShipped}, Of: shipped, Response: &models.RecallResponse{Response: "returned", RespondedAt: sampleNow}, Shipment: &models.Shipment{Number: "S27-00012", Customer: "c1", ShippedAt: sampleNow}},
		{RecallItem: models.RecallItem{Item: "i2", Where: models.RecallHere, Possibly: true}, Of: here}}
	return v
}

func recallPages(s *site, owner Frame, bare *form) map[string][]any {
	ended := sampleRecall(&models.RecallEnd{Reason: "all are back", EndedAt: sampleNow, EndedBy: "p2"})
	return map[string][]any{
		"recalls":    {s.recallsPage(owner, nil), s.recallsPage(owner, []recall.View{sampleRecall(nil), ended})},
		"recall_new": {NewRecallPage{Frame: owner, Answer: "What is to be called back?", Scope: []Field{bare.field(Field{Name: "lot", Label: "A lot"})}}, NewRecallPage{Frame: owner, Found: true, Answer: "Nothing"}, NewRecallPage{Frame: owner, Found: true, Answer: "2 items with lot SP-0931: 1 shipped, 1 scrapped", Lot: "/lots/SP-0931", Rest: "The first 500 are shown of 501.", Sent: []Choice{{"lot", "SP-0931"}}, Items: []RecallItemRow{{Serial: "W27-000CF-6", Where: whereMark(models.RecallShipped)}, {Where: whereMark(models.RecallScrapped), Possibly: true}}}},
		"recall":     {s.recallPage(owner, sampleRecall(nil), nil, nil), s.recallPage(owner, ended, map[string]bool{"c1": true}, nil)},
	}
}
