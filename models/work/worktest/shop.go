// Package worktest is a small workshop for tests: one wheel product of 36
// holes, one pack product of three blocks, people and gauges, on a database of
// its own, with good submissions to record.
package worktest

import (
	"context"
	"fmt"
	"strings"
	"testing"
	"time"

	"tracewright/models"
	"tracewright/models/store"
	"tracewright/models/store/storetest"
	"tracewright/models/trade/ident"
	"tracewright/models/trade/kinds"
	"tracewright/models/work/capture"
)

// Shop is the workshop. Now is its clock.
type Shop struct {
	testing.TB
	Store    *store.Store
	Capture  *capture.Service
	Now      time.Time
	Operator models.Actor
	Owner    models.Actor
	Serial   map[string]string // by kind
	Item     map[string]models.Item
}

var noon = time.Date(2031, 5, 12, 12, 0, 0, 0, time.UTC)

// New opens the workshop on a SQLite file that goes with the test.
func New(t testing.TB) *Shop {
	t.Helper()
	return On(t, storetest.New(t))
}

// Each runs f as a subtest with a workshop on each kind of database.
func Each(t *testing.T, f func(t *testing.T, h *Shop)) {
	t.Helper()
	storetest.Each(t, func(t *testing.T, s *store.Store) { f(t, On(t, s)) })
}

// On sets the workshop up on an empty database whose schema is up to date.
func On(t testing.TB, s *store.Store) *Shop {
	t.Helper()
	ctx := t.Context()
	h := &Shop{TB: t, Store: s, Now: noon, Serial: map[string]string{}, Item: map[string]models.Item{}}
	h.Capture = capture.New(s, h.Clock, Zone)
	stamp := models.NewStamp(models.Actor{}, noon.AddDate(0, -1, 0))
	h.Must(s.SetSetting(ctx, stamp, models.SettingShopName, "Test workshop"))
	for _, p := range []struct {
		actor *models.Actor
		role  models.Role
	}{{&h.Operator, models.Operator}, {&h.Owner, models.Owner}} {
		person := models.Person{ID: models.NewID(), Name: "Test " + string(p.role), Role: p.role, Active: true}
		h.Must(s.AddPerson(ctx, stamp, person))
		*p.actor = models.Actor{PersonID: person.ID, Name: person.Name, Role: p.role}
	}
	for _, g := range []models.Instrument{
		{Code: "D-1", Kind: "dial", Unit: "mm", RangeLow: "-10", RangeHigh: "10", Resolution: "0.01", DueOn: "2031-12-01"},
		{Code: "D-2", Kind: "dial", Unit: "mm", RangeLow: "-10", RangeHigh: "10", Resolution: "0.01", DueOn: "2031-05-11"},
		{Code: "T-1", Kind: "tension_gauge", Unit: "N", RangeLow: "0", RangeHigh: "2000", Resolution: "1", DueOn: "2031-12-01"},
		{Code: "C-1", Kind: "dish_gauge", Unit: "mm", RangeLow: "0", RangeHigh: "100", Resolution: "0.05", DueOn: "2031-12-01"},
		{Code: "V-1", Kind: "voltmeter", Unit: "V", RangeLow: "-100", RangeHigh: "100", Resolution: "0.001", DueOn: "2031-12-01"},
		{Code: "R-1", Kind: "resistance_meter", Unit: "mohm", RangeLow: "0", RangeHigh: "300", Resolution: "0.01", DueOn: "2031-12-01"},
		{Code: "H-1", Kind: "thermometer", Unit: "degC", RangeLow: "-20", RangeHigh: "60", Resolution: "0.1", DueOn: "2031-12-01"},
	} {
		g.ID, g.Name, g.State = models.NewID(), g.Code, models.InstrumentInUse
		h.Must(s.AddInstrument(ctx, stamp, g))
	}
	h.addProduct(stamp, models.KindWheel, models.ProductForm{Wheel: &models.WheelForm{Holes: 36, Crossing: 1, DishReference: models.DishShoulders, DishTarget: "0"}})
	h.addProduct(stamp, models.KindPack, models.ProductForm{Pack: &models.PackForm{Chemistry: "agm", Cells: 6, Strings: 1, Blocks: 3, MinRestHours: "24"}})
	return h
}

// Must ends the test on an error.
func (h *Shop) Must(err error) {
	h.Helper()
	if err != nil {
		h.Fatal(err)
	}
}

