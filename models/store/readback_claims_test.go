package store_test

import (
	"errors"
	"strings"
	"testing"
	"time"

	"tracewright/models"
	"tracewright/models/work/worktest"
)

// readBackClaims is the part of TestEveryRecordReadsBack that a claim leaves
// behind: on an item that was linked later, and on one that stays unknown.
func readBackClaims(t *testing.T, h *worktest.Shop, stamp models.Stamp) {
	t.Helper()
	s, ctx, by := h.Store, t.Context(), h.Owner.PersonID
	customer := models.Customer{ID: models.NewRandomID(), Name: "Ada Brenn"}
	h.Must(s.AddCustomer(ctx, stamp, customer))
	claim := models.Claim{ID: models.NewID(), Kind: models.KindWheel, Product: "a blue one, Ω", MotorNumber: "0007/Ω", OrderRef: "44/71", Customer: customer.ID, OpenedAt: moment, OpenedBy: by}
	words := models.ClaimWords{Words: "It ticks <&>", Salt: "NaCl"}
	opened := must(s.AddClaim(ctx, stamp, 31, claim, words, []models.ClaimEvent{{What: models.ClaimCameIn, CameOn: "2031-03-04"}}))
	same(t, "number", opened.Number, "CL31-00001")
	claim.Number, claim.WordsHash, claim.State, words.ClaimID = opened.Number, words.Hash(), models.ClaimOpen, claim.ID
	event := func(e models.ClaimEvent) models.ClaimEvent {
		e.ID, e.ClaimID, e.MadeAt, e.MadeBy = models.NewID(), claim.ID, moment.Add(time.Minute), by
		if e.Answers == nil {
			e.Answers = []models.ClaimAnswer{}
		}
		return e
	}
	came := opened.Events[0]
	same(t, "claim", must(s.ClaimNumbered(ctx, claim.Number)), models.ClaimView{Claim: claim, Words: &words, Events: []models.ClaimEvent{came}})

	wheel := h.AnotherWheel()
	linked := event(models.ClaimEvent{What: models.ClaimLinked, ItemID: &wheel.ID})
	where := event(models.ClaimEvent{What: models.ClaimWhere, Spot: "14 Ω"})
	coded := event(models.ClaimEvent{What: models.ClaimCoded, Symptom: "spoke_broken", CheckList: 2, Answers: []models.ClaimAnswer{{Question: "flange_worn", Yes: true}}, Code: "W17"})
	decided := event(models.ClaimEvent{What: models.ClaimAnswered, Decision: models.ClaimGoodwill, Reason: "a week late"})
	cost := event(models.ClaimEvent{What: models.ClaimCost, Amount: "34.20", Currency: "€"})
	closed := event(models.ClaimEvent{What: models.ClaimEnded, Reason: "r"})
	h.Must(s.AddClaimEvents(ctx, stamp, claim.ID, nil, []models.ClaimEvent{linked, where, coded}))
	h.Must(s.AddClaimEvents(ctx, stamp, claim.ID, nil, []models.ClaimEvent{decided, cost}))
	same(t, "open claims", len(must(s.OpenClaims(ctx, 5))), 1)
	if err := s.AddClaimEvents(ctx, stamp, claim.ID, &coded.ID, []models.ClaimEvent{closed}); !errors.Is(err, models.ErrStale) {
		t.Errorf("added to what stood before it was decided: %v", err)
	}
	h.Must(s.AddClaimEvents(ctx, stamp, claim.ID, &cost.ID, []models.ClaimEvent{closed}))
	claim.ItemID, claim.State = &wheel.ID, models.ClaimClosed
	want := []models.ClaimView{{Claim: claim, Words: &words, Events: []models.ClaimEvent{came, linked, where, coded, decided, cost, closed}}}
	same(t, "claims of the item", must(s.ClaimsOf(ctx, wheel.ID)), want)
	same(t, "claims by motor", must(s.ClaimsNaming(ctx, claim.MotorNumber, 5)), want)
	same(t, "claims by motor, in small letters", must(s.ClaimsNaming(ctx, strings.ToLower(claim.MotorNumber), 5)), want)
	same(t, "claims by order", must(s.ClaimsNaming(ctx, claim.OrderRef, 5)), want)
	same(t, "newest claims", must(s.NewestClaims(ctx, 5)), want)
	same(t, "open claims", len(must(s.OpenClaims(ctx, 5))), 0)
	if err := s.AddClaimEvents(ctx, stamp, claim.ID, nil, []models.ClaimEvent{event(decided)}); !errors.Is(err, models.ErrStale) {
		t.Errorf("decided on a closed claim: %v", err)
	}
	h.Must(s.EraseClaimWords(ctx, stamp, claim.ID))
	want[0].Words = nil
	same(t, "after its words were erased", must(s.ClaimsOf(ctx, wheel.ID)), want)
	notFound(t, "erased words", s.EraseClaimWords(ctx, stamp, claim.ID))
	list := models.CheckList{ID: models.NewID(), Symptom: "spoke_broken", Revision: 1, Questions: []models.CheckQuestion{{Code: "flange_worn", Yes: "W17"}, {Code: "own2", Text: "Is it <black> Ω?", Yes: "W09"}}, Otherwise: "W08", Reason: "r & s", MadeAt: moment, MadeBy: by}
	h.Must(s.AddCheckList(ctx, stamp, list))
	same(t, "check lists", must(s.CheckLists(ctx)), []models.CheckList{list})
	again := list
	if again.ID = models.NewID(); !errors.Is(s.AddCheckList(ctx, stamp, again), models.ErrConflict) {
		t.Error("the same revision twice")
	}
	for _, e := range []models.Recorded{claim, came, linked, where, coded, closed, list} {
		_, subject, _ := e.TrailName()
		entries, digest := must(s.TrailOf(ctx, []string{subject}, 9)), must(models.Digest(e))
		if len(entries) == 0 || entries[0].Digest != digest {
			t.Errorf("%T left the entries %+v, want the digest %s", e, entries, digest)
		}
	}
}

