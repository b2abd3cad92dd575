package servertest

import (
	"bufio"
	"context"
	"log/slog"
	"net/http"
	"net/http/httptest"
	"path/filepath"
	"testing"
	"time"

	"tracewright/models"
	"tracewright/models/store/storetest"
	"tracewright/server/app"
	"tracewright/server/keyring"
)

const chartEvents = "/api/v1/charts/events"

// toCharts listens as a page with a chart does.
func (s *Shop) toCharts(t *testing.T, query string) *listener {
	t.Helper()
	server := httptest.NewServer(s.App.Handler)
	ctx, cancel := context.WithCancel(t.Context())
	t.Cleanup(func() { cancel(); server.Close() })
	r, err := http.NewRequestWithContext(ctx, http.MethodGet, server.URL+chartEvents+query, nil)
	if err != nil {
		t.Fatal(err)
	}
	s.sign[OperatorAtStand](r)
	r.Header.Set("Accept", "text/event-stream")
	answer, err := http.DefaultClient.Do(r)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { answer.Body.Close() })
	if answer.StatusCode != http.StatusOK {
		t.Fatalf("listen to charts: status %d", answer.StatusCode)
	}
	return &listener{t: t, lines: bufio.NewScanner(answer.Body), end: cancel}
}

// watching runs what a server runs beside its requests.
func (s *Shop) watching(t *testing.T) {
	t.Helper()
	ctx, stop := context.WithCancel(context.Background())
	ended := make(chan struct{}, 2)
	go func() { s.App.Seal(ctx); ended <- struct{}{} }()
	go func() { s.App.Watch(ctx); ended <- struct{}{} }()
	t.Cleanup(func() { stop(); <-ended; <-ended })
}

// A page with a chart learns of an inspection within two seconds: one that its own
// server took, one that another server over the same database did, and one where
// nothing is sealed.
func TestAChartLearnsOfAnInspectionWithinTwoSeconds(t *testing.T) {
	storetest.EachDSN(t, func(t *testing.T, dsn string) {
		first := On(t, storetest.Open(t, dsn))
		wheels := *first.Item[models.KindWheel].FamilyID
		learns := func(name string, page *listener, taker *Shop) {
			t.Helper()
			wheel := taker.AnotherWheel()
			sub := taker.Extremes()
			sub.Serial = *wheel.Serial
			began := time.Now()
			taker.run(t, Row{Name: name, Who: OperatorAtStand, Path: "/api/v1/inspections", Body: sub, Status: http.StatusCreated})
			got, data, ok := page.next()
			took := time.Since(began)
			if !ok || got != "changed" || data["family"] != wheels || data["result"] != "lateral_tir" || data["place"] != "stand 1" || data["product"] != *wheel.ProductID {
				t.Fatalf("%s: %s %v %v", name, got, data, ok)
			}
			t.Logf("%s: after %v", name, took.Round(time.Millisecond))
			if took > 2*time.Second {
				t.Errorf("%s: told after %v, at most 2 s", name, took)
			}
		}
		query := "?family=" + wheels + "&place=stand+1&result=lateral_tir"
		ready := func(s *Shop) *listener {
			t.Helper()
			page := s.toCharts(t, query)
			if got, _, ok := page.next(); !ok || got != "ready" {
				t.Fatalf("%s %v, want ready", got, ok)
			}
			time.Sleep(300 * time.Millisecond) // Its first look at the log is over: what it tells of came after.
			return page
		}
		first.watching(t)
		unsealed := ready(first)
		learns("nothing is sealed", unsealed, first)

		keys, err := keyring.Open(filepath.Join(t.TempDir(), "keys"))
		first.Must(err)
		second := *first
		second.App, err = app.New(storetest.Open(t, dsn), app.Config{Now: first.Clock, Keys: keys, Cost: cheap, Log: slog.New(slog.DiscardHandler)})
		first.Must(err)
		first.Must(second.App.Services.Sealing.Begin(t.Context()))
		_, err = second.App.Services.Sealing.Seal(t.Context()) // What waits from before is no news.
		first.Must(err)
		second.watching(t)
		sealed := ready(&second)
		learns("by this server", sealed, &second)
		learns("by another server", sealed, first)
		learns("by another server, again", sealed, first)
	})
}

// Who may listen, and what is refused.
func TestListeningToCharts(t *testing.T) {
	s := On(t, openSQLite(t))
	s.Run(t, []Row{
		{Name: "in the office", Who: Desk, Path: chartEvents + "?follow=no", Status: http.StatusOK, Headers: map[string]string{"Content-Type": "text/event-stream", "Cache-Control": "no-store"}, Has: []string{"event: ready\n", "retry: "}},
		{Name: "by nobody", Path: chartEvents + "?follow=no", Status: http.StatusUnauthorized},
		{Name: "about a family nobody knows", Who: Desk, Path: chartEvents + "?follow=no&family=x", Status: http.StatusOK},
		{Name: "by a question nobody knows", Who: Desk, Path: chartEvents + "?since=1", Status: http.StatusUnprocessableEntity},
	})
	page := s.toCharts(t, "")
	if got, _, ok := page.next(); !ok || got != "ready" {
		t.Fatalf("%s %v, want ready", got, ok)
	}
	s.App.Services.Watch.Close()
	if got, _, more := page.next(); more || page.lines.Err() != nil {
		t.Errorf("told to stop, it goes on with %s, %v", got, page.lines.Err())
	}
	s.run(t, Row{Who: Desk, Path: chartEvents, Status: http.StatusServiceUnavailable})
}
