package app

import (
	"context"
	"errors"
	"fmt"
	"log"
	"log/slog"
	"net"
	"net/http"
	"slices"
	"time"

	"tracewright/models/work/attention"
)

// stopWithin is how long requests in flight may take to finish once the server
// is told to stop.
const stopWithin = 20 * time.Second

// Run answers on a listener, and strangers on one of their own where public is
// not nil, until ctx ends; then what is in flight finishes, what it changed is
// sealed, and the database is closed. When one listener fails, the other ends too.
func (a *App) Run(ctx context.Context, listener, public net.Listener) error {
	Tune()
	servers := []*http.Server{a.server()}
	failed := make(chan error, 2)
	go func() { failed <- servers[0].Serve(listener) }()
	if public != nil {
		strangers := a.publicServer()
		servers = append(servers, strangers)
		go func() { failed <- strangers.Serve(public) }()
	}
	stopClearing := beside(ctx, a.kept("clearing sessions", a.clearSessions))
	stopWarming := beside(ctx, a.kept("warming up", a.warm))
	stopFolding := beside(ctx, a.kept("summing up", a.fold))
	stopResting := beside(ctx, a.kept("resting", a.rest))
	stopBackups := beside(ctx, a.kept("backups", a.Services.Backups.Run))
	stopWatching := beside(ctx, a.kept("watching charts", a.Watch))
	stopSealing := beside(context.WithoutCancel(ctx), a.kept("sealing", a.Seal))
	var causes []error
	running := len(servers)
	select {
	case err := <-failed:
		causes, running = append(causes, err), running-1
	case <-ctx.Done():
	}
	a.stopping.Store(true)
	if ctx.Err() != nil && a.config.StopDelay > 0 {
		time.Sleep(a.config.StopDelay) // Whoever sends work here sees that it should not.
	}
	stopping, cancel := context.WithTimeout(context.WithoutCancel(ctx), stopWithin)
	defer cancel()
	for _, server := range servers {
		causes = append(causes, server.Shutdown(stopping))
	}
	for range running {
		causes = append(causes, <-failed)
	}
	stopClearing()
	stopWarming()
	stopWatching()
	stopResting()
	stopFolding()
	stopBackups() // One that was begun breaks off, and leaves no half.
	stopSealing()
	causes = append(causes, a.Close())
	told := ctx.Err() != nil
	causes = slices.DeleteFunc(causes, func(err error) bool {
		// Whoever shares a listener, as plain HTTP beside TLS does, may have closed it
		// first when both were told to stop.
		return errors.Is(err, http.ErrServerClosed) || told && errors.Is(err, net.ErrClosed)
	})
	if err := errors.Join(causes...); err != nil {
		return fmt.Errorf("serve: %w", err)
	}
	return nil
}

// warm asks once what the first page of the morning asks: the shelf is then read into
// memory, and statements are prepared, before anybody waits for them. What goes wrong is
// said to whoever asks next.
func (a *App) warm(ctx context.Context) {
	if _, err := a.Services.Attention.List(ctx, attention.Everybody); err != nil && ctx.Err() == nil {
		a.config.Log.Debug("what needs attention cannot be read ahead", "cause", err)
	}
}

// beside runs work beside the server; stop ends it and waits for that.
func beside(ctx context.Context, work func(context.Context)) (stop func()) {
	ctx, cancel := context.WithCancel(ctx)
	done := make(chan struct{})
	go func() { work(ctx); close(done) }()
	return func() {
		cancel()
		<-done
	}
}

// server answers the shop's own people.
func (a *App) server() *http.Server {
	server := &http.Server{
		Handler: a.Handler, ReadHeaderTimeout: 10 * time.Second, ReadTimeout: 60 * time.Second, WriteTimeout: 60 * time.Second, IdleTimeout: 2 * time.Minute,
		MaxHeaderBytes: 64 << 10, DisableGeneralOptionsHandler: true,
		ErrorLog: a.quietly(),
	}
	// Pages that listen to a gauge or a chart would go on for minutes; they come
	// back to whoever answers next.
	server.RegisterOnShutdown(a.Services.Stands.Close)
	server.RegisterOnShutdown(a.Services.Watch.Close)
	return server
}

// publicServer answers strangers, who ask little and wait for little.
func (a *App) publicServer() *http.Server {
	return &http.Server{
		Handler: a.Public, ReadHeaderTimeout: 5 * time.Second, ReadTimeout: 10 * time.Second, WriteTimeout: 15 * time.Second, IdleTimeout: 20 * time.Second,
		MaxHeaderBytes: 8 << 10, DisableGeneralOptionsHandler: true,
		ErrorLog: a.quietly(),
	}
}

// quietly is for what strangers break off.
func (a *App) quietly() *log.Logger {
	return slog.NewLogLogger(a.config.Log.Handler(), slog.LevelDebug)
}

// clearWithin bounds one turn: a database that says nothing is asked again later.
const clearWithin = time.Minute

// clearSessions takes away what has run out, once an hour.
func (a *App) clearSessions(ctx context.Context) {
	tick := time.NewTicker(time.Hour)
	defer tick.Stop()
	for {
		within, cancel := context.WithTimeout(ctx, clearWithin)
		err := a.sessions.DeleteExpired(within)
		cancel()
		if err != nil && ctx.Err() == nil {
			a.config.Log.Warn("sessions that ran out are still there", "cause", err)
		}
		if err := a.Services.Access.Forget(ctx); err != nil && ctx.Err() == nil {
			a.config.Log.Warn("counters of old tries are still there", "cause", err)
		}
		select {
		case <-ctx.Done():
			return
		case <-tick.C:
		}
	}
}
