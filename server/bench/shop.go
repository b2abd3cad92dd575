package bench

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"strings"
	"time"

	"tracewright/models"
	"tracewright/models/store"
	"tracewright/models/trade/ident"
	"tracewright/models/trade/kinds"
	"tracewright/models/work/access"
)

// Shop is a workshop to measure with: two people, a tablet, gauges, a wheel of
// 36 holes and a pack of three blocks.
type Shop struct {
	Store    *store.Store
	Owner    models.Actor
	Operator models.Actor
	Key      string // of the tablet
	Wheel    Made
	Pack     Made
	since    time.Time
}

// Made is a product of the shop, with the counter of its serials.
type Made struct {
	Kind            string
	Family, Product string
	counter         int
}

// NewShop sets a shop up in an empty database whose schema is up to date. Its
// records are dated since.
func NewShop(ctx context.Context, s *store.Store, since time.Time) (*Shop, error) {
	shop := &Shop{Store: s, since: models.Moment(since)}
	stamp := models.NewStamp(models.Actor{}, shop.since)
	err := s.SetSetting(ctx, stamp, models.SettingShopName, "A shop to measure with")
	for _, p := range []struct {
		actor *models.Actor
		role  models.Role
	}{{&shop.Operator, models.Operator}, {&shop.Owner, models.Owner}} {
		person := models.Person{ID: models.NewID(), Name: "Bench " + string(p.role), Role: p.role, Active: true}
		err = errors.Join(err, s.AddPerson(ctx, stamp, person))
		*p.actor = models.Actor{PersonID: person.ID, Name: person.Name, Role: p.role}
	}
	for _, g := range gauges {
		g.ID, g.Name, g.State, g.DueOn = models.NewID(), g.Code, models.InstrumentInUse, "2099-12-31"
		err = errors.Join(err, s.AddInstrument(ctx, stamp, g))
	}
	if err != nil {
		return nil, fmt.Errorf("set a shop up: %w", err)
	}
	if shop.Wheel, err = shop.product(ctx, models.KindWheel, models.ProductForm{Wheel: &models.WheelForm{Holes: holes, Crossing: 1, DishReference: models.DishShoulders, DishTarget: "0"}}); err != nil {
		return nil, fmt.Errorf("set a shop up: %w", err)
	}
	if shop.Pack, err = shop.product(ctx, models.KindPack, models.ProductForm{Pack: &models.PackForm{Chemistry: "agm", Cells: 6, Strings: 1, Blocks: blocks, MinRestHours: "24"}}); err != nil {
		return nil, fmt.Errorf("set a shop up: %w", err)
	}
	if shop.Key, _, err = access.New(s, time.Now, access.Cost{}).Enrol(ctx, shop.Owner, "bench", "stand 1"); err != nil {
		return nil, fmt.Errorf("set a shop up: %w", err)
	}
	return shop, nil
}

const (
	holes  = 36
	blocks = 3
)

var gauges = []models.Instrument{
	{Code: "BENCH-D", Kind: "dial", Unit: "mm", RangeLow: "-10", RangeHigh: "10", Resolution: "0.01"},
	{Code: "BENCH-T", Kind: "tension_gauge", Unit: "N", RangeLow: "0", RangeHigh: "2000", Resolution: "1"},
	{Code: "BENCH-C", Kind: "dish_gauge", Unit: "mm", RangeLow: "0", RangeHigh: "100", Resolution: "0.05"},
	{Code: "BENCH-V", Kind: "voltmeter", Unit: "V", RangeLow: "-100", RangeHigh: "100", Resolution: "0.001"},
	{Code: "BENCH-R", Kind: "resistance_meter", Unit: "mohm", RangeLow: "0", RangeHigh: "300", Resolution: "0.01"},
	{Code: "BENCH-H", Kind: "thermometer", Unit: "degC", RangeLow: "-20", RangeHigh: "60", Resolution: "0.1"},
}

func (s *Shop) product(ctx context.Context, name string, form models.ProductForm) (Made, error) {
	kind, _ := kinds.Named(name)
	characteristics, err := kind.DefaultSpecification(kind.Grades[0], form)
	if err != nil {
		return Made{}, err
	}
	stamp := models.NewStamp(models.Actor{}, s.since)
	family := models.Family{ID: models.NewID(), Kind: name, Name: "bench " + name + "s"}
	spec := models.Specification{ID: models.NewID(), Revision: 1, Grade: kind.Grades[0], Rule: "simple", Characteristics: characteristics}
	if err := s.Store.AddFamily(ctx, stamp, family, spec); err != nil {
		return Made{}, err
	}
	product := models.Product{ID: models.NewID(), FamilyID: family.ID, Name: "bench " + name}
	return Made{Kind: name, Family: family.ID, Product: product.ID}, s.Store.AddProduct(ctx, stamp, product, models.ProductRevision{Form: form})
}

// Wheels makes so many wheels and gives their serials.
func (s *Shop) Wheels(ctx context.Context, n int) ([]string, error) {
	serials, items := make([]string, n), make([]models.Item, n)
	for i := range items {
		serial, used, err := ident.Next('W', 20, s.Wheel.counter)
		if err != nil {
			return nil, fmt.Errorf("serials: %w", err)
		}
		s.Wheel.counter = used
		serials[i], items[i] = serial, s.Wheel.item(models.NewID(), serial)
	}
	return serials, s.Store.AddItems(ctx, models.NewStamp(s.Owner, time.Now().Add(-time.Hour)), items)
}

