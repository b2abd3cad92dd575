package returns

import (
	"fmt"
	"math"
	"slices"
	"testing"
	"time"

	"tracewright/models"
	"tracewright/models/store/storetest"
	"tracewright/models/work/worktest"
)

func TestMain(m *testing.M) { storetest.Main(m) }

func each(t *testing.T, f func(t *testing.T, h *worktest.Shop, s *Service)) {
	t.Helper()
	worktest.Each(t, func(t *testing.T, h *worktest.Shop) { f(t, h, New(h.Store, h.Clock, worktest.Zone)) })
}

// wheels ships n new wheels at a moment, with pieces of the lots in them, and claims
// the first of them so many days later.
func wheels(h *worktest.Shop, n int, at time.Time, lots []models.Lot, claimedAfter ...int) []models.Item {
	h.Helper()
	var items []models.Item
	var ids []string
	for range n {
		item := h.AnotherWheel()
		var parts []models.FittedPart
		for _, l := range lots {
			// In two roles, and still one wheel of the lot.
			parts = append(parts, models.FittedPart{Role: "spokes_a", Place: "A", LotID: &l.ID, Quantity: 18}, models.FittedPart{Role: "spokes_b", Place: "B", LotID: &l.ID, Quantity: 18})
		}
		if len(parts) > 0 {
			h.Must(h.Store.ChangeParts(h.Context(), models.NewStamp(h.Owner, at.Add(-time.Hour)), item.ID, nil, parts))
		}
		items, ids = append(items, item), append(ids, item.ID)
	}
	ship(h, at, ids...)
	for i, days := range claimedAfter {
		claim(h, items[i], at.AddDate(0, 0, days))
	}
	return items
}

func ship(h *worktest.Shop, at time.Time, ids ...string) models.Shipment {
	h.Helper()
	sent, err := h.Store.AddShipment(h.Context(), models.NewStamp(h.Owner, at), 31, models.Shipment{Items: ids, Reason: "r", Against: []models.Remark{models.NewRemark("not_released")}})
	h.Must(err)
	return sent
}

func claim(h *worktest.Shop, item models.Item, at time.Time, more ...models.ClaimEvent) {
	h.Helper()
	events := append([]models.ClaimEvent{{What: models.ClaimLinked, ItemID: &item.ID}}, more...)
	for i := range events {
		events[i].ID = models.NewID()
	}
	_, err := h.Store.AddClaim(h.Context(), models.NewStamp(h.Owner, at), 31, models.Claim{Kind: item.Kind}, models.ClaimWords{Words: "w", Salt: models.NewID()}, events)
	h.Must(err)
}

func lot(h *worktest.Shop, code, material string) models.Lot {
	h.Helper()
	l := models.Lot{ID: models.NewID(), Code: code, Material: material, Quantity: 900_000, ReceivedAt: h.Now.AddDate(-2, 0, 0), ReceivedBy: h.Owner.PersonID}
	h.Must(h.Store.AddLot(h.Context(), models.NewStamp(h.Owner, h.Now.AddDate(-2, 0, 0)), l))
	return l
}

func on(month time.Month, day int) time.Time {
	return time.Date(2031, month, day, 12, 0, 0, 0, time.UTC)
}

func near(t *testing.T, what string, got, want, within float64) {
	t.Helper()
	if !(math.Abs(got-want) <= within) {
		t.Errorf("%s: %v, want %v", what, got, want)
	}
}

