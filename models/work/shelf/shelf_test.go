package shelf_test

import (
	"errors"
	"math"
	"testing"
	"time"

	"tracewright/models"
	"tracewright/models/trade/kinds"
	"tracewright/models/work/shelf"
	"tracewright/models/work/worktest"
)

// stand is a pack of three blocks of 12 V absorbed glass mat, read at noon on 12
// May 2031 and put on a shelf at 25 degrees.
func stand(t *testing.T, h *worktest.Shop) *shelf.Service {
	t.Helper()
	s := shelf.New(h.Store, h.Clock, worktest.Zone)
	h.MustRecord(h.Pack())
	h.Must(s.AddTemperature(t.Context(), h.Operator, " rack  C 1", "25,0", h.Now.Add(-time.Hour)))
	h.Must(s.Place(t.Context(), h.Operator, h.Serial[models.KindPack], "rack C 1", time.Time{}))
	return s
}

func look(t *testing.T, s *shelf.Service) shelf.Look {
	t.Helper()
	l, err := s.Look(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	return l
}

// The lowest block, 12.86 V, is full by the table; at 25 degrees it has 30 % to
// lose at 3 % a month, 304 days, and 182 by the calendar: the shared case
// pk-due-1. It ships down to 12.70 V: 0.16 V at 8 mV a per cent are 20 %, 6.667
// months of 30.4375 days, 202 whole ones.
func TestAPackOnTheShelf(t *testing.T) {
	worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
		s := stand(t, h)
		l := look(t, s)
		if len(l.Later) != 1 || l.Packs != 1 || l.Next == nil || l.Assumed || l.Warmest != "rack C 1" {
			t.Fatalf("%+v", l)
		}
		r := l.Later[0]
		if r.State != shelf.Standing || r.IntervalDays != 182 || r.GovernedBy != shelf.ByAge || r.ChargeBy.Format(time.DateOnly) != "2031-11-10" || r.ReadyUntil.Format(time.DateOnly) != "2031-11-30" || r.Out != 1 || !r.TempKnown || r.DaysLeft != 182 {
			t.Errorf("%+v", r)
		}
		if r.SoCPct == nil || math.Abs(*r.SoCPct-100) > 0.001 {
			t.Errorf("charge now %v", r.SoCPct)
		}
		// Two warm months later: 60.875 days at 35 degrees are 6 % a month, and two
		// thirds of the three months that are allowed there.
		h.Must(s.AddTemperature(t.Context(), h.Operator, "rack C 1", "35", h.Now))
		read := h.Now
		h.Now = h.Now.Add(time.Duration(60.875 * 24 * float64(time.Hour)))
		r = look(t, s).Later[0]
		if r.SoCPct == nil || math.Abs(*r.SoCPct-88) > 0.01 || r.IntervalDays != 91 {
			t.Errorf("after two months at 35 degrees: %v %%, %d days", *r.SoCPct, r.IntervalDays)
		}
		// The interval is over: charged, rested, read.
		h.Now = read.AddDate(0, 0, 91)
		l = look(t, s)
		if len(l.Today) != 1 || l.Today[0].DaysLeft != 0 {
			t.Fatalf("91 days later: %+v", l)
		}
		begun, err := s.StartAll(t.Context(), h.Operator, "CH-2")
		if err != nil || len(begun) != 1 {
			t.Fatalf("%v, %v", begun, err)
		}
		if l = look(t, s); len(l.Waiting) != 1 || l.Waiting[0].State != shelf.Charging {
			t.Fatalf("on the charger: %+v", l)
		}
		var refused *models.RefusedError
		if _, err := s.StartCharge(t.Context(), h.Operator, h.Serial[models.KindPack], shelf.NewCharge{}); !errors.As(err, &refused) {
			t.Errorf("on two chargers: %v", err)
		}
		h.Now = h.Now.Add(8 * time.Hour)
		if _, err := s.EndCharge(t.Context(), h.Operator, l.Waiting[0].Charge.ID, "0,12", time.Time{}); err != nil {
			t.Fatal(err)
		}
		if _, err := s.EndCharge(t.Context(), h.Operator, l.Waiting[0].Charge.ID, "", time.Time{}); !errors.As(err, &refused) {
			t.Errorf("ended twice: %v", err)
		}
		if l = look(t, s); l.Waiting[0].State != shelf.Resting || !l.Waiting[0].Opens.Equal(h.Now.Add(24*time.Hour)) {
			t.Fatalf("at rest: %+v", l.Waiting[0])
		}
		h.Now = h.Now.Add(24 * time.Hour)
		if l = look(t, s); l.Waiting[0].State != shelf.ToRead {
			t.Fatalf("rested: %+v", l.Waiting[0])
		}
		h.MustRecord(func() models.Submission {
			x := h.Pack()
			x.Stage, x.Conditions.RestHours = models.Recheck, "24"
			return x
		}())
		if l = look(t, s); len(l.Waiting) != 0 || len(l.Later) != 1 || l.Later[0].DaysLeft != 91 {
			t.Errorf("read again: %+v", l)
		}
		h.Must(s.Place(t.Context(), h.Operator, h.Serial[models.KindPack], "", time.Time{}))
		if l = look(t, s); l.Packs != 0 || l.Next != nil {
			t.Errorf("taken away: %+v", l)
		}
	})
}

