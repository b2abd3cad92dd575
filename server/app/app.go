package app

import (
	"context"
	"fmt"
	"net/http"
	"sync/atomic"
	"time"

	"tracewright/models/store"
	"tracewright/models/words"
	"tracewright/models/work/access"
	"tracewright/models/work/assembly"
	"tracewright/models/work/attention"
	"tracewright/models/work/backup"
	"tracewright/models/work/build"
	"tracewright/models/work/capture"
	"tracewright/models/work/claims"
	"tracewright/models/work/corrective"
	"tracewright/models/work/defects"
	"tracewright/models/work/documents"
	"tracewright/models/work/effect"
	"tracewright/models/work/failures"
	"tracewright/models/work/finder"
	"tracewright/models/work/gauges"
	"tracewright/models/work/goodness"
	"tracewright/models/work/labels"
	"tracewright/models/work/lists"
	"tracewright/models/work/lookup"
	"tracewright/models/work/monitor"
	"tracewright/models/work/nonconforming"
	"tracewright/models/work/privacy"
	"tracewright/models/work/recall"
	"tracewright/models/work/receive"
	"tracewright/models/work/release"
	"tracewright/models/work/returns"
	"tracewright/models/work/review"
	"tracewright/models/work/sealing"
	"tracewright/models/work/shelf"
	"tracewright/models/work/shipping"
	"tracewright/models/work/shop"
	"tracewright/models/work/specify"
	"tracewright/models/work/stands"
	"tracewright/models/work/stock"
	"tracewright/models/work/studies"
	"tracewright/models/work/trace"
	"tracewright/models/work/truing"
	"tracewright/models/work/watch"
	"tracewright/server/httpx"
	"tracewright/server/public"
)

// App is a server that is ready to answer.
type App struct {
	Store    *store.Store
	Services httpx.Services
	Handler  http.Handler
	Public   http.Handler // for strangers, on a listener of its own

	config   Config
	sessions *store.Sessions
	stopping atomic.Bool
}

// Open opens the database, brings its schema up to date and builds everything
// above it. Close ends it.
func Open(ctx context.Context, config Config) (*App, error) {
	config = config.settled()
	s, err := store.Open(ctx, config.Database, store.Options{})
	if err != nil {
		return nil, err
	}
	var before func(context.Context) error
	if config.BeforeUpgrade != nil {
		before = func(ctx context.Context) error { return config.BeforeUpgrade(ctx, s) }
	}
	applied, err := s.MigrateAfter(ctx, before)
	if err == nil && config.AfterUpgrade != nil {
		err = config.AfterUpgrade(ctx)
	}
	if err != nil {
		s.Close()
		return nil, err
	}
	if len(applied) > 0 {
		config.Log.Info("schema brought up to date", "migrations", len(applied))
	}
	a, err := New(s, config)
	if err == nil && config.Keys != nil {
		err = a.Services.Sealing.Begin(ctx)
	}
	if err != nil {
		s.Close()
		return nil, err
	}
	return a, nil
}