// The triangle of the case WAR-T01 (testdata/cases/records.json), as shipments and
// claims: 20, 25, 30 and 22 wheels in January to April, and as of the end of April five
// came back. What happened in May is in no complete month.
func TestTheTriangleIsThatOfTheCase(t *testing.T) {
	each(t, func(t *testing.T, h *worktest.Shop, s *Service) {
		wheels(h, 20, on(1, 10), nil, 5, 65) // At age 0 and, on 16 March, at 2.
		wheels(h, 25, on(2, 10), nil, 30, 35)
		wheels(h, 30, on(3, 10), nil, 2)
		wheels(h, 22, on(4, 10), nil)
		wheels(h, 7, on(5, 2), nil, 3)
		v, err := s.View(t.Context(), Query{FamilyID: *h.Item[models.KindWheel].FamilyID})
		h.Must(err)
		if v.AsOf != "2031-04" || len(v.Ages) != 4 || v.Share.K != 6 || v.Share.N != 104 {
			t.Fatalf("as of %s, %d ages, %+v", v.AsOf, len(v.Ages), v.Share)
		}
		for age, want := range []struct {
			risk, back int
			cumulative float64
		}{{97, 2, 0.020619}, {73, 2, 0.047451}, {42, 1, 0.070131}, {18, 0, 0.070131}} {
			r := v.Ages[age]
			if r.AtRisk != want.risk || r.Returns != want.back {
				t.Errorf("age %d: %d of %d, want %d of %d", age, r.Returns, r.AtRisk, want.back, want.risk)
			}
			near(t, fmt.Sprintf("cumulative at %d", age), r.Cumulative, want.cumulative, 1e-6)
		}
		// The oldest ten are of January: 122 days, in months of 30.4375.
		near(t, "where the curve ends", v.Until, 122/30.4375, 1e-9)
		// Six came back: there is a shape, and it is told with its interval.
		if v.Law.Fit == nil || !(v.Law.Shape.Low < v.Law.Fit.Shape() && v.Law.Fit.Shape() < v.Law.Shape.High) {
			t.Errorf("law %+v", v.Law)
		}
		if got := v.Says()[0]; got.Code != "returns_share" || got.Values["k"] != "6" || got.Values["share"] != "5.8" { // 6/104
			t.Errorf("title %+v", got)
		}
		var months []string
		for _, m := range v.Months {
			months = append(months, fmt.Sprintf("%s %d of %d", m.Month, m.K, m.N))
		}
		if want := []string{"2031-01 2 of 20", "2031-02 2 of 25", "2031-03 1 of 30", "2031-04 0 of 22", "2031-05 1 of 7"}; !slices.Equal(months, want) {
			t.Errorf("months %v", months)
		}
		if v.MonthsCompared != 4 { // That of May has seven.
			t.Errorf("%d months compared", v.MonthsCompared)
		}
		if got, err := s.List(t.Context(), v.Query, "2031-02", 1); err != nil || len(got.Back) != 2 || len(got.Shipped) != 0 {
			t.Errorf("behind the two of February at age 1: %+v, %v", got, err)
		}
		if got, err := s.List(t.Context(), v.Query, "2031-02", -1); err != nil || len(got.Back) != 2 || len(got.Shipped) != 25 {
			t.Errorf("behind February: %d shipped, %d back, %v", len(got.Shipped), len(got.Back), err)
		}
	})
}

