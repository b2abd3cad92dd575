package store_test

import (
	"context"
	"database/sql"
	"fmt"
	"os"
	"runtime/debug"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"

	"tracewright/models"
	"tracewright/models/store"
	"tracewright/models/store/storetest"
	"tracewright/models/work/trace"
)

// An order of this shop is a kit with what is in it: 20 items (kit, wheel, motor,
// pack, 16 blocks) and 100 links: 10 packings of the kit, and 90 fittings: 9 of the
// wheel, 5 of the motor, 24 of the pack, 52 of the blocks. Nipples and small parts are
// bought for a small lot, spokes for a large one.
const (
	orderItems         = 20
	orderLots          = 3           // spokes, nipples, small parts
	smallLot, largeLot = 250, 10_000 // wheels
)

// What look-ups find is tested in a shop of ten thousand items. Their times are held
// against those of the database's own client, and against each other in a shop of a
// given size and one of ten thousand, when a size is given:
//
//	TRACEWRIGHT_SIZE=1000000 go test -run AtSize -v -timeout 60m ./models/store
func TestLookUpsAtSize(t *testing.T) {
	const few = 10_000
	size := 0
	if text := os.Getenv("TRACEWRIGHT_SIZE"); text != "" {
		n, err := strconv.Atoi(text)
		if err != nil || n <= largeLot*orderItems {
			t.Fatalf("TRACEWRIGHT_SIZE=%s: more than %d items, that a large lot is used up", text, largeLot*orderItems)
		}
		size = n
		defer debug.SetGCPercent(debug.SetGCPercent(800)) // as the server does
	}
	storetest.EachDSN(t, func(t *testing.T, dsn string) {
		small := filledShop(t, dsn, few)
		if size == 0 {
			return
		}
		large := filledShop(t, another(t, dsn), size)
		for i, l := range large.lookUps {
			if i < len(small.lookUps) {
				inTurn(t, small, large, i)
			}
			againstClient(t, large, l)
		}
	})
}

// sized is a filled database with what is looked up in it.
type sized struct {
	*store.Store
	dsn     string
	lookUps []lookUp
}

// filledShop fills an empty database, and sees that each look-up finds what it should.
func filledShop(t *testing.T, dsn string, items int) sized {
	t.Helper()
	fillOrders(t, dsn, items/orderItems)
	s := sized{storetest.Open(t, dsn), dsn, lookUpsAmong(items)}
	for _, l := range s.lookUps {
		found, err := l.ask(t.Context(), s.Store)
		if err != nil || found != l.items {
			t.Fatalf("%s among %d: %d items, %v; want %d", l.name, items, found, err, l.items)
		}
	}
	return s
}

// another is one more empty database of the same kind.
func another(t *testing.T, dsn string) string {
	if strings.HasPrefix(dsn, "sqlite:") {
		return storetest.SQLite(t)
	}
	more, why := storetest.Postgres(t)
	if more == "" {
		t.Fatal(why)
	}
	return more
}

// inTurn holds the median times of a look-up in two shops against each other: asked
// in turn, so that what else the machine does meets both.
func inTurn(t *testing.T, small, large sized, which int) {
	t.Helper()
	asked := func(s sized) func() { return func() { must(s.lookUps[which].ask(t.Context(), s.Store)) } }
	before, now := mediansOf(asked(small), asked(large))
	ratio := float64(now) / float64(before)
	t.Logf("%-32s %10v, among 10,000 items %10v, ratio %.2f", large.lookUps[which].name, now, before, ratio)
	if ratio > 1.25 {
		t.Errorf("%s: %.2f times as long as among 10,000 items, at most 1.25", large.lookUps[which].name, ratio)
	}
}

func timeOf(f func()) time.Duration {
	began := time.Now()
	f()
	return time.Since(began)
}

func median(times []time.Duration) time.Duration {
	slices.Sort(times)
	return times[len(times)/2]
}

// lookUp asks for something, and finds so many items.
type lookUp struct {
	name  string
	items int
	ask   func(ctx context.Context, s *store.Store) (int, error)
}

