package main

import (
	"bufio"
	"context"
	"net/http"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"tracewright/models"
	"tracewright/models/store/storetest"
	"tracewright/models/work/access"
	"tracewright/models/work/worktest"
	"tracewright/server/httpx"
)

// Two servers on one PostgreSQL, both at work; one is killed. The other goes on, seals
// what both have stored, and its pages hear of gauges; then the first comes back.
func TestTwoServersOneKilled(t *testing.T) {
	if testing.Short() {
		t.Skip("builds the program and kills it")
	}
	dsn := storetest.NeedPostgres(t)
	binary, folder := build(t), t.TempDir()
	one, two := filepath.Join(folder, "one"), filepath.Join(folder, "two")
	if err := startedOn(t, dsn, one); err != nil {
		t.Fatal(err)
	}
	if err := startedOn(t, dsn, two); err == nil {
		t.Fatal("a second server that nobody enrolled seals")
	}
	says(t, "enrol", command(t, "", "keys", "enrol", filepath.Join(two, onlyKey(t, two)+".pub"), "--server", "two", "--database", dsn, "--keys", one), 0, "may sign", "")
	shop := worktest.On(t, storetest.Open(t, dsn))
	shop.Now = time.Now()
	key, _, err := access.New(shop.Store, time.Now, access.Cost{}).Enrol(t.Context(), shop.Owner, "stand 1", "stand 1")
	shop.Must(err)
	first := &killed{binary: binary, database: dsn, keys: one, device: key, person: shop.Operator.PersonID}
	second := &killed{binary: binary, database: dsn, keys: two, device: key, person: shop.Operator.PersonID}
	first.start(t)
	second.start(t)
	defer first.kill()
	defer second.kill()
	at := func(k *killed, wheels int) (*served, *work) {
		s := &served{T: t, database: dsn, direct: dsn, keys: one, shop: shop, address: strings.TrimPrefix(k.address, "http://"), device: key, stop: func() {}}
		for range wheels {
			s.serials = append(s.serials, *shop.AnotherWheel().Serial)
		}
		return s, s.works(s.address, patient)
	}
	here, theirs := at(first, 3)
	stays, ours := at(second, 3)
	for round := range 1 + int(faultFor(0)/(10*time.Second)) {
		here.more(theirs, 10)
		stays.more(ours, 10)
		first.kill()
		stays.more(ours, 10)
		sealed(t, shop)
		if round == 0 {
			hears(stays)
		}
		stays.unavailableNot()
		first.start(t)
		// Whoever stood at the first goes on there, under its new address.
		theirs.end()
		theirs.wait.Wait()
		here.address = strings.TrimPrefix(first.address, "http://")
		for id, body := range theirs.open {
			here.until("send again", 20*time.Second, func() bool { return here.send(theirs, patient, here.address, id, body) })
		}
		next := here.works(here.address, patient)
		for id := range theirs.answered {
			next.answered[id] = true
		}
		theirs = next
		here.more(theirs, 5)
	}
	ours.end()
	ours.wait.Wait()
	for id := range ours.answered {
		theirs.answered[id] = true
	}
	for id, body := range ours.open {
		stays.until("send again", 20*time.Second, func() bool { return stays.send(theirs, patient, stays.address, id, body) })
	}
	here.serials = append(here.serials, stays.serials...)
	here.settled(theirs)
}

// unavailableNot holds that nothing was refused at a server that stayed.
func (s *served) unavailableNot() {
	s.Helper()
	if got := s.page("/"); got.status != http.StatusOK {
		s.Errorf("the server that stayed: %d %.500s", got.status, got.body)
	}
}

// sealed waits until what has been stored by now is in the chain.
func sealed(t *testing.T, shop *worktest.Shop) {
	t.Helper()
	head, err := shop.Store.TrailHead(t.Context())
	shop.Must(err)
	waiting, err := shop.Store.UnsealedCount(t.Context())
	shop.Must(err)
	for range 1000 {
		now, err := shop.Store.TrailHead(t.Context())
		shop.Must(err)
		if now.Size >= head.Size+int64(waiting) {
			return
		}
		time.Sleep(10 * time.Millisecond)
	}
	t.Errorf("ten seconds after a server was killed, %d entries wait still", waiting)
}

// hears holds that a page which comes from a server that is gone hears of the gauge at
// its stand through the one that stayed.
func hears(s *served) {
	s.Helper()
	ctx, cancel := context.WithTimeout(s.Context(), 20*time.Second)
	defer cancel()
	r, err := http.NewRequestWithContext(ctx, http.MethodGet, "http://"+s.address+"/api/v1/stands/stand%201/events", nil)
	s.shop.Must(err)
	r.Header.Set("Authorization", "Bearer "+s.device)
	r.Header.Set(httpx.PersonHeader, s.shop.Operator.PersonID)
	r.Header.Set("Accept", "text/event-stream")
	r.Header.Set("Last-Event-ID", "another-start-17")
	stream, err := http.DefaultClient.Do(r)
	if err != nil {
		s.Fatal(err)
	}
	defer stream.Body.Close()
	lines := bufio.NewScanner(stream.Body)
	wait := func(what string) {
		for lines.Scan() {
			if strings.Contains(lines.Text(), what) {
				return
			}
		}
		s.Errorf("the stream of the stand ended before %q: %v", what, lines.Err())
	}
	wait("event: ready")
	got, err := s.ask(patient, s.address, http.MethodPost, "/api/v1/stands/stand%201/readings", "application/json",
		[]byte(`{"id":"`+models.NewID()+`","value":"0.07","unit":"mm","instrument":"D-1"}`))
	if err != nil || got.status >= http.StatusBadRequest {
		s.Fatalf("a gauge sends: %d %v %s", got.status, err, got.body)
	}
	wait("0.07")
}
