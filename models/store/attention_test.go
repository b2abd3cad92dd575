package store_test

import (
	"slices"
	"testing"
	"time"

	"tracewright/models"
	"tracewright/models/store"
	"tracewright/models/store/storetest"
)

// Holds that end leave the list that holds_open finds, and the flag agrees with the
// lifts: those of a recall are no person's to lift.
func TestHoldsWaiting(t *testing.T) {
	storetest.Each(t, func(t *testing.T, s *store.Store) {
		ctx := t.Context()
		person := models.Person{ID: models.NewID(), Name: "Test inspector", Role: models.Inspector, Active: true}
		must(0, s.AddPerson(ctx, models.NewStamp(models.Actor{}, moment), person))
		stamp := models.NewStamp(models.Actor{PersonID: person.ID, Role: person.Role}, moment)
		item := func(serial string) models.Item {
			return must(s.AddItem(ctx, stamp, models.Item{ID: models.NewID(), Kind: models.KindWheel, Serial: &serial, Origin: "made", State: models.StateConforming}, nil))
		}
		first, second := item("W31000019"), item("W31000027")
		lot := models.Lot{ID: models.NewID(), Code: "SP-1", Material: "spokes", Quantity: 9}
		must(0, s.AddLot(ctx, stamp, lot))
		raise := func(h models.Hold, minutes int) models.Hold {
			h.RaisedAt = moment.Add(time.Duration(minutes) * time.Minute)
			return must(s.AddHold(ctx, stamp, h))
		}
		one := raise(models.Hold{ItemID: &first.ID, Code: "W13", Reason: "a step"}, 1)
		two := raise(models.Hold{ItemID: &second.ID, Code: "W01", Reason: "it swings"}, 0)
		three := raise(models.Hold{LotID: &lot.ID, Code: "other", Reason: "rusty"}, 2)
		recalled, err := s.AddRecall(ctx, stamp, 31, models.Recall{Reason: "elbows crack", Scope: models.RecallScope{Part: second.ID}}, models.RecallRun{Items: []models.RecallItem{{Item: second.ID}}})
		must(0, err)
		claim, err := s.AddClaim(ctx, stamp, 31, models.Claim{Kind: models.KindWheel}, models.ClaimWords{Words: "it ticks", Salt: "s"}, nil)
		must(0, err)
		claimed := raise(models.Hold{ItemID: &first.ID, Code: models.HoldOfClaim, Reason: claim.Number}, 4)
		waiting := must(s.HoldsWaiting(ctx))
		if len(waiting) != 3 || waiting[0].ID != two.ID || waiting[1].ID != one.ID || waiting[2].ID != three.ID {
			t.Fatalf("%+v wait", waiting)
		}
		if w := waiting[0]; w.Serial != "W31000027" || w.Kind != models.KindWheel || w.State != models.StateHeld || !w.RaisedAt.Equal(moment) || w.ItemID == nil || *w.ItemID != second.ID {
			t.Errorf("the oldest is %+v", w)
		}
		if w := waiting[2]; w.Lot != "SP-1" || w.ItemID != nil {
			t.Errorf("the lot's is %+v", w)
		}
		must(0, s.LiftHold(ctx, stamp, models.HoldLift{HoldID: two.ID, Code: "corrected", Reason: "trued"}))
		must(0, s.LiftHold(ctx, stamp, models.HoldLift{HoldID: three.ID, Code: "corrected", Reason: "cleaned"}))
		if got := must(s.HoldsWaiting(ctx)); len(got) != 1 || got[0].ID != one.ID {
			t.Errorf("after two were lifted %+v wait", got)
		}
		same(t, "open holds", len(must(s.AllOpenHolds(ctx))), 3) // those of the recall and the claim too
		// What an ended recall or an answered claim leaves on hold is told by nothing else.
		must(0, s.EndRecall(ctx, stamp, models.RecallEnd{RecallID: recalled.ID, Reason: "done"}))
		if got := must(s.HoldsWaiting(ctx)); len(got) != 2 || got[0].Code != models.HoldRecall || got[0].Reason != recalled.Number {
			t.Errorf("after the recall ended %+v wait", got)
		}
		must(0, s.AddClaimEvents(ctx, stamp, claim.ID, nil, []models.ClaimEvent{{What: models.ClaimAnswered, Decision: models.ClaimReject, Reason: "no"}}))
		if got := must(s.HoldsWaiting(ctx)); len(got) != 3 || !slices.ContainsFunc(got, func(h models.HeldItem) bool { return h.ID == claimed.ID }) {
			t.Errorf("after the claim was answered %+v wait", got)
		}
	})
}

// What passed and has no certificate: wheels and packs of a product, in either state
// that is let through; nothing that is still read, released or a block.
func TestUncertified(t *testing.T) {
	storetest.Each(t, func(t *testing.T, s *store.Store) {
		ctx, stamp := t.Context(), models.NewStamp(models.Actor{}, moment)
		n := 0
		made := func(kind, state string) {
			n++
			family := models.Family{ID: models.NewID(), Kind: kind, Name: kind + state}
			must(0, s.AddFamily(ctx, stamp, family, models.Specification{ID: models.NewID(), Revision: 1, Grade: "standard", Rule: "simple", Characteristics: []models.Characteristic{}}))
			product := models.Product{ID: models.NewID(), FamilyID: family.ID, Name: "one"}
			must(0, s.AddProduct(ctx, stamp, product, models.ProductRevision{}))
			number := "M" + kind + state
			must(s.AddItem(ctx, stamp, models.Item{ID: models.NewID(), Kind: kind, FamilyID: &family.ID, ProductID: &product.ID, Supplier: "Aare", Model: "A", MakerNumber: &number, Origin: "received", State: state}, nil))
		}
		for _, state := range []string{models.StateConforming, models.StateConceded, models.StateInProcess, models.StateReleased, models.StateHeld} {
			made(models.KindWheel, state)
		}
		made(models.KindPack, models.StateConforming)
		made(models.KindBlock, models.StateConforming)
		found := must(s.Uncertified(ctx, 10))
		if len(found) != 3 {
			t.Errorf("%d wait for a certificate, want two wheels and a pack: %+v", len(found), found)
		}
		for _, u := range found {
			if u.MadeAt.IsZero() || u.ItemID == "" || u.Kind == models.KindBlock {
				t.Errorf("%+v", u)
			}
		}
		same(t, "at most two", len(must(s.Uncertified(ctx, 2))), 2)
	})
}
