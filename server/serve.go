package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"net"

	"tracewright/models"
	"tracewright/server/app"
)

// databaseFlag is the same for every command that opens a database.
type databaseFlag struct {
	Database string `help:"Where the records lie: sqlite:PATH or postgres://USER@HOST/NAME." placeholder:"URL" required:"" env:"TRACEWRIGHT_DATABASE"`
}

type serveCommand struct {
	databaseFlag
	Listen  string   `help:"Address to listen on." default:"127.0.0.1:8080" env:"TRACEWRIGHT_LISTEN"`
	Host    []string `help:"Name under which browsers reach this server, if it is not its address; may be repeated." env:"TRACEWRIGHT_HOST"`
	Proxied bool     `help:"A proxy in front of this server speaks TLS: mark cookies for TLS only." env:"TRACEWRIGHT_PROXIED"`
	Verbose bool     `help:"Log refusals and what led to them." env:"TRACEWRIGHT_VERBOSE"`
}

// Help tells what the one line above cannot.
func (serveCommand) Help() string {
	return `The schema is brought up to date first. In a new database nobody is known yet: the address at which the first owner sets name and password is printed once.

On SIGTERM or Ctrl-C what is in flight finishes, then the database is closed.`
}

// Run serves until it is told to stop.
func (s *serveCommand) Run(ctx context.Context, std streams) error {
	log := logger(std.err, s.Verbose)
	a, err := app.Open(ctx, app.Config{Database: s.Database, Listen: s.Listen, Hosts: s.Host, TLS: s.Proxied, Version: version(), Log: log})
	if err != nil {
		return err
	}
	listener, err := net.Listen("tcp", s.Listen)
	if err != nil {
		a.Close()
		return fmt.Errorf("listen on %s: %w", s.Listen, err)
	}
	address := "http://" + reachable(listener.Addr())
	if err := inviteOwner(ctx, a, std.out, address); err != nil {
		listener.Close()
		a.Close()
		return err
	}
	fmt.Fprintf(std.out, "Tracewright answers at %s\n", address)
	return a.Run(ctx, listener)
}

// inviteOwner prints the one-time address for the first owner of a new shop.
func inviteOwner(ctx context.Context, a *app.App, out io.Writer, address string) error {
	token, err := a.Services.Access.FirstOwnerLink(ctx)
	if errors.Is(err, models.ErrConflict) {
		return nil
	}
	if err != nil {
		return err
	}
	fmt.Fprintf(out, "This shop has no owner yet. Within 24 hours, once, open\n\n  %s/setup/%s\n\n", address, token)
	return nil
}

// reachable is a listening address as this machine's browser would type it.
func reachable(addr net.Addr) string {
	host, port, err := net.SplitHostPort(addr.String())
	if err != nil {
		return addr.String()
	}
	if ip := net.ParseIP(host); ip != nil && ip.IsUnspecified() {
		host = "localhost"
	}
	return net.JoinHostPort(host, port)
}

func logger(w io.Writer, verbose bool) *slog.Logger {
	level := slog.LevelInfo
	if verbose {
		level = slog.LevelDebug
	}
	return slog.New(slog.NewTextHandler(w, &slog.HandlerOptions{Level: level}))
}