// Clock is the shop's clock.
func (h *Shop) Clock() time.Time { return h.Now }

// Zone is the shop's time zone.
func Zone(context.Context) *time.Location { return time.UTC }

func (h *Shop) addProduct(stamp models.Stamp, name string, form models.ProductForm) {
	h.Helper()
	ctx := h.Context()
	kind, _ := kinds.Named(name)
	characteristics, err := kind.DefaultSpecification(kind.Grades[0], form)
	h.Must(err)
	family := models.Family{ID: models.NewID(), Kind: name, Name: name + "s"}
	spec := models.Specification{ID: models.NewID(), Revision: 1, Grade: kind.Grades[0], Rule: "simple", Characteristics: characteristics}
	h.Must(h.Store.AddFamily(ctx, stamp, family, spec))
	product := models.Product{ID: models.NewID(), FamilyID: family.ID, Name: name + " one"}
	h.Must(h.Store.AddProduct(ctx, stamp, product, models.ProductRevision{Form: form}))
	h.Item[name] = h.newItem(stamp, name, family.ID, product.ID)
	h.Serial[name] = *h.Item[name].Serial
}

func (h *Shop) newItem(stamp models.Stamp, kind, familyID, productID string) models.Item {
	h.Helper()
	item, err := h.Store.AddItemWithSerial(h.Context(), stamp, models.Item{ID: models.NewID(), Kind: kind, FamilyID: &familyID, ProductID: &productID, Origin: "made"},
		strings.ToUpper(kind[:1]), 31, nil)
	h.Must(err)
	return item
}

// SpokeType revises the wheel's product to say which spoke it has.
func (h *Shop) SpokeType(spoke string) {
	h.Helper()
	ctx := h.Context()
	product, err := h.Store.Product(ctx, *h.Item[models.KindWheel].ProductID)
	h.Must(err)
	form, err := h.Store.ProductRevision(ctx, product.ID, product.Revision)
	h.Must(err)
	wheel := *form.Form.Wheel
	wheel.SpokeType = spoke
	h.Must(h.Store.AddProductRevision(ctx, models.NewStamp(h.Owner, h.Now), models.ProductRevision{ProductID: product.ID, Revision: product.Revision + 1,
		Form: models.ProductForm{Wheel: &wheel}, Reason: "its spoke is known", CreatedAt: h.Now, CreatedBy: h.Owner.String()}))
}

// AnotherWheel is a second item of the wheel's product.
func (h *Shop) AnotherWheel() models.Item {
	w := h.Item[models.KindWheel]
	return h.newItem(models.NewStamp(models.Actor{}, noon.AddDate(0, -1, 0)), models.KindWheel, *w.FamilyID, *w.ProductID)
}

// AnotherPack is a second item of the pack's product.
func (h *Shop) AnotherPack() models.Item {
	p := h.Item[models.KindPack]
	return h.newItem(models.NewStamp(models.Actor{}, noon.AddDate(0, -1, 0)), models.KindPack, *p.FamilyID, *p.ProductID)
}

// Extremes is a good wheel by its extremes.
func (h *Shop) Extremes() models.Submission {
	sub := models.Submission{ID: models.NewID(), Serial: h.Serial[models.KindWheel], Stage: models.AfterRelief, StartedAt: h.Now.Add(-5 * time.Minute), FinishedAt: h.Now.Add(-time.Minute),
		Sets: []models.SentSet{
			{Characteristic: "lateral_runout", Method: models.Extremes, Instrument: "D-1", Unit: "mm", Values: []string{"0,13", "-0.09"}, Index: []models.Position{models.Spoke(8), models.Spoke(27)}},
			{Characteristic: "radial_runout", Method: models.Extremes, Instrument: "D-1", Unit: "mm", Values: []string{".21", "-0.05"}, Index: []models.Position{models.Spoke(2), models.Spoke(16)}},
			{Characteristic: "dish", Method: models.Whole, Instrument: "C-1", Unit: "mm", Values: []string{"67.4", "67.8"}},
			{Characteristic: "tension_a", Method: models.Sample, Instrument: "T-1", Unit: "N", Values: []string{"1085", "1120", "1062"}},
			{Characteristic: "tension_b", Method: models.Sample, Instrument: "T-1", Unit: "N", Values: []string{"1011", "1038", "1004"}},
		}}
	for _, code := range []string{"spokes_seated", "nipples_flush", "cable_sound", "axle_thread", "spins_freely", "washer_seat"} {
		sub.Sets = append(sub.Sets, models.SentSet{Characteristic: code, Method: models.Whole, Values: []string{"yes"}})
	}
	return sub
}

