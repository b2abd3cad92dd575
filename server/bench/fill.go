package bench

import (
	"context"
	"errors"
	"fmt"
	"math/rand/v2"
	"runtime"
	"sync"
	"sync/atomic"
	"time"

	"tracewright/models"
	"tracewright/models/store"
	"tracewright/models/trade/ident"
	"tracewright/models/work/capture"
	"tracewright/models/work/sealing"
)

// Filling says what a database is filled with.
type Filling struct {
	Items int
	Seed  uint64
	End   time.Time // of the newest work; the oldest lies eight years before
	Keys  sealing.Keys
	Told  func(items int) // now and then: how many are there
}

// Filled is what was written.
type Filled struct {
	Items, Parts, Inspections int
	Entries                   int64 // of the log of changes, all sealed
}

// perOrder is how many items an order is: a wheel and the motor in it, a pack
// and the blocks in it.
const perOrder = 3 + blocks

// ErrShop says that a database holds a shop already.
var ErrShop = errors.New("the database holds a shop already")

// Fill makes so many items in an empty database whose schema is up to date,
// through the ways of a shop's work: wheels and packs with what is built into
// them, every one inspected and judged, and all of it entered and sealed in the
// log of changes. The same number, seed and end give the same records; entries
// of the log have keys of their own.
func Fill(ctx context.Context, s *store.Store, f Filling) (Filled, error) {
	people, err := s.People(ctx)
	if err != nil {
		return Filled{}, err
	}
	if len(people) > 0 {
		return Filled{}, ErrShop
	}
	log := sealing.New(s, sealing.Options{Keys: f.Keys, Server: "tracewright bench --fill", Now: time.Now})
	if err := log.Begin(ctx); err != nil {
		return Filled{}, err
	}
	m := &filler{Filling: f, store: s, start: models.Moment(f.End.AddDate(-8, 0, 0)), orders: f.Items / perOrder}
	if m.shop, err = NewShop(ctx, s, m.start.AddDate(0, 0, -1)); err != nil {
		return Filled{}, err
	}
	if err := m.reserve(ctx); err != nil {
		return Filled{}, fmt.Errorf("fill: %w", err)
	}
	seals, stop := context.WithCancel(ctx)
	var sealed sync.WaitGroup
	sealed.Go(func() { log.Run(seals) })
	err = m.fill(ctx)
	stop()
	if sealed.Wait(); err != nil {
		return Filled{}, fmt.Errorf("fill: %w", err)
	}
	if _, err := log.Seal(ctx); err != nil {
		return Filled{}, fmt.Errorf("fill: %w", err)
	}
	head, err := s.TrailHead(ctx)
	return Filled{int(m.items.Load()), int(m.parts.Load()), int(m.inspections.Load()), head.Size}, err
}

type filler struct {
	Filling
	store  *store.Store
	shop   *Shop
	start  time.Time
	orders int
	lot    models.Lot // of spokes

	items, parts, inspections atomic.Int64
}

// serialYear is the year of every serial: one in which nothing else is made.
const serialYear = 1

// reserve takes the serials of all orders, as for labels that were printed, and
// a lot of spokes for all wheels.
func (m *filler) reserve(ctx context.Context) error {
	stamp := models.NewStamp(m.shop.Owner, m.start)
	last := 2*m.orders + 16 // About one counter in nine makes no serial.
	for letter, product := range map[string]*string{"W": &m.shop.Wheel.Product, "P": &m.shop.Pack.Product} {
		roll := models.SerialRoll{ID: idAt(m.start, m.chance(-int(letter[0]))), Letter: letter, Year: serialYear, First: 1, Last: last, ProductID: product}
		if _, err := m.store.AddRoll(ctx, stamp, roll); err != nil {
			return err
		}
	}
	m.lot = models.Lot{ID: idAt(m.start, m.chance(-1)), Code: "BENCH-SP", Material: "spokes", Supplier: "Aare", Quantity: holes * max(1, m.orders)}
	return m.store.AddLot(ctx, stamp, m.lot)
}

// chance is that of one order, whoever makes it and when.
func (m *filler) chance(order int) *rand.Rand { return rand.New(rand.NewPCG(m.Seed, uint64(order))) }

// idAt makes a key with the layout of UUIDv7 (RFC 9562).
func idAt(at time.Time, chance *rand.Rand) string {
	ms, high, low := uint64(at.UnixMilli()), chance.Uint64(), chance.Uint64()
	return fmt.Sprintf("%08x-%04x-7%03x-%04x-%012x", ms>>16&0xffffffff, ms&0xffff, high&0xfff, 0x8000|low>>48&0x3fff, low&0xffffffffffff)
}

// together is how many orders are taken in by one transaction.
const together = 40

// fill makes the orders, several at a time, and blocks for what is left over.
func (m *filler) fill(ctx context.Context) error {
	ctx, stop := context.WithCancelCause(ctx)
	defer stop(nil)
	batches := make(chan []order)
	var working sync.WaitGroup
	for range 4 * runtime.NumCPU() {
		working.Go(func() {
			w := m.worker()
			for some := range batches {
				if ctx.Err() != nil {
					continue
				}
				if err := w.make(ctx, some); err != nil {
					stop(err)
				}
			}
		})
	}
	var some []order
	wheel, pack := 0, 0
	for i := 0; i < m.orders && ctx.Err() == nil; i++ {
		o := order{number: i, at: m.start.Add(m.End.Sub(m.start) / time.Duration(m.orders) * time.Duration(i)).Truncate(time.Second)}
		var err error
		if o.wheel, wheel, err = ident.Next('W', serialYear, wheel); err == nil {
			o.pack, pack, err = ident.Next('P', serialYear, pack)
		}
		if err != nil {
			stop(err)
			break
		}
		if some = append(some, o); len(some) == together || i == m.orders-1 {
			batches <- some
			some = nil
			if m.Told != nil {
				m.Told(int(m.items.Load()))
			}
		}
	}
	close(batches)
	working.Wait()
	if err := context.Cause(ctx); err != nil {
		return err
	}
	return m.leftOver(ctx)
}

