package main

import (
	"database/sql"
	"io"
	"log/slog"
	"net/http"
	"net/http/httptest"
	"slices"
	"strings"
	"testing"
	"time"

	"tracewright/models"
	"tracewright/models/store/storetest"
	"tracewright/models/work/access"
	"tracewright/models/work/worktest"
	"tracewright/server/app"
	"tracewright/server/httpx"
)

// BenchmarkItem asks for one item among 100,000: its page and its JSON, each
// as the server makes it, without the network. The item has three inspections.
func BenchmarkItem(b *testing.B) {
	dsn := storetest.SQLite(b)
	s := storetest.Open(b, dsn)
	shop := worktest.On(b, s)
	shop.Now = time.Now()
	for range 3 {
		sub := shop.EveryHole()
		sub.StartedAt, sub.FinishedAt = shop.Now.Add(-time.Hour), shop.Now.Add(-time.Minute)
		if _, err := shop.Record(sub); err != nil {
			b.Fatal(err)
		}
	}
	crowd(b, dsn, 100_000)
	key, _, err := access.New(s, time.Now, access.Cost{}).Enrol(b.Context(), shop.Owner, "stand 1", "stand 1")
	if err != nil {
		b.Fatal(err)
	}
	a, err := app.New(s, app.Config{Log: slog.New(slog.NewTextHandler(io.Discard, nil))})
	if err != nil {
		b.Fatal(err)
	}
	serial := shop.Serial[models.KindWheel]
	for name, path := range map[string]string{"page": "/items/" + serial, "json": "/api/v1/items/" + serial, "tail": "/api/v1/items?find=" + serial[4:]} {
		b.Run(name, func(b *testing.B) {
			var took []time.Duration
			for b.Loop() {
				r := httptest.NewRequest(http.MethodGet, path, nil)
				r.Host = "localhost"
				r.Header.Set("Authorization", "Bearer "+key)
				r.Header.Set(httpx.PersonHeader, shop.Operator.PersonID)
				w := httptest.NewRecorder()
				began := time.Now()
				a.Handler.ServeHTTP(w, r)
				took = append(took, time.Since(began))
				if w.Code != http.StatusOK {
					b.Fatalf("answered %d: %s", w.Code, w.Body)
				}
			}
			slices.Sort(took)
			b.ReportMetric(float64(took[len(took)/2].Microseconds())/1000, "ms-median")
		})
	}
}

// crowd adds so many items to a SQLite file, past the program.
func crowd(b *testing.B, dsn string, n int) {
	b.Helper()
	db, err := sql.Open("sqlite", strings.TrimPrefix(dsn, "sqlite:"))
	if err != nil {
		b.Fatal(err)
	}
	defer db.Close()
	_, err = db.Exec(`WITH RECURSIVE n(i) AS (SELECT 1 UNION ALL SELECT i + 1 FROM n WHERE i < ?)
INSERT INTO items (id, kind, serial, serial_tail, supplier, model, family_id, product_id, state, origin, created_at, created_by)
SELECT printf('%08x-0000-7000-8000-%012x', i, i), t.kind, printf('W25%06d', i), printf('%05d', i % 100000), '', '', t.family_id, t.product_id, 'conforming', 'made', t.created_at, t.created_by
FROM n, (SELECT * FROM items WHERE kind = 'wheel' LIMIT 1) AS t`, n)
	if err == nil {
		_, err = db.Exec("ANALYZE")
	}
	if err != nil {
		b.Fatal(err)
	}
}