// By hand: of 40 wheels with the bad lot 10 came back after 50 days, of 60 others 2
// did, all shipped 100 days ago. Elsewhere 2 of 60 fail at 50 days, so that 40 × 2/60
// are expected of the lot; of all 12 its part is 40/100, and 10 or more have the chance
// 66 × 0.4^10 × 0.6^2 + 12 × 0.4^11 × 0.6 + 0.4^12 = 0.0028102. Half of its wheels have
// rims of one lot: 5 of those 10 came back, and without them none of that rim lot did.
func TestABadLotStandsOutAndExplainsItsNeighbour(t *testing.T) {
	each(t, func(t *testing.T, h *worktest.Shop, s *Service) {
		at := h.Now.AddDate(0, 0, -100)
		bad, beside, good := lot(h, "SP-1", "spokes"), lot(h, "RM-1", "rims"), lot(h, "SP-2", "spokes")
		wheels(h, 20, at, []models.Lot{bad, beside}, 50, 50, 50, 50, 50)
		wheels(h, 20, at, []models.Lot{bad}, 50, 50, 50, 50, 50)
		others := wheels(h, 60, at, []models.Lot{good}, 50, 50)
		claim(h, others[9], at.AddDate(0, 0, 3), models.ClaimEvent{What: models.ClaimAnswered, Decision: models.ClaimNoFault, Reason: "a bottle cage"})
		v, err := s.View(t.Context(), Query{FamilyID: *h.Item[models.KindWheel].FamilyID})
		h.Must(err)
		if len(v.Lots) != 3 || v.LotsCompared != 3 || v.Lots[0].Lot.Code != "SP-1" {
			t.Fatalf("%d compared: %+v", v.LotsCompared, v.Lots)
		}
		l := v.Lots[0]
		if !l.More || l.K != 10 || l.N != 40 || !l.Known {
			t.Errorf("the bad lot %+v", l.Excess)
		}
		near(t, "expected", l.Expected, 40*2./60, 1e-9)
		near(t, "chance", l.P, 0.0028102, 5e-8)
		near(t, "of three lots", l.Adjusted, 3*0.0028102, 2e-7)
		for _, other := range v.Lots[1:] {
			if other.More {
				t.Errorf("%s stands out: %+v", other.Lot.Code, other)
			}
		}
		said := v.Warnings()
		if len(said) != 1 || said[0].Values["lot"] != "SP-1" || said[0].Values["chance"] != "100" || said[0].Query["lot"] != "SP-1" { // 0.0084 is fewer than 1 of 100.
			t.Errorf("said %+v", said)
		}

		own, err := s.View(t.Context(), Query{FamilyID: *h.Item[models.KindWheel].FamilyID, Lot: "SP-1"})
		h.Must(err)
		if own.Share.K != 10 || own.Share.N != 40 || own.Rest == nil || own.Rest.Units != 60 || own.Rest.Failures != 2 || len(own.Claims) != 10 {
			t.Errorf("of the lot alone: %+v, rest %+v", own.Share, own.Rest)
		}
		// Greenwood by hand: 1 - 10/40, and its standard error the root of 0.75² × 10/(40 × 30).
		near(t, "survival", own.Curve.Points[0].Survival, 0.75, 1e-12)
		near(t, "standard error", own.Curve.Points[0].SE, 0.75*math.Sqrt(10./1200), 1e-12)
	})
}

// Two lots that share most of their wheels: ten of 24 with both came back of the bad
// one, of the four with the rim lot alone none. At first sight both stand out; without
// the wheels of the first the second has too few to stand out.
func TestALotThatOnlyStandsBesideABadOneIsExplained(t *testing.T) {
	each(t, func(t *testing.T, h *worktest.Shop, s *Service) {
		at := h.Now.AddDate(0, 0, -100)
		bad, beside := lot(h, "SP-1", "spokes"), lot(h, "RM-1", "rims")
		wheels(h, 24, at, []models.Lot{bad, beside}, 50, 50, 50, 50, 50, 50, 50, 50, 50, 50)
		wheels(h, 4, at, []models.Lot{bad}, 50)
		wheels(h, 4, at, []models.Lot{beside})
		wheels(h, 60, at, nil, 50, 50)
		v, err := s.View(t.Context(), Query{FamilyID: *h.Item[models.KindWheel].FamilyID})
		h.Must(err)
		if len(v.Lots) != 2 || v.Lots[0].Lot.Code != "SP-1" || !v.Lots[0].More || v.Lots[1].More || v.Lots[1].Because != "SP-1" {
			t.Errorf("%+v", v.Lots)
		}
	})
}

