package claims

import (
	"errors"
	"testing"

	"tracewright/models"
	"tracewright/models/work/worktest"
)

// What is wrong with what is added to a claim is said, and nothing of it is kept; a
// claim that is closed takes nothing more.
func TestWhatIsRefusedLater(t *testing.T) {
	h := worktest.New(t)
	s, ctx := New(h.Store, h.Clock, worktest.Zone), t.Context()
	c := must(s.Open(ctx, h.Owner, Opening{Item: h.Serial[models.KindWheel], Words: "ticks"}))
	for name, x := range map[string]struct {
		in   Added
		want []string
	}{
		"closed before it is decided": {Added{Close: true}, []string{"decision: claim_undecided"}},
		"less than nothing":           {Added{Amount: "-1", Currency: "EUR"}, []string{"amount: not_an_amount"}},
		"no amount":                   {Added{Amount: "much", Currency: "EUR"}, []string{"amount: not_an_amount"}},
		"of no currency":              {Added{Amount: "1"}, []string{"currency: missing"}},
		"decided for no reason":       {Added{Decision: models.ClaimAccept}, []string{"reason: reason_needed"}},
		"decided in no way":           {Added{Decision: "maybe", Reason: "r"}, []string{"decision: unknown_choice"}},
		"spoke 0":                     {Added{Spot: "0"}, []string{"spot: no_spoke"}},
		"spoke 145":                   {Added{Spot: "145"}, []string{"spot: no_spoke"}},
		"answers without a list":      {Added{Yes: []string{"rim_cracked"}}, []string{"symptom: missing"}},
		"a list of packs":             {Added{Symptom: "dead"}, []string{"symptom: unknown_choice"}},
		"a code nobody has":           {Added{Code: "W99"}, []string{"code: unknown_choice"}},
		"a part of nothing":           {Added{Removal: models.NewID()}, []string{"removal: claim_not_that_item"}},
		"tomorrow":                    {Added{CameOn: "2031-05-13"}, []string{"came_on: came_later"}},
	} {
		t.Run(name, func(t *testing.T) { worktest.WantProblems(t, s.Add(ctx, h.Owner, c.Number, x.in), x.want...) })
	}
	events := func() int { return len(must(s.Claim(ctx, c.Number)).Events) }
	before := events()
	if before != 1 {
		t.Errorf("%d events are kept of what was refused, want the one it was opened with", before)
	}
	h.Must(s.Add(ctx, h.Owner, c.Number, Added{Spot: "144", CameOn: "2031-05-12", Amount: "0", Currency: "EUR"}))
	if n := events(); n != before+3 {
		t.Errorf("the last spoke, today and a cost of nothing make %d events, want %d", n, before+3)
	}
	h.Must(s.Add(ctx, h.Owner, c.Number, Added{Spot: "144", CameOn: "2031-05-12", Amount: "0", Currency: "EUR"}))
	if n := events(); n != before+3 {
		t.Errorf("the same again makes %d events", n)
	}
	h.Must(s.Add(ctx, h.Owner, c.Number, Added{Amount: "0", Currency: "CHF"}))
	h.Must(s.Add(ctx, h.Owner, c.Number, Added{Decision: models.ClaimAccept, Reason: "ours", Close: true}))
	var refused *models.RefusedError
	if err := s.Add(ctx, h.Owner, c.Number, Added{Spot: "3"}); !errors.As(err, &refused) || refused.Reasons[0].Code != "claim_closed" {
		t.Errorf("added to a closed one: %v", err)
	}
	h.Must(s.Add(ctx, h.Owner, c.Number, Added{Close: true})) // Closed already: said once more.
	if n := events(); n != before+6 {
		t.Errorf("%d events in the end, want %d", n, before+6)
	}
}

// Once a part of its item was changed for a claim, the claim stays with that item.
func TestAClaimWithAChangedPartMovesNoMore(t *testing.T) {
	h := worktest.New(t)
	s, ctx, stamp := New(h.Store, h.Clock, worktest.Zone), t.Context(), models.NewStamp(h.Owner, h.Now)
	lot := models.Lot{ID: models.NewID(), Code: "SP-1", Material: "spokes"}
	h.Must(h.Store.AddLot(ctx, stamp, lot))
	wheel := h.AnotherWheel()
	h.Must(h.Store.ChangeParts(ctx, stamp, wheel.ID, nil, []models.FittedPart{{Role: "spokes_a", LotID: &lot.ID, Quantity: 18}}))
	parts := must(h.Store.Parts(ctx, wheel.ID))
	h.Must(h.Store.ChangeParts(ctx, stamp, wheel.ID, []models.PartRemoval{{FittedID: parts[0].ID, Quantity: 1, Code: "broken", Fate: models.FateScrap}}, nil))
	removal := must(h.Store.RemovalsOf(ctx, wheel.ID))[0]
	c := must(s.Open(ctx, h.Owner, Opening{Item: *wheel.Serial, Words: "ticks"}))
	h.Must(s.Add(ctx, h.Owner, c.Number, Added{Removal: removal.ID}))
	worktest.WantProblems(t, s.Add(ctx, h.Owner, c.Number, Added{Item: *h.AnotherWheel().Serial, Moved: "r"}), "item: claim_moves_no_more")
}