// An item that comes back is held for its claim; the decision ends that hold.
func TestAClaimTakesAShippedItemIn(t *testing.T) {
	for name, c := range map[string]struct {
		decision, state string
	}{
		"accepted, it is worked on":       {models.ClaimAccept, models.StateInProcess},
		"by goodwill, it is worked on":    {models.ClaimGoodwill, models.StateInProcess},
		"rejected, it goes back as it is": {models.ClaimReject, models.StateShipped},
		"no fault found, it goes back":    {models.ClaimNoFault, models.StateShipped},
	} {
		t.Run(name, func(t *testing.T) {
			worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
				s, ctx, stamp := h.Store, t.Context(), models.NewStamp(h.Owner, moment)
				wheel := h.AnotherWheel()
				state := func() string { return must(s.Item(ctx, wheel.ID)).State }
				must(s.AddShipment(ctx, stamp, 31, models.Shipment{Items: []string{wheel.ID}, Reason: "r", Against: []models.Remark{models.NewRemark("not_released")}}))
				opened := must(s.AddClaim(ctx, stamp, 31, models.Claim{Kind: models.KindWheel}, models.ClaimWords{}, []models.ClaimEvent{{What: models.ClaimLinked, ItemID: &wheel.ID}}))
				same(t, "state while it is still with its owner", state(), models.StateShipped)
				h.Must(s.AddClaimEvents(ctx, stamp, opened.ID, nil, []models.ClaimEvent{{What: models.ClaimCameIn, CameOn: "2031-03-05"}}))
				same(t, "state in the shop", state(), models.StateHeld)
				open := must(s.OpenHolds(ctx, wheel.ID))
				if len(open) != 1 || open[0].Code != models.HoldOfClaim || open[0].Reason != opened.Number {
					t.Fatalf("open holds %+v, want one of claim %s", open, opened.Number)
				}
				h.Must(s.AddClaimEvents(ctx, stamp, opened.ID, nil, []models.ClaimEvent{{What: models.ClaimAnswered, Decision: c.decision, Reason: "r"}}))
				same(t, "state after the decision", state(), c.state)
				same(t, "open holds", len(must(s.OpenHolds(ctx, wheel.ID))), 0)
				if c.state == models.StateShipped { // Looked at again, and the other way.
					h.Must(s.AddClaimEvents(ctx, stamp, opened.ID, nil, []models.ClaimEvent{{What: models.ClaimAnswered, Decision: models.ClaimAccept}}))
					same(t, "state after a second look", state(), models.StateInProcess)
				}
			})
		})
	}
}

