package main

import (
	"context"
	"errors"
	"fmt"
	"net"
	"os"
	"path/filepath"
	"syscall"
	"time"

	"tracewright/server/app"
	"tracewright/server/keyring"
	"tracewright/server/logs"
)

type demoCommand struct {
	Fresh    bool    `help:"Throw the invented shop away and make it anew, up to today. Has no variable: it would do so at every start." env:"-"`
	Seed     *uint64 `help:"Another seed makes another shop." placeholder:"1" env:"TRACEWRIGHT_SEED"`
	Scenario string  `help:"What happened in it: story has five things to be found, quiet has none." enum:"story,quiet," default:"" placeholder:"story" env:"TRACEWRIGHT_SCENARIO"`
	Listen   string  `help:"Address to listen on, of this machine only." default:"127.0.0.1:8080" env:"TRACEWRIGHT_LISTEN"`
	Folder   string  `help:"Where the shop lies; by default a folder of its own among this account's caches." type:"path" env:"TRACEWRIGHT_DEMO_FOLDER"`
	Verbose  bool    `help:"Log refusals and what led to them." env:"TRACEWRIGHT_VERBOSE"`

	wheels, packs int // how many; 0 is the whole shop, tests make a small one
}

// Help tells what the one line above cannot.
func (demoCommand) Help() string {
	return `An invented workshop with nine months of wheels and packs, ready to use: what you change is kept for the next start. Nothing needs to be installed, and nothing leaves this machine. Whoever opens the address is its owner, so it answers to this machine alone.

  tracewright demo
  tracewright demo --fresh --seed 7 --scenario quiet`
}

// Run opens the shop, after making it where there is none, and serves it.
func (d *demoCommand) Run(ctx context.Context, std streams) error {
	listener, err := d.listen(ctx)
	if err != nil {
		return err
	}
	a, made, err := d.open(ctx, std)
	if err != nil {
		listener.Close()
		if ctx.Err() != nil {
			return nil // told to stop while the shop was being made
		}
		return err
	}
	if err := tour(ctx, std.out, a, made, "http://"+reachable(listener.Addr())); err != nil {
		listener.Close()
		a.Close()
		return err
	}
	return a.Run(ctx, listener, nil)
}

// listen takes the address, or any free port when only the usual one is taken.
// It refuses an address that others can reach: whoever came would be the owner.
func (d *demoCommand) listen(ctx context.Context) (net.Listener, error) {
	const usual = "127.0.0.1:8080"
	host, _, err := net.SplitHostPort(d.Listen)
	if err != nil {
		return nil, &exitError{2, fmt.Sprintf("tracewright: --listen %s: want HOST:PORT", d.Listen)}
	}
	if ip := net.ParseIP(host); host != "localhost" && (ip == nil || !ip.IsLoopback()) {
		return nil, &exitError{2, fmt.Sprintf("tracewright: --listen %s: the demo signs everybody in as its owner, so it listens on 127.0.0.1, ::1 or localhost only", d.Listen)}
	}
	listener, err := (&net.ListenConfig{}).Listen(ctx, "tcp", d.Listen)
	if errors.Is(err, syscall.EADDRINUSE) && d.Listen == usual {
		listener, err = (&net.ListenConfig{}).Listen(ctx, "tcp", "127.0.0.1:0")
	}
	if err != nil {
		return nil, fmt.Errorf("listen on %s: %w", d.Listen, err)
	}
	return listener, nil
}

func (d *demoCommand) open(ctx context.Context, std streams) (*app.App, demoShop, error) {
	folder, err := d.folder()
	if err != nil {
		return nil, demoShop{}, err
	}
	made, err := readShop(folder)
	switch {
	case d.Fresh, errors.Is(err, os.ErrNotExist):
		if made, err = d.makeShop(ctx, std, folder); err != nil {
			return nil, demoShop{}, err
		}
	case err != nil:
		return nil, demoShop{}, fmt.Errorf("%w; --fresh makes the shop anew", err)
	case d.Seed != nil && *d.Seed != made.Seed, d.Scenario != "" && d.Scenario != made.Scenario:
		return nil, demoShop{}, &exitError{2, fmt.Sprintf("tracewright: the shop in %s has seed %d and scenario %s; --fresh throws it away and makes another", folder, made.Seed, made.Scenario)}
	}
	keys, err := keyring.Open(filepath.Join(folder, demoKeys))
	if err != nil {
		return nil, demoShop{}, err
	}
	a, err := app.Open(ctx, app.Config{Database: "sqlite:" + filepath.Join(folder, demoDatabase), DemoAs: made.Owner, Version: version(), Log: logs.New(std.err, "text", d.Verbose),
		Keys: keys, Copies: keyring.CopyTo(filepath.Join(folder, demoCheckpoints)), Server: "the demo"})
	if err != nil {
		return nil, demoShop{}, fmt.Errorf("open the shop in %s: %w; --fresh makes it anew", folder, err)
	}
	return a, made, nil
}

func (d *demoCommand) folder() (string, error) {
	folder := d.Folder
	if folder == "" {
		caches, err := os.UserCacheDir()
		if err != nil {
			return "", fmt.Errorf("find a folder for the shop (--folder names one): %w", err)
		}
		folder = filepath.Join(caches, "tracewright-demo")
	}
	if err := os.MkdirAll(folder, 0o700); err != nil {
		return "", fmt.Errorf("make a folder for the shop: %w", err)
	}
	return folder, nil
}

// old says whether a shop has fallen behind today, as one made last month has.
func (s demoShop) old(now time.Time) bool { return now.Sub(s.MadeAt) > 7*24*time.Hour }