// EveryHole is the same wheel with run-out and tension read at every hole: a
// lateral saw tooth of width n/100 mm, radial flat, tension even.
func (h *Shop) EveryHole() models.Submission {
	sub := h.Extremes()
	lateral, radial := make([]string, 36), make([]string, 36)
	var a, b []string
	for i := range 36 {
		lateral[i], radial[i] = fmt.Sprintf("0.%02d", i%12), "0.00"
		if i%2 == 0 {
			a = append(a, "1000")
		} else {
			b = append(b, "950")
		}
	}
	sub.Sets[0] = models.SentSet{Characteristic: "lateral_runout", Method: models.EveryHole, Instrument: "D-1", Unit: "mm", Values: lateral}
	sub.Sets[1] = models.SentSet{Characteristic: "radial_runout", Method: models.EveryHole, Instrument: "D-1", Unit: "mm", Values: radial}
	sub.Sets[3] = models.SentSet{Characteristic: "tension_a", Method: models.EveryHole, Instrument: "T-1", Unit: "N", Values: a}
	sub.Sets[4] = models.SentSet{Characteristic: "tension_b", Method: models.EveryHole, Instrument: "T-1", Unit: "N", Values: b}
	return sub
}

// Pack is a good pack of three blocks, rested.
func (h *Shop) Pack() models.Submission {
	sub := models.Submission{ID: models.NewID(), Serial: ident.Print(h.Serial[models.KindPack]), Stage: models.Final, StartedAt: h.Now.Add(-5 * time.Minute), FinishedAt: h.Now.Add(-time.Minute),
		Conditions: models.Conditions{RestHours: "26"},
		Sets: []models.SentSet{
			{Characteristic: "block_voltage", Method: models.EveryBlock, Instrument: "V-1", Unit: "V", Values: []string{"12.88", "12.86", "12.91"}},
			{Characteristic: "block_resistance", Method: models.EveryBlock, Instrument: "R-1", Unit: "mohm", Manner: models.ResistanceAC, Values: []string{"14.1", "14.6", "13.9"}},
			{Characteristic: "block_temperature", Method: models.Whole, Instrument: "H-1", Unit: "degC", Values: []string{"23.5"}},
			{Characteristic: "pack_voltage", Method: models.Whole, Instrument: "V-1", Unit: "V", Values: []string{"38.650"}},
		}}
	for _, code := range []string{"polarity_checked", "insulated", "terminals_covered", "labelled"} {
		sub.Sets = append(sub.Sets, models.SentSet{Characteristic: code, Method: models.Whole, Values: []string{"yes"}})
	}
	return sub
}

// Record records as the operator.
func (h *Shop) Record(sub models.Submission) (capture.Outcome, error) {
	return h.Capture.Record(h.Context(), h.Operator, sub, h.Now)
}

// MustRecord ends the test when a submission is refused.
func (h *Shop) MustRecord(sub models.Submission) capture.Outcome {
	h.Helper()
	out, err := h.Record(sub)
	h.Must(err)
	return out
}

// Count is how many inspections an item has.
func (h *Shop) Count(itemID string) int {
	h.Helper()
	list, err := h.Store.InspectionsOf(h.Context(), itemID)
	h.Must(err)
	return len(list)
}

// Discharge records a capacity test of a pack that took so many hours.
func (h *Shop) Discharge(item models.Item, started time.Time, hours string) {
	h.Helper()
	log := `{"hours":["0","` + hours + `"],"amps":["0.6","0.6"],"volts":[["12.8","10.4"],["12.8","10.5"],["12.8","10.5"]]}`
	_, err := h.Store.AddCapacityTest(h.Context(), models.NewStamp(h.Operator, h.Now), models.CapacityTest{ID: models.NewID(), ItemID: item.ID, StartedAt: started, TemperatureC: "25", RatedAh: "12",
		CutOffV: "10.5", CoefPerK: "0.006", ReferenceC: "25", Strings: 1, AcceptPct: "95", Log: log, LogHash: "h"})
	h.Must(err)
}