// An item that was accepted is in the shop to be worked on, whatever else held
// it meanwhile and whichever way round it was decided and came in.
func TestWhatIsAcceptedIsWorkedOn(t *testing.T) {
	type steps struct {
		raise, lift   func(n int)
		came, decided func(decision string)
		again         func() // it goes out again
	}
	cases := map[string]struct {
		do   func(s steps)
		want string
	}{
		"another hold lifted after it":      {func(s steps) { s.came("05"); s.raise(0); s.decided(models.ClaimAccept); s.lift(0) }, models.StateInProcess},
		"a hold from before it came":        {func(s steps) { s.raise(0); s.came("05"); s.decided(models.ClaimGoodwill); s.lift(0) }, models.StateInProcess},
		"held for the claim beside another": {func(s steps) { s.raise(0); s.came("05"); s.lift(0) }, models.StateHeld},
		"a hold under a hold": {func(s steps) {
			s.came("05")
			s.raise(0)
			s.decided(models.ClaimAccept)
			s.raise(1)
			s.lift(0)
			s.lift(1)
		}, models.StateInProcess},
		"still under another hold": {func(s steps) { s.came("05"); s.raise(0); s.decided(models.ClaimAccept) }, models.StateHeld},
		"rejected goes back":       {func(s steps) { s.came("05"); s.raise(0); s.decided(models.ClaimReject); s.lift(0) }, models.StateShipped},
		"accepted and then rejected goes back": {func(s steps) {
			s.came("05")
			s.raise(0)
			s.decided(models.ClaimAccept)
			s.decided(models.ClaimReject)
			s.lift(0)
		}, models.StateShipped},
		"accepted by telephone, not here yet": {func(s steps) { s.raise(0); s.decided(models.ClaimAccept); s.lift(0) }, models.StateShipped},
		"accepted by telephone, then came":    {func(s steps) { s.decided(models.ClaimAccept); s.came("05") }, models.StateInProcess},
		"the same under a hold":               {func(s steps) { s.decided(models.ClaimAccept); s.raise(0); s.came("05"); s.lift(0) }, models.StateInProcess},
		"rejected by telephone, then came":    {func(s steps) { s.decided(models.ClaimReject); s.came("05") }, models.StateShipped},
		"a corrected day holds it once":       {func(s steps) { s.came("05"); s.came("06"); s.decided(models.ClaimReject) }, models.StateShipped},
		"sent again, then its day corrected":  {func(s steps) { s.came("05"); s.decided(models.ClaimAccept); s.again(); s.came("06") }, models.StateShipped},
		"a hold on what was sent again":       {func(s steps) { s.came("05"); s.decided(models.ClaimAccept); s.again(); s.raise(0); s.lift(0) }, models.StateShipped},
	}
	worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
		for name, c := range cases {
			t.Run(name, func(t *testing.T) {
				s, ctx, wheel, now := h.Store, t.Context(), h.AnotherWheel(), moment
				stamp := func() models.Stamp { now = now.Add(time.Second); return models.NewStamp(h.Owner, now) }
				ship := func() {
					must(s.AddShipment(ctx, stamp(), 31, models.Shipment{Items: []string{wheel.ID}, Reason: "r", Against: []models.Remark{models.NewRemark("not_released")}}))
				}
				ship()
				opened := must(s.AddClaim(ctx, stamp(), 31, models.Claim{Kind: models.KindWheel}, models.ClaimWords{}, []models.ClaimEvent{{What: models.ClaimLinked, ItemID: &wheel.ID}}))
				event := func(e models.ClaimEvent) {
					h.Must(s.AddClaimEvents(ctx, stamp(), opened.ID, nil, []models.ClaimEvent{e}))
				}
				holds := map[int]string{}
				c.do(steps{
					raise: func(n int) {
						holds[n] = must(s.AddHold(ctx, stamp(), models.Hold{ItemID: &wheel.ID, Code: "other", Reason: "r"})).ID
					},
					lift: func(n int) {
						h.Must(s.LiftHold(ctx, stamp(), models.HoldLift{HoldID: holds[n], Code: "other", Reason: "r"}))
					},
					came:    func(day string) { event(models.ClaimEvent{What: models.ClaimCameIn, CameOn: "2031-03-" + day}) },
					decided: func(d string) { event(models.ClaimEvent{What: models.ClaimAnswered, Decision: d, Reason: "r"}) },
					again:   ship,
				})
				same(t, "state", must(s.Item(ctx, wheel.ID)).State, c.want)
			})
		}
	})
}