// A pack that is wanted is charged when the voltage falls below the shipping
// limit, should that come first.
func TestAWantedPackGoesByTheEarlierDate(t *testing.T) {
	h := worktest.New(t)
	s := shelf.New(h.Store, h.Clock, worktest.Zone)
	sub := h.Pack() // 12.74 V is 5 % above the limit of 12.70 V: 50 days at 25 degrees.
	sub.Sets[0].Values, sub.Sets[3].Values = []string{"12.74", "12.75", "12.76"}, []string{"38.25"}
	h.MustRecord(sub)
	h.Must(s.Place(t.Context(), h.Operator, h.Serial[models.KindPack], "loft", time.Time{}))
	r := look(t, s).Later[0]
	if r.DueBy != shelf.ByAge || r.TempKnown || r.ReadyUntil.Format(time.DateOnly) != "2031-07-01" || r.DaysLeft != 182 {
		t.Errorf("not wanted: %+v", r)
	}
	h.Must(s.WantFor(t.Context(), h.Operator, h.Serial[models.KindPack], "2031-08-01"))
	if r = look(t, s).Later[0]; r.DueBy != shelf.ByReady || r.DaysLeft != 50 {
		t.Errorf("wanted: %+v", r)
	}
	h.Must(s.WantFor(t.Context(), h.Operator, h.Serial[models.KindPack], ""))
	if r = look(t, s).Later[0]; r.DueBy != shelf.ByAge {
		t.Errorf("not wanted any more: %+v", r)
	}
}

// Where no temperature was ever read, that of the place that is warmest by its last
// reading stands in.
func TestTheWarmestPlaceStandsIn(t *testing.T) {
	h := worktest.New(t)
	s, ctx := shelf.New(h.Store, h.Clock, worktest.Zone), t.Context()
	h.MustRecord(h.Pack())
	h.Must(s.Place(ctx, h.Operator, h.Serial[models.KindPack], "loft", time.Time{}))
	for _, step := range []struct {
		place, celsius, warmest string
		stands                  float64
	}{{"cellar", "12", "cellar", 12}, {"attic", "30", "attic", 30}, {"cellar", "14", "attic", 30}, {"attic", "9", "cellar", 14}} {
		h.Now = h.Now.Add(time.Hour)
		h.Must(s.AddTemperature(ctx, h.Operator, step.place, step.celsius, time.Time{}))
		l := look(t, s)
		if r := l.Later[0]; l.Warmest != step.warmest || r.TempKnown || r.TempC != step.stands {
			t.Errorf("%s at %s: %s is the warmest, and the loft taken to be at %g, known %v", step.place, step.celsius, l.Warmest, r.TempC, r.TempKnown)
		}
	}
}

