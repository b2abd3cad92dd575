package bench

import (
	"context"
	"errors"
	"fmt"
	"path/filepath"
	"runtime"
	"time"

	"tracewright/models/store"
	"tracewright/models/work/sealing"
	"tracewright/server/keyring"
)

// Options say what is measured, and for how long.
type Options struct {
	Beside   string        // folder beside which the SQLite file lies
	Postgres string        // address; empty: SQLite alone
	During   time.Duration // of each rate
	Queue    int           // inspections that a tablet has waiting; 0: 500
	Pgbench  string        // program; empty: the driver instead
	// Program and its first arguments start the server for the figures of a
	// process of its own; nil: those are left out.
	Program []string
	Rest    time.Duration // of the started server, before its memory is read
	Stand   Stand         // zero: DefaultStand
	// Alone leaves out what a server does beside, but for sealing: charts are not
	// watched, and nothing is counted.
	Alone bool
	Told  func(database, name string)
}

// Run measures SQLite, and PostgreSQL where one is named.
func Run(ctx context.Context, o Options) (Report, error) {
	if o.Queue == 0 {
		o.Queue = 500
	}
	if o.Stand == (Stand{}) {
		o.Stand = DefaultStand
	}
	report := Report{Seconds: o.During.Seconds(), CPUs: runtime.NumCPU()}
	if len(o.Program) > 0 {
		f, err := sizeOf(o.Program[0])
		if err != nil {
			return report, err
		}
		report.Figures = append(report.Figures, f)
	}
	places := []func() (Database, error){func() (Database, error) { return NewSQLite(o.Beside) }}
	if o.Postgres != "" {
		places = append(places, func() (Database, error) { return NewPostgres(ctx, o.Postgres) })
	}
	for _, make := range places {
		place, err := make()
		if err != nil {
			return report, err
		}
		err = measure(ctx, place, o, &report)
		if err = errors.Join(err, place.Remove(ctx)); err != nil {
			return report, err
		}
	}
	return report, nil
}

// measuring is one database under measurement.
type measuring struct {
	options Options
	place   Database
	keys    sealing.Keys
	shop    *Shop
	server  *Server
	serials []string // of wheels; the first are measured already
	top     float64  // captures a second
	report  *Report
}

func measure(ctx context.Context, place Database, o Options, report *Report) (err error) {
	m := &measuring{options: o, place: place, report: report}
	if err := m.open(ctx); err != nil {
		return fmt.Errorf("measure %s: %w", place.Kind(), err)
	}
	defer func() {
		if m.server != nil {
			err = errors.Join(err, m.server.Close())
		}
	}()
	for _, step := range []struct {
		name string
		do   func(context.Context) error
	}{
		{Capture, m.measureCapture}, {Steady, m.measureSteady}, {Drafts, m.measureDrafts}, {Look, m.measureLook}, {Queue, m.measureQueue},
	} {
		m.tell(step.name)
		if err := errors.Join(Settled(ctx, m.shop.Store), step.do(ctx)); err != nil {
			return fmt.Errorf("measure %s: %w", place.Kind(), err)
		}
	}
	m.advise()
	err = m.server.Close()
	m.server = nil
	if err == nil && len(o.Program) > 0 {
		m.tell(Start)
		err = m.measureProcess(ctx)
	}
	return err
}

func (m *measuring) tell(name string) {
	if m.options.Told != nil {
		m.options.Told(m.place.Kind(), name)
	}
}

func (m *measuring) add(f Figure) {
	f.Database = m.place.Kind()
	m.report.Figures = append(m.report.Figures, f)
}

// value finds a rate that was measured on this database.
func (m *measuring) value(name string) float64 {
	for _, f := range m.report.Figures {
		if f.Database == m.place.Kind() && f.Name == name {
			return f.Value
		}
	}
	return 0
}

// open makes the database, a shop in it with wheels to measure, and a server.
func (m *measuring) open(ctx context.Context) error {
	keys, err := keyring.Open(m.keyFolder())
	if err != nil {
		return err
	}
	m.keys = keys
	s, err := store.Open(ctx, m.place.DSN, store.Options{})
	if err != nil {
		return err
	}
	if _, err = s.Migrate(ctx); err == nil {
		m.shop, err = NewShop(ctx, s, time.Now().AddDate(0, -1, 0))
	}
	if err == nil {
		m.serials, err = m.shop.Wheels(ctx, max(2*m.options.Queue, min(mostWheels, int(4000*m.options.During.Seconds()))))
	}
	if err == nil && m.place.Kind() == Postgres {
		err = errors.Join(m.place.MakeRaw(ctx), execute(ctx, m.place.DSN, "ANALYZE items"))
	}
	if err == nil {
		m.server, err = Serve(ctx, m.shop, Beside{Keys: m.keys, Everything: !m.options.Alone})
	}
	if err != nil {
		return errors.Join(err, s.Close())
	}
	return Settled(ctx, s)
}

// mostWheels bounds how many wheels are made before any is measured; a longer
// run measures them again in turn, as a recheck would.
const mostWheels = 20_000

func (m *measuring) keyFolder() string { return filepath.Join(m.place.Folder, "bench.keys") }

// inTurn measures what is compared around what is measured, half before and
// half after, so that a machine that grows slower or faster meanwhile favours
// neither.
func (m *measuring) inTurn(ctx context.Context, ours, raw func(time.Duration) (float64, error)) (rate, against float64, err error) {
	half := m.options.During / 2
	before, err := raw(half)
	if err != nil {
		return 0, 0, err
	}
	if rate, err = ours(m.options.During); err != nil {
		return 0, 0, err
	}
	if err = Settled(ctx, m.shop.Store); err != nil {
		return 0, 0, err
	}
	after, err := raw(half)
	return rate, (before + after) / 2, err
}

// with names what a rate is held against.
func (m *measuring) with() string {
	if m.place.Kind() == Postgres && m.options.Pgbench != "" {
		return ByPgbench
	}
	return ByDriver
}

func (m *measuring) advise() {
	m.report.Advice = append(m.report.Advice, Advice{Database: m.place.Kind(), Rate: m.options.Stand,
		Stands: carried(m.options.Stand, m.value(Capture), m.value(Drafts), m.value(Look))})
}