func (m *filler) leftOver(ctx context.Context) error {
	chance := m.chance(m.orders)
	var items []models.Item
	for k := range m.Items - m.orders*perOrder {
		items = append(items, bought(models.KindBlock, idAt(m.End, chance), fmt.Sprintf("L%d", k), m.End))
	}
	m.items.Add(int64(len(items)))
	return m.store.AddItems(ctx, models.NewStamp(m.shop.Owner, m.End), items)
}

// order is what is made for one customer.
type order struct {
	number      int
	at          time.Time
	wheel, pack string // serials
}

// worker makes orders; it has a clock of its own, that of the order.
type worker struct {
	*filler
	capture *capture.Service
	clock   time.Time
}

func (m *filler) worker() *worker {
	w := &worker{filler: m}
	w.capture = capture.New(m.store, func() time.Time { return w.clock }, func(context.Context) *time.Location { return time.UTC })
	return w
}

func (w *worker) make(ctx context.Context, some []order) error {
	var (
		items       []models.Item
		parts       []models.FittedPart
		submissions []models.Submission
	)
	for _, o := range some {
		i, p, s := w.order(o)
		items, parts, submissions = append(items, i...), append(parts, p...), append(submissions, s...)
	}
	if err := w.store.AddBuilt(ctx, models.NewStamp(w.shop.Owner, some[0].at), items, parts); err != nil {
		return err
	}
	for _, sub := range submissions {
		w.clock = sub.FinishedAt.Add(time.Second)
		out, err := w.capture.Record(ctx, w.shop.Operator, sub, w.clock)
		if err != nil {
			return fmt.Errorf("inspect %s: %w", sub.Serial, err)
		}
		if !out.Placed {
			return fmt.Errorf("inspect %s: it was not placed", sub.Serial)
		}
	}
	w.items.Add(int64(len(items)))
	w.parts.Add(int64(len(parts)))
	w.inspections.Add(int64(len(submissions)))
	return nil
}

// order makes the records of one order.
func (w *worker) order(o order) ([]models.Item, []models.FittedPart, []models.Submission) {
	chance := w.chance(o.number)
	id := func() string { return idAt(o.at, chance) }
	made := func(of Made, serial string) models.Item {
		item := of.item(id(), serial)
		item.Origin, item.CreatedAt = "roll", o.at
		return item
	}
	wheel, pack := made(w.shop.Wheel, o.wheel), made(w.shop.Pack, o.pack)
	motor := bought(models.KindMotor, id(), fmt.Sprintf("M%d", o.number), o.at)
	items := []models.Item{wheel, motor, pack}
	fit := func(into models.Item, role, place string) models.FittedPart {
		return models.FittedPart{ID: id(), ItemID: into.ID, Role: role, Place: place, Quantity: 1, FittedAt: o.at}
	}
	in, spokes := fit(wheel, "motor", ""), fit(wheel, "spokes_a", "")
	in.PartID, spokes.LotID, spokes.Quantity = &motor.ID, &w.lot.ID, holes
	parts := []models.FittedPart{in, spokes}
	for k := range blocks {
		block := bought(models.KindBlock, id(), fmt.Sprintf("B%d", o.number*blocks+k), o.at.AddDate(0, 0, -14))
		items = append(items, block)
		in := fit(pack, "block", models.Block(1, k+1).Key())
		in.PartID = &block.ID
		parts = append(parts, in)
	}
	first := o.at.Add(20 * time.Minute)
	read := Extremes(id(), o.wheel, first)
	if o.number%8 == 0 {
		read = EveryHole(read.ID, o.wheel, first)
	}
	packed := Blocks(id(), o.pack, first.Add(10*time.Minute))
	scattered(&read, chance)
	scattered(&packed, chance)
	return items, parts, []models.Submission{read, packed}
}

// scattered gives each first reading of a set a last digit of its own, so that
// charts and counts have something to show.
func scattered(sub *models.Submission, chance *rand.Rand) {
	for i := range sub.Sets {
		values := sub.Sets[i].Values
		if last := len(values[0]) - 1; len(values) > 1 && sub.Sets[i].Characteristic != "dish" {
			values[0] = values[0][:last] + string(rune('0'+chance.IntN(10)))
		}
	}
}

func bought(kind, id, number string, at time.Time) models.Item {
	return models.Item{ID: id, Kind: kind, Supplier: "Aare", Model: "bench " + kind, MakerNumber: &number, State: models.StateConforming, Origin: "received", CreatedAt: at}
}

// Analyze has the database learn how its tables are filled, by which it chooses
// the ways of its queries.
func Analyze(ctx context.Context, dsn string) error {
	if path, is := sqliteFile(dsn); is {
		db, err := openRaw(path, "_pragma=busy_timeout(60000)")
		if err != nil {
			return err
		}
		_, err = db.ExecContext(ctx, "ANALYZE")
		return errors.Join(err, db.Close())
	}
	return execute(ctx, dsn, "ANALYZE")
}
