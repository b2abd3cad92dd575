package claims

import (
	"errors"
	"fmt"
	"math"
	"testing"
	"time"

	"tracewright/models"
	"tracewright/models/work/worktest"
)

func must[T any](x T, err error) T {
	if err != nil {
		panic(err)
	}
	return x
}

// ship sends an item off at a moment, whatever the gate would say.
func ship(h *worktest.Shop, item models.Item, at time.Time) models.Shipment {
	return must(h.Store.AddShipment(h.Context(), models.NewStamp(h.Owner, at), 31, models.Shipment{Items: []string{item.ID}, Reason: "r", Against: []models.Remark{models.NewRemark("not_released")}}))
}

func TestInServiceCountsFromTheFirstShipmentThatStands(t *testing.T) {
	worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
		s, wheel, ctx := New(h.Store, h.Clock, worktest.Zone), h.AnotherWheel(), t.Context()
		if got := must(s.InService(ctx, wheel.ID, h.Now)); !got.Shipped.IsZero() || got.Months != models.UsualWarrantyMonths {
			t.Errorf("before it left: %+v", got)
		}
		void := ship(h, wheel, h.Now.AddDate(-3, 0, 0))
		h.Must(h.Store.VoidShipment(ctx, models.NewStamp(h.Owner, h.Now), models.ShipmentVoid{ShipmentID: void.ID, Reason: "r"}))
		sent := ship(h, wheel, h.Now.AddDate(0, -24, 0))
		got := must(s.InService(ctx, wheel.ID, h.Now))
		if !got.Shipped.Equal(sent.ShippedAt) || got.Until.Format(time.DateOnly) != "2031-05-12" || !got.Runs {
			t.Errorf("on its last day: %+v", got)
		}
		h.Now = h.Now.AddDate(0, 0, 1)
		if must(s.InService(ctx, wheel.ID, h.Now)).Runs {
			t.Error("it runs on the day after")
		}
		if !must(s.InService(ctx, wheel.ID, h.Now.AddDate(0, 0, -1))).Runs {
			t.Error("what was claimed on its last day is too late once that has passed")
		}
		h.Must(h.Store.SetSetting(ctx, models.NewStamp(h.Owner, h.Now), models.SettingWarrantyMonths, "36"))
		if got := must(s.InService(ctx, wheel.ID, h.Now)); !got.Runs || got.Months != 36 {
			t.Errorf("of a shop with 36 months: %+v", got)
		}
	})
}

// A claim on a whole kit keeps its word; the box is neither held nor worked on, for
// what was in it is with its owner.
func TestAKitThatIsClaimedStaysShipped(t *testing.T) {
	worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
		s, ctx, stamp := New(h.Store, h.Clock, worktest.Zone), t.Context(), models.NewStamp(h.Owner, h.Now)
		kit := must(h.Store.AddItemWithSerial(ctx, stamp, models.Item{Kind: models.KindKit, FamilyID: h.Item[models.KindWheel].FamilyID, Origin: "made"}, "K", 31, nil))
		wheel := h.Item[models.KindWheel]
		h.Must(h.Store.PackKit(ctx, stamp, models.KitPacking{KitID: kit.ID, ItemID: &wheel.ID, Quantity: 1, Added: true}))
		ship(h, kit, h.Now)
		opened := must(s.Open(ctx, h.Owner, Opening{Item: *kit.Serial, Words: "the box was open", CameOn: h.Now.Format(time.DateOnly)}))
		h.Must(s.Add(ctx, h.Owner, opened.Number, Added{Code: "K01", Decision: models.ClaimAccept, Reason: "the arm was missing"}))
		for _, item := range []models.Item{kit, wheel} {
			if got := must(h.Store.Item(ctx, item.ID)).State; got != models.StateShipped {
				t.Errorf("%s is %s", item.Name(), got)
			}
		}
		if open := must(h.Store.OpenKits(ctx)); len(open) != 0 {
			t.Errorf("kits that are packed: %+v", open)
		}
	})
}

