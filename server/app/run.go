package app

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"net"
	"net/http"
	"time"
)

// stopWithin is how long requests in flight may take to finish once the server
// is told to stop.
const stopWithin = 20 * time.Second

// Run answers on a listener until ctx ends; then what is in flight finishes,
// and the database is closed.
func (a *App) Run(ctx context.Context, listener net.Listener) error {
	Tune()
	server := &http.Server{
		Handler: a.Handler, ReadHeaderTimeout: 10 * time.Second, ReadTimeout: 60 * time.Second, WriteTimeout: 60 * time.Second, IdleTimeout: 2 * time.Minute,
		MaxHeaderBytes: 64 << 10,
		ErrorLog:       slog.NewLogLogger(a.config.Log.Handler(), slog.LevelDebug), // connections that strangers break off
	}
	// Pages that listen to a gauge would go on for minutes; they come back to
	// whoever answers next.
	server.RegisterOnShutdown(a.Services.Stands.Close)
	failed := make(chan error, 1)
	go func() { failed <- server.Serve(listener) }()
	go a.clearSessions(ctx)
	var err error
	select {
	case err = <-failed:
	case <-ctx.Done():
		stopping, cancel := context.WithTimeout(context.WithoutCancel(ctx), stopWithin)
		defer cancel()
		if err = server.Shutdown(stopping); err == nil {
			err = <-failed
		}
	}
	if errors.Is(err, http.ErrServerClosed) {
		err = nil
	}
	if closing := a.Close(); err == nil {
		err = closing
	}
	if err != nil {
		return fmt.Errorf("serve: %w", err)
	}
	return nil
}

// clearSessions takes away what has run out, once an hour.
func (a *App) clearSessions(ctx context.Context) {
	tick := time.NewTicker(time.Hour)
	defer tick.Stop()
	for {
		if err := a.sessions.DeleteExpired(ctx); err != nil && ctx.Err() == nil {
			a.config.Log.Warn("sessions that ran out are still there", "cause", err)
		}
		select {
		case <-ctx.Done():
			return
		case <-tick.C:
		}
	}
}
