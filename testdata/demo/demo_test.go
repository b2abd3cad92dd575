package demo

import (
	"database/sql"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"sync"
	"testing"
	"time"

	_ "modernc.org/sqlite"

	"tracewright/models/store"
)

var testDay = time.Date(2031, 11, 26, 10, 0, 0, 0, time.UTC)

// shop is an invented shop with its tables open to plain questions.
type shop struct {
	db      *sql.DB
	summary Summary
}

// invent makes a shop in a folder.
func invent(t testing.TB, folder string, o Options) shop {
	t.Helper()
	path := filepath.Join(folder, "shop.db")
	s, err := store.Open(t.Context(), "sqlite:"+path, store.Options{Disposable: true})
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	if _, err := s.Migrate(t.Context()); err != nil {
		t.Fatal(err)
	}
	if o.Now.IsZero() {
		o.Now = testDay
	}
	summary, err := Seed(t.Context(), s, o)
	if err != nil {
		t.Fatal(err)
	}
	db, err := sql.Open("sqlite", path)
	if err != nil {
		t.Fatal(err)
	}
	return shop{db, summary}
}

func small(t testing.TB, o Options) shop {
	t.Helper()
	o.Wheels, o.Packs = 60, 25
	s := invent(t, t.TempDir(), o)
	t.Cleanup(func() { s.db.Close() })
	return s
}

// full is a shop of full size, made once for all tests that only look at it.
var (
	wholeFolder string
	wholeShops  sync.Map // scenario -> shop
)

func full(t testing.TB, scenario string) shop {
	t.Helper()
	if testing.Short() {
		t.Skip("a whole shop takes some seconds")
	}
	if s, ok := wholeShops.Load(scenario); ok {
		return s.(shop)
	}
	folder := filepath.Join(wholeFolder, scenario)
	if err := os.Mkdir(folder, 0o700); err != nil {
		t.Fatal(err)
	}
	s := invent(t, folder, Options{Seed: 3, Scenario: scenario})
	wholeShops.Store(scenario, s)
	return s
}

func TestMain(m *testing.M) {
	var err error
	if wholeFolder, err = os.MkdirTemp("", "invented-shop"); err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
	status := m.Run()
	wholeShops.Range(func(_, s any) bool { s.(shop).db.Close(); return true })
	os.RemoveAll(wholeFolder)
	os.Exit(status)
}

// rows reads a query into lists of text.
func (s shop) rows(t testing.TB, query string, args ...any) [][]string {
	t.Helper()
	found, err := s.db.QueryContext(t.Context(), query, args...)
	if err != nil {
		t.Fatal(err)
	}
	defer found.Close()
	columns, err := found.Columns()
	if err != nil {
		t.Fatal(err)
	}
	var list [][]string
	for found.Next() {
		row, into := make([]sql.NullString, len(columns)), make([]any, len(columns))
		for i := range row {
			into[i] = &row[i]
		}
		if err := found.Scan(into...); err != nil {
			t.Fatal(err)
		}
		texts := make([]string, len(row))
		for i := range row {
			texts[i] = row[i].String
		}
		list = append(list, texts)
	}
	if err := found.Err(); err != nil {
		t.Fatal(err)
	}
	return list
}

func (s shop) count(t testing.TB, query string, args ...any) int {
	t.Helper()
	var n int
	if err := s.db.QueryRowContext(t.Context(), query, args...).Scan(&n); err != nil {
		t.Fatalf("%s: %v", query, err)
	}
	return n
}

// value is one result of one inspection with what it may depend on.
type value struct {
	item, product, person, place, stage string
	at                                  time.Time
	x                                   float64
}

// values are the standing results with a code, in the order of time.
func (s shop) values(t testing.TB, code string) []value {
	t.Helper()
	found, err := s.db.QueryContext(t.Context(), `SELECT i.item_id, i.product_id, p.name, i.place, i.stage, CAST(strftime('%s', i.measured_at) AS INTEGER), r.value_f
FROM inspections AS i JOIN results AS r ON r.inspection_id = i.id JOIN people AS p ON p.id = i.person_id
WHERE r.code = ? AND r.position = '' AND (i.first_set OR i.stage IN ('final', 'recheck')) AND i.round = 1 ORDER BY i.measured_at, i.id`, code)
	if err != nil {
		t.Fatal(err)
	}
	defer found.Close()
	var list []value
	for found.Next() {
		var v value
		var at int64
		if err := found.Scan(&v.item, &v.product, &v.person, &v.place, &v.stage, &at, &v.x); err != nil {
			t.Fatal(err)
		}
		v.at = time.Unix(at, 0)
		list = append(list, v)
	}
	if err := found.Err(); err != nil {
		t.Fatal(err)
	}
	return list
}

// lotsOf gives the lots built into each item.
func (s shop) lotsOf(t testing.TB) map[string][]string {
	t.Helper()
	lots := map[string][]string{}
	for _, row := range s.rows(t, "SELECT DISTINCT f.item_id, l.code FROM fitted_parts AS f JOIN lots AS l ON l.id = f.lot_id") {
		lots[row[0]] = append(lots[row[0]], row[1])
	}
	return lots
}

// apartFromProduct takes the mean of its product from the logarithm of each
// value, so that wheels of different size can be compared; recheck values are
// left out.
func apartFromProduct(list []value) []value {
	sum, n := map[string]float64{}, map[string]float64{}
	var out []value
	for _, v := range list {
		if v.stage == "recheck" {
			continue
		}
		v.x = math.Log(v.x)
		sum[v.product] += v.x
		n[v.product]++
		out = append(out, v)
	}
	for i, v := range out {
		out[i].x -= sum[v.product] / n[v.product]
	}
	return out
}

// split gives the values for which a question is answered yes, and the others.
func split(list []value, is func(value) bool) (with, without []float64) {
	for _, v := range list {
		if is(v) {
			with = append(with, v.x)
		} else {
			without = append(without, v.x)
		}
	}
	return with, without
}

func where(list []value, is func(value) bool) []value {
	var out []value
	for _, v := range list {
		if is(v) {
			out = append(out, v)
		}
	}
	return out
}

func between(from, to time.Time) func(value) bool {
	return func(v value) bool { return !v.at.Before(from) && v.at.Before(to) }
}

func at(place string) func(value) bool { return func(v value) bool { return v.place == place } }

func mean(x []float64) float64 {
	sum := 0.0
	for _, y := range x {
		sum += y
	}
	return sum / float64(len(x))
}

// welch is the two-sample t of two lists with their own variances (Welch,
// Biometrika 34, 1947).
func welch(a, b []float64) float64 {
	squared := func(x []float64) (v float64) {
		m := mean(x)
		for _, y := range x {
			v += (y - m) * (y - m) / float64(len(x)-1)
		}
		return v / float64(len(x))
	}
	return (mean(a) - mean(b)) / math.Sqrt(squared(a)+squared(b))
}

// change is what became of a value between an item's first measuring and its
// recheck.
type change struct {
	item  string
	ratio float64
	fall  float64 // a day
}

func changes(list []value) []change {
	first := map[string]value{}
	var out []change
	for _, v := range list {
		before, seen := first[v.item]
		switch {
		case !seen:
			first[v.item] = v
		case v.stage == "recheck":
			out = append(out, change{v.item, v.x / before.x, (before.x - v.x) / (v.at.Sub(before.at).Hours() / 24)})
		}
	}
	return out
}

// A demo must open within 15 s after its build; setting the shop up is most of
// that.
func BenchmarkSeed(b *testing.B) {
	for b.Loop() {
		invent(b, b.TempDir(), Options{Seed: 1}).db.Close()
	}
}