// What stands already adds nothing; what changes is added beside it.
func TestAnEventIsAddedOnlyForWhatIsNew(t *testing.T) {
	worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
		s, ctx := New(h.Store, h.Clock, worktest.Zone), t.Context()
		opened := must(s.Open(ctx, h.Owner, Opening{Item: h.Serial[models.KindWheel], Words: "ticks"}))
		in := Added{Symptom: "spoke_broken", Yes: []string{"flange_worn"}, Decision: models.ClaimAccept, Reason: "r", Amount: "34,20", Currency: "€"}
		for range 2 {
			h.Must(s.Add(ctx, h.Owner, opened.Number, in))
		}
		v := must(s.Claim(ctx, opened.Number))
		if got := fmt.Sprintf("%d %s %s %s", len(v.Events), v.Last(models.ClaimCoded).Code, v.Last(models.ClaimCost).Amount, v.State); got != "4 W17 34.20 decided" {
			t.Errorf("events, code, amount, state: %s", got)
		}
		in.Code, in.Decision = "W08", models.ClaimReject
		h.Must(s.Add(ctx, h.Owner, opened.Number, in))
		v = must(s.Claim(ctx, opened.Number))
		if len(v.Events) != 6 || v.Last(models.ClaimCoded).Code != "W08" || v.Last(models.ClaimAnswered).Decision != models.ClaimReject {
			t.Errorf("after a change: %+v", v.Events)
		}
		in.Close = true
		for range 2 { // What was sent with the end of a claim may be sent again.
			h.Must(s.Add(ctx, h.Owner, opened.Number, in))
		}
		if v = must(s.Claim(ctx, opened.Number)); len(v.Events) != 7 || v.State != models.ClaimClosed {
			t.Errorf("closed twice over: %+v", v.Events)
		}
		in.Reason = "another one"
		var refused *models.RefusedError
		if err := s.Add(ctx, h.Owner, opened.Number, in); !errors.As(err, &refused) {
			t.Errorf("added to a closed claim: %v", err)
		}
	})
}

// A claim that is sent twice under one id is opened once, however much became of
// it; another one under that id is refused.
func TestAClaimIsOpenedOnceUnderItsID(t *testing.T) {
	worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
		s, ctx := New(h.Store, h.Clock, worktest.Zone), t.Context()
		in := Opening{ID: models.NewID(), Motor: "OR4-60418", Kind: models.KindWheel, Words: "it grinds", CameOn: "2031-05-10"}
		first := must(s.Open(ctx, h.Owner, in))
		h.Now = h.Now.Add(time.Hour)
		h.Must(s.Add(ctx, h.Owner, first.Number, Added{Item: h.Serial[models.KindWheel], CameOn: "2031-05-11"}))
		if again := must(s.Open(ctx, h.Owner, in)); again.Number != first.Number || len(again.Events) != 3 {
			t.Errorf("sent again: %s with %d events, want %s as it stands", again.Number, len(again.Events), first.Number)
		}
		for name, other := range map[string]func(*Opening){
			"other words":   func(o *Opening) { o.Words = "it ticks" },
			"another day":   func(o *Opening) { o.CameOn = "2031-05-11" },
			"no day":        func(o *Opening) { o.CameOn = "" },
			"an item":       func(o *Opening) { o.Item = h.Serial[models.KindWheel] },
			"another motor": func(o *Opening) { o.Motor = "OR4-60419" },
		} {
			changed := in
			other(&changed)
			if _, err := s.Open(ctx, h.Owner, changed); !errors.Is(err, models.ErrConflict) {
				t.Errorf("%s under the same id: %v", name, err)
			}
		}
		h.Must(s.EraseWords(ctx, h.Owner, first.Number))
		if again := must(s.Open(ctx, h.Owner, in)); again.Words != nil {
			t.Error("sent again, erased words came back")
		}
		in.ID = "7"
		_, err := s.Open(ctx, h.Owner, in)
		worktest.WantProblems(t, err, "id: bad_id")
	})
}