// Counting what came since and counting everything give the same: after shipments,
// a kit, a void whose item went again, a second shipment of one, and a lot that was
// taken out before.
func TestCountsKeptUpAgreeWithCountsMadeAnew(t *testing.T) {
	each(t, func(t *testing.T, h *worktest.Shop, s *Service) {
		ctx, family := t.Context(), *h.Item[models.KindWheel].FamilyID
		l, taken := lot(h, "SP-1", "spokes"), lot(h, "SP-2", "spokes")
		read := func() string {
			all, byLot, err := h.Store.ShippedDays(ctx, family, "2031-01-01")
			h.Must(err)
			return fmt.Sprint(all, byLot)
		}
		count := func() { h.Must(h.Store.CountShipped(ctx, time.UTC, h.Now)) }
		wheels(h, 3, h.Now.AddDate(0, 0, -40), []models.Lot{l})
		count()
		h.Now = h.Now.AddDate(0, 0, 1)
		again := wheels(h, 2, h.Now, []models.Lot{l})
		out := h.AnotherWheel()
		stamp := models.NewStamp(h.Owner, h.Now.Add(-2*time.Hour))
		h.Must(h.Store.ChangeParts(ctx, stamp, out.ID, nil, []models.FittedPart{{Role: "spokes_a", Place: "A", LotID: &taken.ID, Quantity: 18}}))
		parts, err := h.Store.Parts(ctx, out.ID)
		h.Must(err)
		h.Must(h.Store.ChangeParts(ctx, models.NewStamp(h.Owner, h.Now.Add(-time.Hour)), out.ID, []models.PartRemoval{{FittedID: parts[0].ID, ItemID: out.ID, Quantity: 18, Code: "other", Reason: "r", Fate: "stock"}}, nil))
		void := ship(h, h.Now, out.ID)
		kit, err := h.Store.AddItemWithSerial(ctx, stamp, models.Item{Kind: models.KindKit, Origin: "made"}, "K", 31, nil)
		h.Must(err)
		inKit := h.AnotherWheel()
		h.Must(h.Store.PackKit(ctx, stamp, models.KitPacking{KitID: kit.ID, ItemID: &inKit.ID, Quantity: 1, Added: true}))
		ship(h, h.Now, kit.ID)
		count()
		day, before := h.Now.Format(time.DateOnly), h.Now.AddDate(0, 0, -41).Format(time.DateOnly)
		if got, want := read(), fmt.Sprintf("[{ %s 3} { %s 4}] [{%[3]s %[1]s 3} {%[3]s %[2]s 2}]", before, day, l.ID); got != want {
			t.Errorf("counted %s\nwant    %s", got, want)
		}
		// The void goes out of the count; the same wheel counts on the day that it went again.
		h.Now = h.Now.AddDate(0, 0, 9)
		h.Must(h.Store.VoidShipment(ctx, models.NewStamp(h.Owner, h.Now), models.ShipmentVoid{ShipmentID: void.ID, Reason: "r"}))
		ship(h, h.Now.Add(time.Minute), out.ID)
		_ = again
		h.Now = h.Now.Add(time.Hour)
		count()
		kept := read()
		if want := fmt.Sprintf("[{ %s 3} { %s 3} { %s 1}] [{%[4]s %[1]s 3} {%[4]s %[2]s 2}]", before, day, h.Now.Format(time.DateOnly), l.ID); kept != want {
			t.Errorf("counted %s\nwant    %s", kept, want)
		}
		h.Must(h.Store.RecountShipped(ctx, time.UTC, h.Now, nil))
		if anew := read(); anew != kept {
			t.Errorf("kept %s\nanew %s", kept, anew)
		}
		// In another zone noon belongs to the next day.
		h.Must(h.Store.CountShipped(ctx, time.FixedZone("far", 13*3600), h.Now))
		if got := read(); got == kept {
			t.Error("a day of another zone is the same day")
		}
	})
}

