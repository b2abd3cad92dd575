package bench

import (
	"context"
	"fmt"
	"log/slog"
	"net/http"
	"sync/atomic"
	"time"

	"tracewright/server/app"
)

// turns gives the numbers below n in turn, to any number of clients.
func turns(n int) func() int {
	var next atomic.Int64
	return func() int { return int(next.Add(1) % int64(n)) }
}

// statements are those that a look-up of each serial reads by, with their
// values, in a server that has answered before.
func (s *Server) statements(ctx context.Context, serials []string) ([][]string, error) {
	var told []string
	watched := s.Shop.Store.Watched(func(statement string) { told = append(told, statement) })
	a, err := app.New(watched, app.Config{Log: slog.New(slog.DiscardHandler)})
	if err != nil {
		return nil, err
	}
	defer a.Services.Finder.Close()
	look := func(serial string) error {
		told = nil
		r, err := http.NewRequestWithContext(ctx, http.MethodGet, "http://localhost/api/v1/items/"+serial, http.NoBody)
		if err != nil {
			return err
		}
		r.RemoteAddr = "127.0.0.1:1"
		s.Shop.sign(r.Header)
		answer := taken{header: http.Header{}}
		a.Handler.ServeHTTP(&answer, r)
		if answer.status != http.StatusOK {
			return fmt.Errorf("look up %s: answered %d: %.400s", serial, answer.status, answer.body)
		}
		return nil
	}
	all := make([][]string, len(serials))
	if err := look(serials[0]); err != nil {
		return nil, err
	}
	for i, serial := range serials {
		if err := look(serial); err != nil {
			return nil, err
		}
		all[i] = told
	}
	return all, nil
}

// taken is an answer that goes nowhere.
type taken struct {
	header http.Header
	status int
	body   []byte
}

// Header implements http.ResponseWriter.
func (t *taken) Header() http.Header { return t.header }

// WriteHeader implements http.ResponseWriter.
func (t *taken) WriteHeader(status int) { t.status = status }

// Write implements http.ResponseWriter.
func (t *taken) Write(b []byte) (int, error) {
	if t.status == 0 {
		t.status = http.StatusOK
	}
	t.body = append(t.body, b...)
	return len(b), nil
}

// lookedUp is how many items are looked up in turn.
const lookedUp = 20

// measureLook asks for items as a whole, and has the database answer the same
// statements by itself.
func (m *measuring) measureLook(ctx context.Context) error {
	serials := m.serials[1:min(1+lookedUp, len(m.serials))] // The first that were measured.
	looks, err := m.server.statements(ctx, serials)
	if err != nil {
		return err
	}
	next := turns(len(serials))
	ours := func(during time.Duration) (float64, error) {
		return closed(ctx, Clients, during, func(ctx context.Context) error { return m.server.Look(ctx, serials[next()]) })
	}
	// Each connection plans each statement some times before it keeps a plan; that is
	// not what is measured, on either side. The client has each text once, with its
	// values in it, so that it too has little to plan.
	if _, err := ours(m.options.During / 4); err != nil {
		return fmt.Errorf("look items up: %w", err)
	}
	rate, raw, err := m.inTurn(ctx, ours, func(during time.Duration) (float64, error) {
		if m.place.Kind() == SQLite {
			return rawLooks(ctx, m.place.file, looks[:1], during)
		}
		return m.place.rawLooks(ctx, m.options.Pgbench, looks[:1], during)
	})
	if err != nil {
		return fmt.Errorf("look items up: %w", err)
	}
	f := Figure{Name: Look, Value: rate, Unit: "items/s", Against: raw, With: m.with(), Statements: len(looks[0]), Ratio: rate / raw}
	if m.place.Kind() == Postgres {
		f.atLeast(0.35)
	}
	m.add(f)
	return nil
}
