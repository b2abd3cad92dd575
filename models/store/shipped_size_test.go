package store_test

import (
	"database/sql"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"tracewright/models"
	"tracewright/models/store"
)

// A shop of so many wheels over ten years, two of a lot of 250 in each, and one claim
// in fifty: how long counting all of it takes, keeping the counts up, and reading what
// the page of returns asks for.
//
//	TRACEWRIGHT_SIZE=1000000 go test -run XXX -bench ReturnsAtSize -benchtime 1x -timeout 60m ./models/store
func BenchmarkReturnsAtSize(b *testing.B) {
	size := 20_000
	if n, err := strconv.Atoi(os.Getenv("TRACEWRIGHT_SIZE")); err == nil {
		size = n
	}
	file := filepath.Join(b.TempDir(), "shop.db")
	s, err := store.Open(b.Context(), "sqlite:"+file, store.Options{Disposable: true})
	if err != nil {
		b.Fatal(err)
	}
	defer s.Close()
	if _, err := s.Migrate(b.Context()); err != nil {
		b.Fatal(err)
	}
	now := time.Date(2031, 5, 12, 12, 0, 0, 0, time.UTC)
	family := models.Family{ID: models.NewID(), Kind: models.KindWheel, Name: "wheels"}
	if err := s.AddFamily(b.Context(), models.NewStamp(models.Actor{}, now.AddDate(-11, 0, 0)), family, models.Specification{ID: models.NewID(), Revision: 1, Grade: "good", Rule: "simple", Characteristics: []models.Characteristic{}}); err != nil {
		b.Fatal(err)
	}
	fillReturns(b, file, family.ID, now.AddDate(-10, 0, 0), size)
	b.Run("counting everything", func(b *testing.B) {
		for b.Loop() {
			if err := s.RecountShipped(b.Context(), time.UTC, now, nil); err != nil {
				b.Fatal(err)
			}
		}
	})
	b.Run("keeping up", func(b *testing.B) {
		for b.Loop() {
			if err := s.CountShipped(b.Context(), time.UTC, now); err != nil {
				b.Fatal(err)
			}
		}
	})
	b.Run("three years by day", func(b *testing.B) {
		for b.Loop() {
			if all, _, err := s.ShippedDays(b.Context(), family.ID, "2028-06-01"); err != nil || len(all) == 0 {
				b.Fatal(len(all), err)
			}
		}
	})
	b.Run("three years of claims", func(b *testing.B) {
		for b.Loop() {
			if back, err := s.ReturnedItems(b.Context(), family.ID, now.AddDate(-3, 0, 0), true); err != nil || len(back) == 0 {
				b.Fatal(len(back), err)
			}
		}
	})
}

// fillReturns writes as another program would: every item with its shipment, a lot of
// spokes and one of rims.
func fillReturns(b *testing.B, file, family string, from time.Time, size int) {
	b.Helper()
	db, err := sql.Open("sqlite", file)
	if err != nil {
		b.Fatal(err)
	}
	defer db.Close()
	first, step := from.Unix(), 10*365*86400/size
	const at = "strftime('%Y-%m-%d %H:%M:%S+00:00', ? + n.i * ?, 'unixepoch')"
	id := func(kind string) string {
		return "printf('" + kind + "%07d-0000-7000-8000-000000000000', n.i)"
	}
	for _, text := range []string{
		`CREATE TABLE n (i INTEGER PRIMARY KEY)`,
		`INSERT INTO n WITH RECURSIVE c(i) AS (SELECT 0 UNION ALL SELECT i + 1 FROM c WHERE i + 1 < ` + strconv.Itoa(size) + `) SELECT i FROM c`,
		`INSERT INTO lots (id, code, material, description, supplier, supplier_code, date_code, quantity, received_at, received_by) SELECT ` + id("1") + `, 'L' || n.i, CASE n.i % 2 WHEN 0 THEN 'spokes' ELSE 'rims' END, '', '', '', '', 9000, ` + at + `, 'system' FROM n WHERE n.i < ` + strconv.Itoa(size/125),
		`INSERT INTO items (id, kind, serial, serial_tail, supplier, model, family_id, state, origin, created_at, created_by) SELECT ` + id("2") + `, 'wheel', printf('W%08d', n.i), printf('%05d', n.i % 100000), '', '', '` + family + `', 'shipped', 'made', ` + at + `, 'system' FROM n`,
		`INSERT INTO fitted_parts (id, item_id, role, place, lot_id, quantity, fitted_at, fitted_by) SELECT ` + id("3") + `, ` + id("2") + `, 'spokes_a', '', printf('1%07d-0000-7000-8000-000000000000', 2 * (n.i / 250)), 36, ` + at + `, 'system' FROM n`,
		`INSERT INTO fitted_parts (id, item_id, role, place, lot_id, quantity, fitted_at, fitted_by) SELECT ` + id("4") + `, ` + id("2") + `, 'rim', '', printf('1%07d-0000-7000-8000-000000000000', 2 * (n.i / 250) + 1), 1, ` + at + `, 'system' FROM n`,
		`INSERT INTO shipments (id, number, order_ref, carrier, tracking, customer, reason, against, shipped_at, shipped_by) SELECT ` + id("5") + `, 'S' || n.i, '', '', '', '', '', '[]', ` + at + `, 'system' FROM n`,
		`INSERT INTO shipment_items SELECT ` + id("5") + `, ` + id("2") + ` FROM n`,
		`INSERT INTO claims (id, number, kind, product, motor_number, order_ref, customer, words_hash, opened_at, opened_by, item_id, state) SELECT ` + id("6") + `, 'CL' || n.i, 'wheel', '', '', '', '', '', strftime('%Y-%m-%d %H:%M:%S+00:00', ? + n.i * ? + 86400 * (10 + n.i % 300), 'unixepoch'), 'system', ` + id("2") + `, 'open' FROM n WHERE n.i % 50 = 0`,
	} {
		var args []any
		if strings.Contains(text, "?") {
			args = []any{first, step}
		}
		if _, err := db.Exec(text, args...); err != nil {
			b.Fatalf("%.80s: %v", text, err)
		}
	}
}