// lookUpsAmong are the look-ups among so many items. They ask about the middle of
// the shop's life.
func lookUpsAmong(items int) []lookUp {
	orders := items / orderItems
	middle := orders / 2 / smallLot * smallLot
	lot := func(name string, id string, want int) lookUp {
		return lookUp{name, want, func(ctx context.Context, s *store.Store) (int, error) {
			found, err := s.OutputsOfLot(ctx, id)
			return len(found.Items), err
		}}
	}
	all := []lookUp{
		{"an item by its serial", 1, func(ctx context.Context, s *store.Store) (int, error) {
			item, err := s.ItemBySerial(ctx, serialOf('W', middle))
			return len(item.Name()) / 9, err
		}},
		{"items by the last five characters", 3, func(ctx context.Context, s *store.Store) (int, error) {
			found, err := s.ItemsByTail(ctx, serialOf('W', middle)[4:], 50)
			return len(found), err
		}},
		{"a kit traced back", orderItems, func(ctx context.Context, s *store.Store) (int, error) {
			found, err := trace.New(s).Sources(ctx, keyOf('1', middle*orderItems))
			if err == nil && found.Lots != orderLots {
				err = fmt.Errorf("%d lots, want %d", found.Lots, orderLots)
			}
			return found.Items + 1, err
		}},
		{"the holds on a pack", 0, func(ctx context.Context, s *store.Store) (int, error) {
			found, err := s.OpenHolds(ctx, keyOf('1', middle*orderItems+3))
			return len(found), err
		}},
		{"what is set aside in a pack", 0, func(ctx context.Context, s *store.Store) (int, error) {
			found, err := s.PartsSetAside(ctx, keyOf('1', middle*orderItems+3))
			return len(found), err
		}},
		{"lots set aside in a pack", 0, func(ctx context.Context, s *store.Store) (int, error) {
			found, err := s.LotsSetAside(ctx, keyOf('1', middle*orderItems+3))
			return len(found), err
		}},
		lot("a small lot traced forward", keyOf('3', middle/smallLot), smallLot),
	}
	if orders > largeLot {
		all = append(all, lot("a large lot traced forward", keyOf('4', (middle-1)/largeLot), largeLot))
	}
	return all
}

// keyOf is the key with a number of a kind of record: in the order of the numbers,
// as the keys are that the program makes.
func keyOf(kind rune, n int) string { return fmt.Sprintf("0190000%c-0000-7000-8000-%012x", kind, n) }

func serialOf(letter rune, n int) string { return fmt.Sprintf("%c26%06d", letter, n) }

// fillOrders writes so many orders past the program, as a shop would have made
// them one after the other.
func fillOrders(t *testing.T, dsn string, orders int) {
	t.Helper()
	put, done := bulk(t, dsn)
	at := time.Date(2026, 3, 2, 9, 0, 0, 0, time.UTC)
	lots := table{"lots", []string{"id", "code", "material", "description", "supplier", "supplier_code", "date_code", "quantity", "received_at", "received_by"}, nil}
	items := table{"items", []string{"id", "kind", "serial", "serial_tail", "supplier", "model", "maker_number", "state", "origin", "created_at", "created_by"}, nil}
	packings := table{"kit_packings", []string{"id", "kit_id", "item_id", "part", "quantity", "added", "reason", "against", "packed_at", "packed_by"}, nil}
	links := table{"fitted_parts", []string{"id", "item_id", "role", "place", "lot_id", "part_id", "quantity", "fitted_at", "fitted_by"}, nil}
	link := 0
	fit := func(into int, role string, place any, lot, part any) {
		links.rows = append(links.rows, []any{keyOf('2', link), keyOf('1', into), role, fmt.Sprint(place), lot, part, 1, at, "system"})
		link++
	}
	for i := range orders {
		if i%smallLot == 0 {
			n := i / smallLot
			lots.rows = append(lots.rows, []any{keyOf('3', n), fmt.Sprint("N-", n), "nipples", "", "Aare", "", "", 9000, at, "system"},
				[]any{keyOf('5', n), fmt.Sprint("M-", n), "other", "", "Aare", "", "", 90000, at, "system"})
		}
		if i%largeLot == 0 {
			lots.rows = append(lots.rows, []any{keyOf('4', i/largeLot), fmt.Sprint("S-", i/largeLot), "spokes", "", "Aare", "", "", 180000, at, "system"})
		}
		kit, sundry := i*orderItems, keyOf('5', i/smallLot)
		wheel, motor, pack, block := kit+1, kit+2, kit+3, kit+4
		for j, made := range []struct {
			kind   string
			letter rune
		}{{models.KindKit, 'K'}, {models.KindWheel, 'W'}, {models.KindMotor, 0}, {models.KindPack, 'P'}} {
			row := []any{keyOf('1', kit+j), made.kind, nil, nil, "Aare", "H1", fmt.Sprint("M", i), models.StateReleased, "demo", at, "system"}
			if made.letter != 0 {
				serial := serialOf(made.letter, i)
				row = []any{keyOf('1', kit+j), made.kind, serial, serial[4:], "", "", nil, models.StateReleased, "demo", at, "system"}
			}
			items.rows = append(items.rows, row)
		}
		for k := range 16 {
			items.rows = append(items.rows, []any{keyOf('1', block+k), models.KindBlock, nil, nil, "Aare", "B1", fmt.Sprint("B", i*16+k), models.StateConforming, "received", at, "system"})
		}
		for k := range 10 {
			row := []any{keyOf('6', i*10+k), keyOf('1', kit), nil, "strap", 1, true, "", "[]", at, "system"}
			if k < 2 {
				row[2], row[3] = keyOf('1', []int{wheel, pack}[k]), ""
			}
			packings.rows = append(packings.rows, row)
		}
		fit(wheel, "motor", "", nil, keyOf('1', motor))
		fit(wheel, "spokes", "", keyOf('4', i/largeLot), nil)
		fit(wheel, "nipples", "", keyOf('3', i/smallLot), nil)
		for _, x := range [][2]int{{wheel, 6}, {motor, 5}, {pack, 8}} {
			for k := range x[1] {
				fit(x[0], "sundry", k, sundry, nil)
			}
		}
		for k := range 16 {
			fit(pack, "block", k, nil, keyOf('1', block+k))
		}
		for k := range 52 {
			fit(block+k%16, "sundry", k, sundry, nil)
		}
		if len(links.rows) >= 5_000 || i == orders-1 {
			for _, x := range []*table{&lots, &items, &links, &packings} {
				if err := put(*x); err != nil {
					t.Fatalf("fill %s: %v", x.name, err)
				}
				x.rows = x.rows[:0]
			}
		}
	}
	if err := done(); err != nil {
		t.Fatal(err)
	}
}