func TestWhatIsRefused(t *testing.T) {
	h := worktest.New(t)
	s, ctx := New(h.Store, h.Clock, worktest.Zone), t.Context()
	wheel := h.Serial[models.KindWheel]
	for name, c := range map[string]struct {
		in          Opening
		field, code string
	}{
		"no words":                      {Opening{Item: wheel}, "words", "missing"},
		"nothing named":                 {Opening{Words: "x", Kind: models.KindWheel}, "item", "claim_nothing_named"},
		"a kit is no item":              {Opening{Words: "x", Kind: models.KindKit, Motor: "1"}, "kind", "unknown_choice"},
		"not even a key":                {Opening{Words: "x", Item: wheel, Customer: "Ada Brenn"}, "customer", "unknown_choice"},
		"a customer nobody knows":       {Opening{Words: "x", Item: wheel, Customer: models.NewRandomID()}, "customer", "unknown_choice"},
		"36 characters that are no key": {Opening{Words: "x", Item: "0198f3c2 7a11 7cc3 98f0 0a1b2c3d4e5g"}, "item", "serial_form"},
		"an end nobody has":             {Opening{Words: "x", Item: "ZZZZZ"}, "item", "serial_tail_unknown"},
		"no serial":                     {Opening{Words: "x", Item: "no such thing"}, "item", "serial_form"},
		"a supplier's code":             {Opening{Words: "x", Item: "(01)09521234500018(10)A-1"}, "item", "scan_gs1"},
		"a key nobody has":              {Opening{Words: "x", Item: models.NewID()}, "item", "unknown_serial"},
		"tomorrow":                      {Opening{Words: "x", Item: wheel, CameOn: "2031-05-13"}, "came_on", "came_later"},
		"before anything was recorded":  {Opening{Words: "x", Item: wheel, CameOn: "1969-12-31"}, "came_on", "day_too_early"},
		"no day":                        {Opening{Words: "x", Item: wheel, CameOn: "12.5.2031"}, "came_on", "bad_date"},
	} {
		var invalid *models.InvalidError
		_, err := s.Open(ctx, h.Owner, c.in)
		if !errors.As(err, &invalid) || invalid.Problems[0].Field != c.field || invalid.Problems[0].Code != c.code {
			t.Errorf("%s: %v, want %s on %s", name, err, c.code, c.field)
		}
	}
	if list := must(s.Newest(ctx, 9)); len(list) != 0 { // Before the one that is taken.
		t.Errorf("%d claims were kept", len(list))
	}
	key := models.NewRandomID()
	h.Must(h.Store.AddCustomer(ctx, models.NewStamp(h.Owner, h.Now), models.Customer{ID: key, Name: "Ada Brenn"}))
	if must(s.Open(ctx, h.Owner, Opening{Item: wheel, Words: "x", Customer: key})).Customer != key {
		t.Error("the key of a customer was not kept")
	}
}

// A reason that somebody typed is not lost where no decision was chosen.
func TestAReasonAloneIsNotLost(t *testing.T) {
	h := worktest.New(t)
	s, ctx := New(h.Store, h.Clock, worktest.Zone), t.Context()
	opened := must(s.Open(ctx, h.Owner, Opening{Item: h.Serial[models.KindWheel], Words: "ticks"}))
	worktest.WantProblems(t, s.Add(ctx, h.Owner, opened.Number, Added{Reason: "no sign of a blow"}), "decision: claim_reason_alone")
	worktest.WantProblems(t, s.Add(ctx, h.Owner, opened.Number, Added{Decision: models.ClaimReject, Reason: "\u200b"}), "reason: reason_needed")
}

// A planted truth: of 40 wheels with one lot 10 came back after 50 days, of 40
// others 2 did, all shipped 100 days ago. Elsewhere 2 of 40 fail at 50 days, so
// H is 2/40 there, and 39 or 40 units of the lot bring 40 × 2/40.
func TestALotThatComesBackStandsOut(t *testing.T) {
	worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
		s, ctx := New(h.Store, h.Clock, worktest.Zone), t.Context()
		lot := models.Lot{ID: models.NewID(), Code: "SP-0931", Material: "spokes", Quantity: 9000, ReceivedAt: h.Now, ReceivedBy: h.Owner.PersonID}
		h.Must(h.Store.AddLot(ctx, models.NewStamp(h.Owner, h.Now), lot))
		shipped, claimed, late := h.Now.AddDate(0, 0, -100), h.Now.AddDate(0, 0, -50), h.Now
		inHand := h.AnotherWheel()
		for i := range 80 {
			wheel := h.AnotherWheel()
			bad := i < 40
			if bad {
				h.Must(h.Store.ChangeParts(ctx, models.NewStamp(h.Owner, shipped), wheel.ID, nil, []models.FittedPart{{Role: "spokes_a", Place: "A", LotID: &lot.ID, Quantity: 18}}))
			}
			ship(h, wheel, shipped)
			if bad && i%4 == 0 || !bad && i%20 == 0 {
				h.Now = claimed
				must(s.Open(ctx, h.Owner, Opening{Item: *wheel.Serial, Words: "broke"}))
				h.Now = late
			}
			if i == 41 { // It came back, and nothing was wrong: it is none of those that count.
				opened := must(s.Open(ctx, h.Owner, Opening{Item: *wheel.Serial, Words: "noise"}))
				h.Must(s.Add(ctx, h.Owner, opened.Number, Added{Decision: models.ClaimNoFault, Reason: "a bottle cage"}))
			}
		}
		ship(h, inHand, shipped)
		found := must(s.Others(ctx, inHand, []models.Lot{lot}))
		g := found.Groups[0]
		if g.Same != SameLot || g.Units != 40 || g.Back != 10 || g.Elsewhere != 40 || math.Abs(g.Expected-2) > 1e-9 || !g.More || g.Few {
			t.Errorf("the lot: %+v", g)
		}
		// Clopper and Pearson for 10 of 40 at 95 %: 12.69 to 41.20 % (the binomial sums
		// solved apart from this code).
		if math.Abs(g.Low-0.1269) > 5e-5 || math.Abs(g.High-0.4120) > 5e-5 {
			t.Errorf("interval %.5f to %.5f", g.Low, g.High)
		}
		// Of the 12 that came back, half were to be expected of the lot: 10 or more have
		// the chance 79/4096 (binomial coefficients 66, 12 and 1), below 1/40.
		if g.total != 12 || math.Abs(g.part-0.5) > 1e-9 {
			t.Errorf("%d came back in all, %v of them expected of the lot", g.total, g.part)
		}
		if found.Lives != 80 {
			t.Errorf("%d lives, want 80: the one in hand is none of them", found.Lives)
		}
		for _, g := range found.Groups[1:] { // Every other group is all of them: nothing is left to compare with.
			if !g.Few || g.More {
				t.Errorf("%+v is compared", g)
			}
		}
	})
}

