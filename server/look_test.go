package main

import (
	"context"
	"log/slog"
	"net/http"
	"net/http/httptest"
	"testing"
	"time"

	"tracewright/models/store"
	"tracewright/models/store/storetest"
	"tracewright/server/app"
	"tracewright/server/bench"
	"tracewright/server/httpx"
)

// looked is a measured wheel in a shop of its own, and whoever looks it up.
func looked(t testing.TB, s *store.Store) (shop *bench.Shop, serial string) {
	t.Helper()
	shop, err := bench.NewShop(t.Context(), s, time.Now().AddDate(0, -1, 0))
	if err != nil {
		t.Fatal(err)
	}
	// Its own end closes the store; the test's closes it here.
	server, err := bench.Serve(context.WithoutCancel(t.Context()), shop, bench.Beside{})
	if err != nil {
		t.Fatal(err)
	}
	serials, err := shop.Wheels(t.Context(), 1)
	if err == nil {
		err = server.Post(t.Context(), serials[0])
	}
	if err != nil {
		t.Fatal(err)
	}
	return shop, serials[0]
}

func lookUp(t testing.TB, handler http.Handler, shop *bench.Shop, serial string) {
	t.Helper()
	r := httptest.NewRequest(http.MethodGet, "/api/v1/items/"+serial, http.NoBody)
	r.Host = "localhost"
	r.Header.Set("Authorization", "Bearer "+shop.Key)
	r.Header.Set(httpx.PersonHeader, shop.Operator.PersonID)
	w := httptest.NewRecorder()
	handler.ServeHTTP(w, r)
	if w.Code != http.StatusOK {
		t.Fatalf("look-up answered %d: %s", w.Code, w.Body)
	}
}

// mostAsked is how many statements a measured wheel is looked up by. More of them is
// a decision: each is time for everybody who looks.
const mostAsked = 29

// A wheel is looked up by few statements, none of which is asked twice.
func TestALookUpAsksLittle(t *testing.T) {
	storetest.Each(t, func(t *testing.T, s *store.Store) {
		shop, serial := looked(t, s)
		told := map[string]int{}
		a, err := app.New(s.Watched(func(statement string) { told[statement]++ }), app.Config{Log: slog.New(slog.DiscardHandler)})
		if err != nil {
			t.Fatal(err)
		}
		defer a.Services.Finder.Close()
		lookUp(t, a.Handler, shop, serial) // What never changes is remembered from here on.
		clear(told)
		lookUp(t, a.Handler, shop, serial)
		all := 0
		for statement, n := range told {
			if all += n; n > 1 {
				t.Errorf("asked %d times: %s", n, statement)
			}
		}
		if all == 0 || all > mostAsked {
			t.Errorf("asked %d statements, at most %d", all, mostAsked)
		}
	})
}

// BenchmarkLookUp looks a measured wheel up, without the network.
//
//	go test -run '^$' -bench LookUp -benchmem ./server
func BenchmarkLookUp(b *testing.B) {
	for name, dsn := range map[string]string{"sqlite": storetest.SQLite(b), "postgres": storetest.NeedPostgres(b)} {
		b.Run(name, func(b *testing.B) {
			s := storetest.Open(b, dsn)
			shop, serial := looked(b, s)
			a, err := app.New(s, app.Config{Log: slog.New(slog.DiscardHandler)})
			if err != nil {
				b.Fatal(err)
			}
			defer a.Services.Finder.Close()
			for range 10 { // Each connection plans what is asked some times before it keeps a plan.
				lookUp(b, a.Handler, shop, serial)
			}
			b.ReportAllocs()
			for b.Loop() {
				lookUp(b, a.Handler, shop, serial)
			}
		})
	}
}
