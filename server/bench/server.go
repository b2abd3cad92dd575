package bench

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"net"
	"net/http"
	"strings"
	"sync"
	"time"

	"tracewright/models"
	"tracewright/models/store"
	"tracewright/models/work/sealing"
	"tracewright/server/app"
	"tracewright/server/httpx"
)

// Server is the whole server on a listener of its own, asked as its tablets ask.
type Server struct {
	Shop   *Shop
	app    *app.App
	lines  lines
	signed string // lines of a header: who asks
	bodies bodies
	stop   func() error
}

// Beside is what goes on beside the requests.
type Beside struct {
	Keys sealing.Keys // the log is sealed; nil: it is not
	// Charts are watched and counts folded too, as by the program's own serve.
	Everything bool
}

// Serve starts a server over a shop's store. Close ends it, and with it the store.
func Serve(ctx context.Context, shop *Shop, beside Beside) (*Server, error) {
	a, err := app.New(shop.Store, app.Config{Keys: beside.Keys, Log: slog.New(slog.DiscardHandler)})
	if err != nil {
		return nil, err
	}
	if beside.Keys != nil {
		if err := a.Services.Sealing.Begin(ctx); err != nil {
			return nil, err
		}
	}
	listener, err := (&net.ListenConfig{}).Listen(ctx, "tcp", "127.0.0.1:0")
	if err != nil {
		return nil, fmt.Errorf("listen: %w", err)
	}
	running, cancel := context.WithCancel(context.WithoutCancel(ctx))
	ended := make(chan error, 1)
	run := a.Run
	if !beside.Everything {
		run = func(ctx context.Context, listener, _ net.Listener) error { return alone(ctx, a, listener) }
	}
	go func() { ended <- run(running, listener, nil) }()
	s := &Server{Shop: shop, app: a, lines: lines{host: listener.Addr().String()}}
	s.stop = func() error { cancel(); return <-ended }
	var signed strings.Builder
	header := http.Header{}
	shop.sign(header)
	if err = header.Write(&signed); err != nil {
		return nil, err
	}
	s.signed = signed.String()
	if s.bodies, err = newBodies(); err != nil {
		return nil, err
	}
	return s, nil
}

// alone answers, and seals where there are keys.
func alone(ctx context.Context, a *app.App, listener net.Listener) error {
	app.Tune()
	server := &http.Server{Handler: a.Handler, ReadHeaderTimeout: time.Minute}
	var sealed sync.WaitGroup
	sealed.Go(func() { a.Seal(ctx) })
	go func() { <-ctx.Done(); server.Shutdown(context.WithoutCancel(ctx)) }()
	err := server.Serve(listener)
	sealed.Wait()
	if errors.Is(err, http.ErrServerClosed) {
		err = nil
	}
	return errors.Join(err, a.Close())
}

// Close finishes what is in flight and closes the database.
func (s *Server) Close() error {
	s.lines.hangUp()
	return s.stop()
}

// ask sends a request as the operator at the tablet, and takes the whole answer.
func (s *Server) ask(ctx context.Context, method, path, body string, want int) error {
	status, answer, err := s.lines.ask(ctx, method, path, s.signed, body)
	if err != nil {
		return err
	}
	if status != want {
		return fmt.Errorf("%s %s answered %d: %s", method, path, status, answer)
	}
	return nil
}

func (s *Shop) sign(h http.Header) {
	h.Set("Authorization", "Bearer "+s.Key)
	h.Set(httpx.PersonHeader, s.Operator.PersonID)
	h.Set("Content-Type", "application/json")
}

// Post sends a wheel of 108 readings.
func (s *Server) Post(ctx context.Context, serial string) error {
	return s.ask(ctx, http.MethodPost, "/api/v1/inspections", s.bodies.of(models.NewID(), serial), http.StatusCreated)
}

// Look asks for everything about an item.
func (s *Server) Look(ctx context.Context, serial string) error {
	return s.ask(ctx, http.MethodGet, "/api/v1/items/"+serial, "", http.StatusOK)
}

// Settled waits until what changed is sealed: what was done before is not what
// is measured next.
func Settled(ctx context.Context, s *store.Store) error {
	for {
		n, err := s.UnsealedCount(ctx)
		if err != nil || n == 0 {
			return err
		}
		select {
		case <-ctx.Done():
			return ctx.Err()
		case <-time.After(10 * time.Millisecond):
		}
	}
}

// Draft saves a wheel in the making, as a stand does after each reading.
func (s *Server) Draft(ctx context.Context, id, serial string, version int) error {
	want := http.StatusOK
	if version == 0 {
		want = http.StatusCreated
	}
	return s.ask(ctx, http.MethodPut, "/api/v1/drafts/"+id, fmt.Sprintf(`{"version":%d,"content":%s}`, version, s.bodies.of(id, serial)), want)
}