func (m Made) item(id, serial string) models.Item {
	tail := ident.Tail(serial)
	return models.Item{ID: id, Kind: m.Kind, Serial: &serial, SerialTail: &tail, FamilyID: &m.Family, ProductID: &m.Product, State: models.StateInProcess, Origin: "made"}
}

// EveryHole is a good wheel read at every hole: 108 readings of run-out and
// tension, dish and the ticked list.
func EveryHole(id, serial string, finished time.Time) models.Submission {
	sub := Extremes(id, serial, finished)
	lateral, radial := make([]string, holes), make([]string, holes)
	var a, b []string
	for i := range holes {
		lateral[i], radial[i] = fmt.Sprintf("0.%02d", i%12), "0.00"
		if i%2 == 0 {
			a = append(a, "1000")
		} else {
			b = append(b, "950")
		}
	}
	for i, values := range [][]string{lateral, radial, nil, a, b} {
		if values != nil {
			sub.Sets[i].Method, sub.Sets[i].Values, sub.Sets[i].Index = models.EveryHole, values, nil
		}
	}
	return sub
}

// Extremes is a good wheel read by its extremes and a sample.
func Extremes(id, serial string, finished time.Time) models.Submission {
	sub := models.Submission{ID: id, Serial: serial, Stage: models.AfterRelief, StartedAt: finished.Add(-4 * time.Minute), FinishedAt: finished, Sets: []models.SentSet{
		{Characteristic: "lateral_runout", Method: models.Extremes, Instrument: "BENCH-D", Unit: "mm", Values: []string{"0.13", "-0.09"}, Index: []models.Position{models.Spoke(8), models.Spoke(27)}},
		{Characteristic: "radial_runout", Method: models.Extremes, Instrument: "BENCH-D", Unit: "mm", Values: []string{"0.21", "-0.05"}, Index: []models.Position{models.Spoke(2), models.Spoke(16)}},
		{Characteristic: "dish", Method: models.Whole, Instrument: "BENCH-C", Unit: "mm", Values: []string{"67.4", "67.8"}},
		{Characteristic: "tension_a", Method: models.Sample, Instrument: "BENCH-T", Unit: "N", Values: []string{"1085", "1120", "1062"}},
		{Characteristic: "tension_b", Method: models.Sample, Instrument: "BENCH-T", Unit: "N", Values: []string{"1011", "1038", "1004"}},
	}}
	return ticked(sub, "spokes_seated", "nipples_flush", "cable_sound", "axle_thread", "spins_freely", "washer_seat")
}

// Blocks is a good pack, rested.
func Blocks(id, serial string, finished time.Time) models.Submission {
	sub := models.Submission{ID: id, Serial: serial, Stage: models.Final, StartedAt: finished.Add(-4 * time.Minute), FinishedAt: finished, Conditions: models.Conditions{RestHours: "26"}, Sets: []models.SentSet{
		{Characteristic: "block_voltage", Method: models.EveryBlock, Instrument: "BENCH-V", Unit: "V", Values: []string{"12.88", "12.86", "12.91"}},
		{Characteristic: "block_resistance", Method: models.EveryBlock, Instrument: "BENCH-R", Unit: "mohm", Manner: models.ResistanceAC, Values: []string{"14.1", "14.6", "13.9"}},
		{Characteristic: "block_temperature", Method: models.Whole, Instrument: "BENCH-H", Unit: "degC", Values: []string{"23.5"}},
		{Characteristic: "pack_voltage", Method: models.Whole, Instrument: "BENCH-V", Unit: "V", Values: []string{"38.650"}},
	}}
	return ticked(sub, "polarity_checked", "insulated", "terminals_covered", "labelled")
}

func ticked(sub models.Submission, codes ...string) models.Submission {
	for _, code := range codes {
		sub.Sets = append(sub.Sets, models.SentSet{Characteristic: code, Method: models.Whole, Values: []string{"yes"}})
	}
	return sub
}

// bodies makes the bodies of inspections without encoding each: the tablets are
// not what is measured.
type bodies struct{ texts []string }

// What stands in a body in the place of what each has of its own.
const (
	anID     = "ID"
	aSerial  = "SERIAL"
	theStart = "2001-01-01T00:00:00Z"
	theEnd   = "2001-01-01T00:04:00Z"
)

func newBodies() (bodies, error) {
	finished, err := time.Parse(time.RFC3339, theEnd)
	if err != nil {
		return bodies{}, err
	}
	text, err := json.Marshal(EveryHole(anID, aSerial, finished))
	if err != nil {
		return bodies{}, fmt.Errorf("encode an inspection: %w", err)
	}
	var b bodies
	rest := string(text)
	for _, own := range []string{anID, aSerial, theStart, theEnd} {
		before, after, found := strings.Cut(rest, `"`+own+`"`)
		if !found {
			return bodies{}, fmt.Errorf("no %s in its turn in %s", own, text)
		}
		b.texts, rest = append(b.texts, before), after
	}
	b.texts = append(b.texts, rest)
	return b, nil
}

// of is an inspection of a wheel that was finished this moment.
func (b bodies) of(id, serial string) string {
	now := time.Now().UTC()
	var text strings.Builder
	for i, own := range []string{id, serial, now.Add(-4 * time.Minute).Format(time.RFC3339Nano), now.Format(time.RFC3339Nano)} {
		text.WriteString(b.texts[i] + `"` + own + `"`)
	}
	text.WriteString(b.texts[len(b.texts)-1])
	return text.String()
}