// A pack on hold is charged like any other, and does not go out; neither does one
// that failed.
func TestWhatIsStoppedDoesNotGoOut(t *testing.T) {
	worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
		s, ctx, id := stand(t, h), t.Context(), h.Item[models.KindPack].ID
		if l := look(t, s); l.Next == nil || l.Later[0].Stop != "" {
			t.Fatalf("before: %+v", l)
		}
		h.Now = h.Now.Add(time.Hour) // So that only the hold is new.
		hold, err := h.Store.AddHold(ctx, models.NewStamp(h.Operator, h.Now), models.Hold{ItemID: &id, Code: "other", Reason: "a dent"})
		h.Must(err)
		if l := look(t, s); l.Next != nil || l.Packs != 1 || l.Later[0].Stop != shelf.Held || l.Later[0].Out != 0 {
			t.Errorf("on hold: %+v", l.Later[0])
		}
		h.Now = h.Now.Add(time.Hour)
		h.Must(h.Store.LiftHold(ctx, models.NewStamp(h.Operator, h.Now), models.HoldLift{HoldID: hold.ID, Code: "no_fault_found", Reason: "a shadow"}))
		if l := look(t, s); l.Next == nil || l.Next.Out != 1 {
			t.Errorf("lifted: %+v", l.Later[0])
		}
		lot := models.Lot{ID: models.NewID(), Code: "BL-1", Material: "blocks"}
		h.Must(h.Store.AddLot(ctx, models.NewStamp(h.Operator, h.Now), lot))
		again := h.Pack()
		again.Stage, again.Parts = models.Recheck, []models.SentPart{{Role: "block", Lot: lot.Code, Quantity: 3}}
		h.MustRecord(again)
		_, err = h.Store.AddHold(ctx, models.NewStamp(h.Operator, h.Now), models.Hold{LotID: &lot.ID, Code: "other", Reason: "acid"})
		h.Must(err)
		if l := look(t, s); l.Next != nil || l.Later[0].Stop != shelf.Held {
			t.Errorf("with its lot on hold: %+v", l.Later[0])
		}
	})
	h := worktest.New(t)
	failed := h.Pack() // 12.60 V lies below every limit for shipping.
	failed.Sets[0].Values, failed.Sets[3].Values = []string{"12.60", "12.61", "12.62"}, []string{"37.83"}
	h.MustRecord(failed)
	s := shelf.New(h.Store, h.Clock, worktest.Zone)
	h.Must(s.Place(t.Context(), h.Operator, h.Serial[models.KindPack], "loft", time.Time{}))
	if l := look(t, s); l.Next != nil || l.Packs != 1 || len(l.Today)+len(l.Soon)+len(l.Later) != 1 {
		t.Errorf("failed: %+v", l)
	}
	row, err := s.On(t.Context(), h.Item[models.KindPack].ID)
	if err != nil || row.Stop != shelf.NotPassed {
		t.Errorf("failed: %+v, %v", row, err)
	}
}

func TestTheShelfRefuses(t *testing.T) {
	h := worktest.New(t)
	s := stand(t, h)
	ctx, pack, later := t.Context(), h.Serial[models.KindPack], h.Now.Add(time.Hour)
	charge, err := s.StartCharge(ctx, h.Operator, pack, shelf.NewCharge{})
	h.Must(err)
	for _, row := range []struct {
		name, field, code string
		err               error
	}{
		{"no temperature", "temperature_c", "missing", s.AddTemperature(ctx, h.Operator, "loft", " ", h.Now)},
		{"a word for a temperature", "temperature_c", "not_a_number", s.AddTemperature(ctx, h.Operator, "loft", "warm", h.Now)},
		{"25 read as Fahrenheit", "temperature_c", "no_shelf_temperature", s.AddTemperature(ctx, h.Operator, "loft", "77", h.Now)},
		{"no place", "place", "missing", s.AddTemperature(ctx, h.Operator, "", "20", h.Now)},
		{"a temperature of tomorrow", "at", "ahead_of_clock", s.AddTemperature(ctx, h.Operator, "loft", "20", later)},
		{"a wheel", "item", "neither_pack_nor_block", s.Place(ctx, h.Operator, h.Serial[models.KindWheel], "loft", h.Now)},
		{"placed tomorrow", "since", "ahead_of_clock", s.Place(ctx, h.Operator, pack, "loft", later)},
		{"wanted yesterday", "day", "day_past", s.WantFor(ctx, h.Operator, pack, h.Now.AddDate(0, 0, -1).Format(time.DateOnly))},
		{"no date", "day", "bad_date", s.WantFor(ctx, h.Operator, pack, "May")},
		{"an unknown kind", "kind", "unknown_choice", second(s.StartCharge(ctx, h.Operator, pack, shelf.NewCharge{Kind: "boost"}))},
		{"a current that is none", "end_current", "not_a_number", second(s.EndCharge(ctx, h.Operator, charge.ID, "low", time.Time{}))},
		{"a negative current", "end_current", "too_small", second(s.EndCharge(ctx, h.Operator, charge.ID, "-1", time.Time{}))},
		{"an end before the start", "ended_at", "end_before_start", second(s.EndCharge(ctx, h.Operator, charge.ID, "", h.Now.Add(-time.Hour)))},
		{"an end to come", "ended_at", "ahead_of_clock", second(s.EndCharge(ctx, h.Operator, charge.ID, "", later))},
	} {
		var invalid *models.InvalidError
		if !errors.As(row.err, &invalid) || invalid.Problems[0].Field != row.field || invalid.Problems[0].Code != row.code {
			t.Errorf("%s: %v", row.name, row.err)
		}
	}
	if err := s.WantFor(ctx, h.Operator, pack, h.Now.Format(time.DateOnly)); err != nil {
		t.Errorf("wanted today: %v", err)
	}
	if _, err := s.Charges(ctx, "P26000001X"); !errors.Is(err, models.ErrNotFound) {
		t.Errorf("an unknown serial: %v", err)
	}
}

