package store_test

import (
	"errors"
	"slices"
	"testing"
	"time"

	"tracewright/models"
	"tracewright/models/work/worktest"
)

// readBackShelf is the part of TestEveryRecordReadsBack that charges, places and
// building leave behind.
func readBackShelf(t *testing.T, h *worktest.Shop, stamp models.Stamp) {
	t.Helper()
	s, ctx := h.Store, t.Context()
	by, item := h.Owner.PersonID, h.Item[models.KindPack]

	charge := models.Charge{ID: models.NewID(), ItemID: item.ID, Kind: models.ChargeRefresh, Charger: "CH-2 Ω", StartedAt: moment, StartedBy: by, EnteredAt: stamp.At}
	same(t, "charge as added", must(s.AddCharge(ctx, stamp, charge)), charge)
	same(t, "open charge", must(s.Charge(ctx, charge.ID)), models.ChargeView{Charge: charge})
	if _, err := s.AddCharge(ctx, stamp, models.Charge{ItemID: item.ID, Kind: models.ChargeFirst}); !errors.Is(err, models.ErrConflict) {
		t.Errorf("on two chargers at once: %v", err)
	}
	end := models.ChargeEnd{ChargeID: charge.ID, EndedAt: moment.Add(9 * time.Hour), EndCurrent: "0.120", EndedBy: by, EnteredAt: stamp.At}
	h.Must(s.EndCharge(ctx, stamp, end))
	if err := s.EndCharge(ctx, stamp, end); !errors.Is(err, models.ErrConflict) {
		t.Errorf("ended twice: %v", err)
	}
	ended := models.ChargeView{Charge: charge, End: &end}
	same(t, "ended charge", must(s.Charge(ctx, charge.ID)), ended)
	load := must(s.AddCharge(ctx, stamp, models.Charge{ItemID: item.ID, Kind: models.ChargeLoad, StartedAt: moment.Add(10 * time.Hour), StartedBy: by}))
	same(t, "charges of the item", must(s.ChargesOf(ctx, item.ID)), []models.ChargeView{{Charge: load}, ended})
	same(t, "charges that reach it", must(s.ChargesReaching(ctx, item.ID)), []models.ChargeView{{Charge: load}, ended})
	unloaded := models.ChargeEnd{ChargeID: load.ID, EndedAt: moment.Add(11 * time.Hour), EndedBy: by, EnteredAt: stamp.At}
	h.Must(s.EndCharge(ctx, stamp, unloaded))

	place := models.ShelfPlace{ID: models.NewID(), ItemID: item.ID, Place: "rack C 1", Since: moment, PlacedBy: by, EnteredAt: stamp.At}
	gone := models.ShelfPlace{ID: models.NewID(), ItemID: item.ID, Since: moment.Add(time.Hour), PlacedBy: by, EnteredAt: stamp.At}
	h.Must(s.AddShelfPlace(ctx, stamp, gone))
	h.Must(s.AddShelfPlace(ctx, stamp, place))
	same(t, "places", must(s.ShelfPlacesOf(ctx, item.ID)), []models.ShelfPlace{place, gone})
	warm := models.ShelfTemperature{ID: models.NewID(), Place: "loft 1", C: "29.0", At: moment, EnteredBy: by, EnteredAt: stamp.At}
	posted := models.ShelfTemperature{ID: models.NewID(), Place: "loft 1", C: "-2,5", At: moment.Add(time.Minute), EnteredBy: by, DeviceID: pointer(must(s.DeviceByKeyHash(ctx, "abc")).ID), EnteredAt: stamp.At}
	h.Must(s.AddShelfTemperature(ctx, stamp, posted))
	h.Must(s.AddShelfTemperature(ctx, stamp, warm))
	same(t, "temperatures", must(s.ShelfTemperatures(ctx, stamp.At)), []models.ShelfTemperature{warm, posted})
	same(t, "temperatures entered later", len(must(s.ShelfTemperatures(ctx, stamp.At.Add(time.Millisecond)))), 0)

	_, err := s.WantedDate(ctx, item.ID)
	notFound(t, "a day that nobody set", err)
	wanted := models.WantedDate{ID: models.NewID(), ItemID: item.ID, Day: "2031-06-01", SetBy: by, SetAt: moment}
	h.Must(s.AddWantedDate(ctx, stamp, wanted))
	same(t, "day wanted for", must(s.WantedDate(ctx, item.ID)), wanted)

	_, err = s.BuildList(ctx, *item.FamilyID)
	notFound(t, "a list of steps that nobody made", err)
	list := models.BuildList{FamilyID: *item.FamilyID, Steps: []models.BuildStep{{Code: "joined", Words: "Blocks <joined>"}}, Reason: "r", MadeBy: by, MadeAt: moment}
	list.N = 1
	must(s.AddBuildList(ctx, stamp, list))
	same(t, "build steps", must(s.BuildList(ctx, *item.FamilyID)), list)
	if _, err := s.AddBuildList(ctx, stamp, list); !errors.Is(err, models.ErrStale) {
		t.Errorf("a first list in the place of the first: %v", err)
	}
	list.N = 2
	list = must(s.AddBuildList(ctx, stamp, list))
	same(t, "second list", must(s.BuildList(ctx, *item.FamilyID)).N, 2)
	tick := models.BuildTick{ID: models.NewID(), ItemID: item.ID, Step: "joined", Done: true, Volts: []string{"38.62", "38,60"}, DoneBy: by, DoneAt: moment}
	h.Must(s.AddBuildTick(ctx, stamp, item.ID, func([]models.BuildTick) (*models.BuildTick, error) { return &tick, nil }))
	refusal := errors.New("no")
	if err := s.AddBuildTick(ctx, stamp, item.ID, func(sofar []models.BuildTick) (*models.BuildTick, error) {
		same(t, "ticks so far", sofar, []models.BuildTick{tick})
		return nil, refusal
	}); !errors.Is(err, refusal) {
		t.Errorf("a refused step: %v", err)
	}
	same(t, "ticks", must(s.BuildTicks(ctx, item.ID)), []models.BuildTick{tick})

	test := models.CapacityTest{ID: models.NewID(), ItemID: item.ID, StartedAt: moment, TemperatureC: "22.50", RatedAh: "12.0", CutOffV: "10.50", CoefPerK: "0.006", ReferenceC: "25", Strings: 2, AcceptPct: "95", Log: `{"hours": ["0.5", "20.5"], "amps": "<&\u2028"}`,
		LogHash: "h", EnteredBy: by, EnteredAt: moment}
	same(t, "capacity test as it is kept", must(s.AddCapacityTest(ctx, stamp, test)), test)
	again := test
	again.ID = models.NewID()
	same(t, "capacity test sent again", must(s.AddCapacityTest(ctx, stamp, again)), test)
	same(t, "capacity test", must(s.CapacityTest(ctx, test.ID)), test)
	same(t, "capacity tests", must(s.CapacityTestsOf(ctx, item.ID)), []models.CapacityTest{test})

	pack := h.MustRecord(h.Pack()).Inspection
	rush := h.Pack()
	rush.Stage, rush.Conditions.RestHours, rush.FinishedAt = models.Recheck, "5", h.Now
	h.MustRecord(rush)
	soc := 100.0
	want := models.ShelfFact{Item: item, Reading: &models.RestedReading{InspectionID: pack.ID, MeasuredAt: pack.MeasuredAt, OCV25: 12.86, SoCPct: &soc, Lowest: "12.70"}, Places: []models.ShelfPlace{place, gone},
		Charge: &models.ChargeView{Charge: load, End: &unloaded}, Recharged: charge.StartedAt, Wanted: "2031-06-01"}
	emptied := models.ChargeView{Charge: models.Charge{ID: test.ID, ItemID: item.ID, Kind: models.Discharge, StartedAt: moment, StartedBy: by, EnteredAt: moment},
		End: &models.ChargeEnd{ChargeID: test.ID, EndedAt: moment.Add(20 * time.Hour), EndedBy: by, EnteredAt: moment}}
	want.Discharge = &emptied
	same(t, "charges and the discharge that reach it", must(s.ChargesReaching(ctx, item.ID)), []models.ChargeView{{Charge: load, End: &unloaded}, ended, emptied})
	for name, asked := range map[string][]string{"of one": {item.ID, h.Item[models.KindWheel].ID}, "of all": nil} {
		facts := must(s.ShelfFacts(ctx, asked))
		if len(facts) != 1 || facts[0].Reading == nil {
			t.Fatalf("facts of the shelf %s: %+v", name, facts)
		}
		got := facts[0]
		got.Item = item
		same(t, "facts of the shelf "+name, got, want)
	}
	if touched := must(s.ShelfTouched(ctx, pack.ReceivedAt)); !slices.Contains(touched, item.ID) {
		t.Errorf("touched since the pack was read: %v", touched)
	}
	same(t, "touched later", len(must(s.ShelfTouched(ctx, h.Now.AddDate(1, 0, 0)))), 0)

	for _, subject := range []string{charge.ID, place.ID, warm.ID, wanted.ID, list.FamilyID, tick.ID, test.ID} {
		if len(must(s.TrailOf(ctx, []string{subject}, 9))) == 0 {
			t.Errorf("%s left no trail entry", subject)
		}
	}
	if entries := must(s.TrailOf(ctx, []string{charge.ID}, 9)); len(entries) != 2 {
		t.Errorf("a charge and its end left %d entries", len(entries))
	}
}