// A claim on the wrong item: the right one is named in its place, the wrong one
// goes back as it came, and both stay on record.
func TestAClaimMovesToAnotherItem(t *testing.T) {
	worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
		s, ctx, stamp := h.Store, t.Context(), models.NewStamp(h.Owner, moment)
		wrong, right := h.AnotherWheel(), h.AnotherWheel()
		must(s.AddShipment(ctx, stamp, 31, models.Shipment{Items: []string{wrong.ID, right.ID}, Reason: "r", Against: []models.Remark{models.NewRemark("not_released")}}))
		c := must(s.AddClaim(ctx, stamp, 31, models.Claim{Kind: models.KindWheel}, models.ClaimWords{}, []models.ClaimEvent{{What: models.ClaimLinked, ItemID: &wrong.ID}, {What: models.ClaimCameIn, CameOn: "2031-03-05"}}))
		states := func() [2]string {
			return [2]string{must(s.Item(ctx, wrong.ID)).State, must(s.Item(ctx, right.ID)).State}
		}
		move := func(e models.ClaimEvent) error {
			e.What, e.ItemID = models.ClaimLinked, &right.ID
			return s.AddClaimEvents(ctx, stamp, c.ID, nil, []models.ClaimEvent{e})
		}
		if err := move(models.ClaimEvent{}); !errors.Is(err, models.ErrStale) {
			t.Errorf("moved without a reason: %v", err)
		}
		same(t, "states before", states(), [2]string{models.StateHeld, models.StateShipped})
		h.Must(move(models.ClaimEvent{Reason: "the label of the other one"}))
		same(t, "states after", states(), [2]string{models.StateShipped, models.StateHeld})
		same(t, "claims on the wrong one", len(must(s.ClaimsOf(ctx, wrong.ID))), 0)
		same(t, "claims on the right one, with what was said before", len(must(s.ClaimsOf(ctx, right.ID))[0].Events), 3)
		h.Must(s.AddClaimEvents(ctx, stamp, c.ID, nil, []models.ClaimEvent{{What: models.ClaimAnswered, Decision: models.ClaimAccept, Reason: "r"}}))
		same(t, "states decided", states(), [2]string{models.StateShipped, models.StateInProcess})
		if err := move(models.ClaimEvent{Reason: "r"}); !errors.Is(err, models.ErrStale) {
			t.Errorf("moved after the decision: %v", err)
		}
	})
}