// What cannot be answered is said, never NaN: nothing shipped, one shipped, too few.
func TestLittleIsSaidOfLittle(t *testing.T) {
	each(t, func(t *testing.T, h *worktest.Shop, s *Service) {
		q := Query{FamilyID: *h.Item[models.KindWheel].FamilyID}
		title := func() string {
			t.Helper()
			v, err := s.View(t.Context(), q)
			h.Must(err)
			for _, said := range v.Says() {
				for name, value := range said.Values {
					if value == "NaN" || value == "+Inf" {
						t.Errorf("%s: %s is %s", said.Code, name, value)
					}
				}
			}
			return v.Says()[0].Code
		}
		if got := title(); got != "returns_none" {
			t.Errorf("nothing shipped: %s", got)
		}
		h.Now = h.Now.AddDate(0, 0, 1)
		items := wheels(h, 1, h.Now.Add(-time.Hour), nil)
		if got := title(); got != "returns_few" {
			t.Errorf("one, today: %s", got)
		}
		claim(h, items[0], h.Now)
		if got := title(); got != "returns_few" {
			t.Errorf("it came back at once: %s", got)
		}
		h.Now = h.Now.AddDate(0, 0, 1)
		wheels(h, 30, h.Now, nil)
		if got := title(); got != "returns_share" {
			t.Errorf("31: %s", got)
		}
		if lines, err := s.Families(t.Context(), 0); err != nil || len(lines) != 1 || lines[0].Share.K != 1 || lines[0].Share.N != 31 {
			t.Errorf("families %+v, %v", lines, err)
		}
		for want, bad := range map[string]Query{
			"family: missing": {}, "months: returns_months": {FamilyID: q.FamilyID, Months: 241},
			"lag: returns_lag": {FamilyID: q.FamilyID, LagDays: -1}, "lot: unknown_lot": {FamilyID: q.FamilyID, Lot: "none"},
		} {
			_, err := s.View(t.Context(), bad)
			worktest.WantProblems(t, err, want)
		}
	})
}

func TestTheReviewSaysWhatCameBackInIt(t *testing.T) {
	each(t, func(t *testing.T, h *worktest.Shop, s *Service) {
		wheels(h, 30, on(3, 10), nil, 10, 40)
		said, err := s.Said(t.Context(), on(4, 1), on(5, 1))
		h.Must(err)
		if len(said) != 2 || said[0].Code != "returns_period" || said[0].Values["count"] != "1" || said[0].Values["k"] != "2" || said[1].Code != "returns_told_then" {
			t.Errorf("%+v", said)
		}
		// Of a time before anything left there is nothing to say, nor to draw.
		said, err = s.Said(t.Context(), on(2, 1), on(2, 28))
		h.Must(err)
		plots, err := s.Plots(t.Context(), on(2, 1), on(2, 28))
		h.Must(err)
		if len(said)+len(plots) != 0 {
			t.Errorf("of the time before: %+v, %+v", said, plots)
		}
	})
}

// What is looked back on is told as of its end: of 60 wheels that left in March and May,
// one came back in March, two in April and one in June. At the end of April 30 had left
// and 3 were back. It is the same whenever it is asked.
func TestTheReviewOfAPastTimeIsAsOfItsEnd(t *testing.T) {
	each(t, func(t *testing.T, h *worktest.Shop, s *Service) {
		wheels(h, 30, on(3, 10), nil, 10, 30, 40)
		wheels(h, 30, on(5, 10), nil, 30)
		h.Now = on(7, 1)
		said, err := s.Said(t.Context(), on(4, 1).Add(-12*time.Hour), on(5, 1).Add(-12*time.Hour))
		h.Must(err)
		if len(said) != 2 || said[0].Values["count"] != "2" || said[0].Values["k"] != "3" || said[0].Values["n"] != "30" || said[0].Values["until"] != "2031-04-30" {
			t.Errorf("of April: %+v", said)
		}
		if last := said[len(said)-1]; last.Code != "returns_told_then" || last.Values["until"] != "2031-04-30" {
			t.Errorf("and of what it knows: %+v", last)
		}
		plots, err := s.Plots(t.Context(), on(4, 1).Add(-12*time.Hour), on(5, 1).Add(-12*time.Hour))
		h.Must(err)
		if len(plots) != 1 || len(plots[0].Points) != 1 || plots[0].Points[0].K != 3 || plots[0].Points[0].N != 30 {
			t.Errorf("drawn is %+v", plots)
		}
		// The month that runs is told up to now.
		said, err = s.Said(t.Context(), on(7, 1), on(8, 1))
		h.Must(err)
		if len(said) > 0 {
			t.Errorf("nothing came back in July, and nothing stands out: %+v", said)
		}
	})
}