func second[T any](_ T, err error) error { return err }

// Loose blocks stand on the shelf too, by the figures of their model, until they
// are built into a pack: 12.90 V is full; 30 % at 2 % a month are 15 months, and
// 182 days by the calendar come first.
func TestLooseBlocksOnTheShelf(t *testing.T) {
	worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
		stamp := models.NewStamp(h.Owner, h.Now)
		form, err := kinds.WithBlockDefaults(models.BlockForm{Supplier: "Halden", Model: "12-17", Chemistry: "agm", Cells: 6, Capacity: "17", Rate: "C20", ResistanceMethod: models.ResistanceAC,
			Limits: map[string]string{"self_discharge_pct_month": "2"}})
		h.Must(err)
		kind, _ := kinds.Named(models.KindBlock)
		list, err := kind.DefaultSpecification(kind.Grades[0], models.ProductForm{Block: &form})
		h.Must(err)
		family := models.Family{ID: models.NewID(), Kind: models.KindBlock, Name: "Blocks"}
		h.Must(h.Store.AddFamily(t.Context(), stamp, family, models.Specification{ID: models.NewID(), Revision: 1, Grade: kind.Grades[0], Rule: "simple", Characteristics: list}))
		product := models.Product{ID: models.NewID(), FamilyID: family.ID, Name: "Halden 12-17", Revision: 1}
		h.Must(h.Store.AddProduct(t.Context(), stamp, product, models.ProductRevision{Form: models.ProductForm{Block: &form}}))
		block, err := h.Store.AddItemWithSerial(t.Context(), stamp, models.Item{ID: models.NewID(), Kind: models.KindBlock, Supplier: "Halden", Model: "12-17", FamilyID: &family.ID, ProductID: &product.ID, Origin: "received"}, "B", 31, nil)
		h.Must(err)
		s := shelf.New(h.Store, h.Clock, worktest.Zone)
		if l := look(t, s); l.Blocks != 0 {
			t.Errorf("%d blocks before any was read", l.Blocks)
		}
		sub := h.Pack()
		sub.Serial, sub.Stage, sub.Parts, sub.Conditions = *block.Serial, models.Incoming, nil, models.Conditions{RestHours: "48"}
		sub.Sets = []models.SentSet{{Characteristic: "block_voltage", Method: models.Whole, Instrument: "V-1", Unit: "V", Values: []string{"12.90"}},
			{Characteristic: "block_temperature", Method: models.Whole, Instrument: "H-1", Unit: "degC", Values: []string{"25"}}}
		h.MustRecord(sub)
		l := look(t, s)
		if l.Blocks != 1 || len(l.Later) != 1 || l.Next != nil {
			t.Fatalf("%+v", l)
		}
		r := l.Later[0]
		if r.Item.ID != block.ID || r.Product != product.Name || r.IntervalDays != 182 || r.GovernedBy != shelf.ByAge || r.SoCPct == nil || math.Abs(*r.SoCPct-100) > 0.001 || r.Out != 0 {
			t.Errorf("%+v", r)
		}
		_, err = h.Store.AddItemWithSerial(t.Context(), stamp, models.Item{Kind: models.KindPack, FamilyID: h.Item[models.KindPack].FamilyID, Origin: "made"}, "P", 31, []models.FittedPart{{Role: "block", Place: "1.1", PartID: &block.ID, Quantity: 1}})
		h.Must(err)
		h.Now = h.Now.Add(time.Minute)
		if l := look(t, s); l.Blocks != 0 {
			t.Errorf("%d blocks once it is in a pack", l.Blocks)
		}
		// It stands where its pack does.
		worktest.WantProblems(t, s.Place(t.Context(), h.Operator, *block.Serial, "loft", time.Time{}), "place: block_in_pack")
	})
}