type table struct {
	name    string
	columns []string
	rows    [][]any
}

// bulk writes rows the fastest way that a database has; done makes it know of them.
func bulk(t *testing.T, dsn string) (put func(table) error, done func() error) {
	ctx := t.Context()
	if path, is := strings.CutPrefix(dsn, "sqlite:"); is {
		db := must(sql.Open("sqlite", path+"?_pragma=synchronous(OFF)&_time_format=sqlite&_txlock=immediate"))
		return func(x table) error { return insert(ctx, db, x) }, func() error {
			_, err := db.ExecContext(ctx, "ANALYZE")
			db.Close()
			return err
		}
	}
	conn := must(pgx.Connect(ctx, dsn))
	// What is written holds by the way it is made; looking each reference up takes most
	// of the time. Whoever may not turn that off waits.
	_, _ = conn.Exec(ctx, "SET session_replication_role = replica")
	put = func(x table) error {
		_, err := conn.CopyFrom(ctx, pgx.Identifier{x.name}, x.columns, pgx.CopyFromRows(x.rows))
		return err
	}
	return put, func() error {
		defer conn.Close(ctx)
		_, err := conn.Exec(ctx, "VACUUM ANALYZE")
		return err
	}
}

// insert writes rows by statements of many, in one transaction.
func insert(ctx context.Context, db *sql.DB, x table) error {
	tx, err := db.BeginTx(ctx, nil)
	if err != nil {
		return err
	}
	defer tx.Rollback()
	one := "(?" + strings.Repeat(",?", len(x.columns)-1) + ")"
	for part := range slices.Chunk(x.rows, 100) {
		if _, err := tx.ExecContext(ctx, "INSERT INTO "+x.name+" ("+strings.Join(x.columns, ",")+") VALUES "+one+strings.Repeat(","+one, len(part)-1), slices.Concat(part...)...); err != nil {
			return err
		}
	}
	return tx.Commit()
}

// mediansOf repeats two things in turn for some seconds.
func mediansOf(one, other func()) (time.Duration, time.Duration) {
	var ones, others []time.Duration
	for began := time.Now(); len(ones) < 20 || time.Since(began) < 2*time.Second && len(ones) < 5000; {
		ones, others = append(ones, timeOf(one)), append(others, timeOf(other))
	}
	return median(ones), median(others)
}