// 10 of 12 returns where half were to be expected have the chance 79/4096, which
// is below 1/40 but not below half of that: beside another group it is no finding.
func TestAFindingAllowsForTheGroupsCompared(t *testing.T) {
	found, other, few := Group{Units: 40, Back: 10, total: 12, part: 0.5}, Group{Units: 40, Back: 2, total: 12, part: 0.5}, Group{Units: 3, Few: true}
	for name, c := range map[string]struct {
		groups []Group
		want   bool
	}{
		"alone":                      {[]Group{found}, true},
		"beside one that is too few": {[]Group{found, few}, true},
		"beside another":             {[]Group{found, other}, false},
	} {
		o := Others{Groups: c.groups}
		if err := o.mark(); err != nil || o.Groups[0].More != c.want {
			t.Errorf("%s: more %v, %v, want %v", name, o.Groups[0].More, err, c.want)
		}
	}
}

// Of two groups with more, the one with more evidence is the first to look at,
// though the other lost a larger share. The bounds are those p at which a binomial
// tail is 1/80 (half of 5 % for two groups, on one side), found by bisection of the
// exact sums in another language: 0.494229 for 22 of 31, 0.104695 for 8 of 31.
func TestTheFirstToLookAtIsTheSurest(t *testing.T) {
	o := Others{Groups: []Group{{Units: 41, Back: 8, total: 31, part: 0.03}, {Units: 113, Back: 22, total: 31, part: 0.1}}}
	if err := o.mark(); err != nil {
		t.Fatal(err)
	}
	for i, want := range []float64{3.489829, 4.942288} {
		if g := o.Groups[i]; !g.More || math.Abs(g.AtLeast-want) > 1e-5 {
			t.Errorf("%d of %d: more %v, at least %.6f times its part, want %.6f", g.Back, g.Units, g.More, g.AtLeast, want)
		}
	}
}

// Two returns are no finding, even where nobody else had one: of two, both fall
// to a group of a third of all with a chance of one in nine.
func TestTwoReturnsStandOutOfNothing(t *testing.T) {
	now := time.Date(2031, 5, 12, 12, 0, 0, 0, time.UTC)
	var lives []models.ServiceLife
	for i := range 90 {
		l := models.ServiceLife{ItemID: fmt.Sprint(i), ShippedAt: now.AddDate(0, 0, -100)}
		if i < 2 {
			back := now.AddDate(0, 0, -40)
			l.ClaimedAt = &back
		}
		lives = append(lives, l)
		if i < 30 {
			lives[i].Place = "stand 1"
		}
	}
	g := must(compared(lives, func(l models.ServiceLife) bool { return l.Place != "" }, now))
	o := Others{Groups: []Group{g}}
	if err := o.mark(); err != nil || o.Groups[0].More || g.Back != 2 || g.Expected != 0 || math.Abs(g.part-1./3) > 1e-9 {
		t.Errorf("%+v, %v", o.Groups[0], err)
	}
}

// Those that nobody has decided are read before those that only wait for their
// end, so that a short list never hides them.
func TestWhatNobodyDecidedWaitsFirst(t *testing.T) {
	worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
		s, ctx := New(h.Store, h.Clock, worktest.Zone), t.Context()
		for n := range 4 {
			opened := must(s.Open(ctx, h.Owner, Opening{Item: h.Serial[models.KindWheel], Words: "ticks"}))
			if n < 2 {
				h.Must(s.Add(ctx, h.Owner, opened.Number, Added{Decision: models.ClaimAccept, Reason: "r"}))
			}
			h.Now = h.Now.Add(time.Hour)
		}
		var got []string
		for _, v := range must(s.Waiting(ctx, 3)) {
			got = append(got, v.Number)
		}
		if want := "[CL31-00003 CL31-00004 CL31-00001]"; fmt.Sprint(got) != want {
			t.Errorf("waiting: %v, want %s", got, want)
		}
	})
}