// New builds the services and routes over an open database whose schema is up
// to date.
func New(s *store.Store, config Config) (*App, error) {
	config = config.settled()
	people := access.New(s, config.Now, config.Cost)
	// The session library dates sessions by the wall clock, so their end is
	// compared with it too.
	a := &App{Store: s, config: config, sessions: s.Sessions(time.Now)}
	sessions := httpx.NewSessions(a.sessions, people, config.Now, httpx.SessionOptions{Secure: config.TLS, Log: config.Log})
	if config.DemoAs != "" {
		sessions.SignInByItself(config.DemoAs)
	}
	settings := shop.New(s, config.Now)
	shelves := shelf.New(s, config.Now, settings.Zone)
	recorder := capture.New(s, config.Now, settings.Zone)
	released := release.New(s, config.Now, settings.Zone, drawCertificate)
	sealed := sealing.Options{Keys: config.Keys, Copies: config.Copies, Server: config.Server, Now: config.Now, Log: config.Log}
	if config.Metrics != nil {
		sealed.Sealed = config.Metrics.Sealed
	}
	seals := sealing.New(s, sealed)
	if config.Keys != nil {
		config.Sealing = seals
	}
	released.SealBy(config.Sealing)
	var backups backup.Place
	if config.Backups != nil {
		backups = config.Backups(s)
	}
	blocks := stock.New(s, recorder, config.Now, settings.Zone)
	recorder.Heed(blocks.Against)
	released.Heed(blocks.Against)
	goods, built := receive.New(s, config.Now, settings.Zone), assembly.New(s, config.Now, settings.Zone)
	charts := monitor.New(s, config.Now, settings.Zone)
	ships := shipping.New(s, shelves.ReadyUntil, config.Now, settings.Zone)
	called, gauged, specified := recall.New(s, config.Now, settings.Zone), gauges.New(s, recorder, config.Now, settings.Zone), specify.New(s, config.Now)
	watched := watch.New(s, charts, watch.Options{Sealed: seals.Listen, Rules: judgedBy(charts, config.Version), Zone: settings.Zone, Now: config.Now, Log: config.Log})
	backed := backup.New(s, backup.Options{Place: backups, Keys: config.RecoveryKeys, Alone: s.AloneAtBackups, Now: config.Now, Zone: settings.Zone, Log: config.Log})
	kept := privacy.New(s, config.Now)
	needs := attention.New(s, needed{recalls: called, gauges: gauged, shelf: shelves, goods: goods, blocks: blocks, specify: specified, seals: seals, signals: watched.Open, backups: backed, dialect: s.Dialect(), people: people, privacy: kept}.sources(), config.Now, settings.Zone)
	asked := questions{store: s, zone: settings.Zone, attention: needs, charts: charts, watch: watched, goodness: goodness.New(s, charted(charts), config.Now), failures: failures.New(s, config.Now, settings.Zone),
		finder: finder.New(s, config.Now, settings.Zone), effect: effect.New(s, config.Now, settings.Zone), returns: returns.New(s, config.Now, settings.Zone)}
	a.Services = httpx.Services{
		Access: people, Sessions: sessions, Shop: settings,
		Capture:  recorder,
		Release:  released,
		Gauges:   gauged,
		Specify:  specified,
		Receive:  goods,
		Labels:   labels.New(s, config.Now, settings.Zone, drawLabels),
		Monitor:  charts,
		Trace:    trace.New(s),
		Truing:   truing.New(s, config.Now),
		Build:    build.New(s, config.Now),
		Stock:    blocks,
		Studies:  studies.New(s, config.Now),
		Shelf:    shelves,
		Shipping: ships,
		Recall:   called,
		Assembly: built,
		Sealing:  seals,
		Privacy:  kept,
		Backups:  backed,

		Documents: documents.New(s, config.Now),
		Claims:    claims.New(s, config.Now, settings.Zone),

		Nonconforming: nonconforming.New(s, config.Now, settings.Zone),
		Corrective:    corrective.New(s, config.Now, settings.Zone),
		Defects:       defects.New(s, config.Now),
		Watch:         watched,
		Failures:      asked.failures,
		Finder:        asked.finder,
		Effect:        asked.effect,
		Goodness:      asked.goodness,
		Returns:       asked.returns,
		Attention:     needs,
		Reviews:       review.New(s, asked.sources(), drawReview, config.Now, settings.Zone),

		Lists: lists.New(s, lists.Checks{Materials: goods.Materials, Lots: goods.CheckLots, Parts: built.Check, Customer: ships.CheckCustomer, Reason: ships.ReasonToLook},
			lists.Words{Stage: english.Stage, Result: english.Result, Unit: words.Unit, Verdict: english.Verdict}, config.Now, settings.Zone),

		Stands: stands.New(config.Now), Authority: config.Authority,
		Log: config.Log, Now: config.Now, Ready: a.ready, Stopping: a.stopping.Load, Version: config.Version,
	}
	if config.Metrics != nil {
		a.count(config.Metrics, s, recorder)
	}
	handler, err := router(a.Services, config)
	if err != nil {
		return nil, fmt.Errorf("mount the routes: %w", err)
	}
	a.Handler = handler
	a.Public = public.New(lookup.New(s, config.Now, settings.Zone), public.Options{Proxied: config.Proxied, OnlyTLS: config.onlyTLS(), Now: config.Now, Log: config.Log})
	return a, nil
}

// judgedBy says what charts are judged by: by limits for the owner's budget of false
// alarms, and by this version of the program.
func judgedBy(charts *monitor.Service, version string) func(context.Context) (string, error) {
	return func(ctx context.Context) (string, error) {
		d, err := charts.Design(ctx)
		return fmt.Sprintf("%g points, %s", d.RunLength, version), err
	}
}

// Seal numbers and signs the log of changes until ctx ends, and once more then.
func (a *App) Seal(ctx context.Context) { a.Services.Sealing.Run(ctx) }

// Watch keeps the signals of the charts up to date, and tells pages what came,
// until ctx ends.
func (a *App) Watch(ctx context.Context) { a.Services.Watch.Run(ctx) }

// Close ends what Open began.
func (a *App) Close() error {
	a.Services.Finder.Close()
	return a.Store.Close()
}
