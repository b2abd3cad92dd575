package main

import (
	"math/rand/v2"
	"net/http"
	"testing"
	"time"

	"tracewright/models/store/storetest"
)

const away = "The database does not answer"

// A PostgreSQL server is stopped and started again while stands are posting: fast,
// which breaks off what is in flight, and immediately, as a power cut would.
func TestDatabaseRestarted(t *testing.T) {
	if testing.Short() {
		t.Skip("starts and stops a PostgreSQL server")
	}
	own := storetest.OwnPostgres(t)
	s := serveShop(t, own.Database(t, "shop", ""), "", 6)
	w := s.works(s.address, patient)
	for again := time.Now().Add(faultFor(0)); ; {
		for _, mode := range []string{"fast", "immediate"} {
			s.more(w, 20)
			own.Stop(t, mode)
			s.refused(w, away)
			s.unavailable("a page", s.page("/"), away)
			s.unavailable("a form", s.form(), away)
			s.unavailable("a record", s.page("/api/v1/items/"+s.serials[0]), away)
			if got := s.page("/static/office.css"); got.status != http.StatusOK && got.status != http.StatusNotFound {
				t.Errorf("what needs no database: %d", got.status)
			}
			own.Start(t)
		}
		if time.Now().After(again) {
			break
		}
	}
	s.more(w, 20)
	s.settled(w)
}

// throughProxy serves a shop whose PostgreSQL stands behind a proxy.
func throughProxy(t *testing.T, hands int) (*storetest.Proxy, *served) {
	t.Helper()
	if testing.Short() {
		t.Skip("cuts connections for a while")
	}
	direct := storetest.NeedPostgres(t)
	proxy, dsn := storetest.ProxyPostgres(t, direct)
	return proxy, serveShop(t, dsn, direct, hands)
}

// The connections to the database are cut at random, in the middle of whatever they
// carry; for a while none comes about.
func TestDatabaseCutOff(t *testing.T) {
	proxy, s := throughProxy(t, 6)
	w := s.works(s.address, patient)
	s.more(w, 20)
	for end := time.Now().Add(faultFor(time.Second)); time.Now().Before(end); {
		proxy.Cut()
		time.Sleep(time.Duration(5+rand.IntN(60)) * time.Millisecond)
	}
	s.more(w, 20)
	proxy.CutAfter(func() int { return rand.IntN(60_000) })
	proxy.Cut()
	time.Sleep(faultFor(time.Second))
	proxy.CutAfter(nil)
	proxy.Refuse(true)
	s.refused(w, away)
	s.unavailable("a page", s.page("/"), away)
	s.unavailable("a form", s.form(), away)
	proxy.Refuse(false)
	s.more(w, 20)
	s.settled(w)
}

// The connection breaks after the database has committed and before it could say so.
// Whoever posted is told to send again; the second time the first answer comes back.
func TestAnswerToCommitLost(t *testing.T) {
	proxy, s := throughProxy(t, 1)
	w := s.works(s.address, patient)
	s.more(w, 3)
	w.end()
	w.wait.Wait()
	for range 5 {
		id, body := s.wheel(&w.mu, s.serials[0])
		proxy.Lose("COMMIT\x00")
		sent := s.send(w, patient, s.address, id, body)
		lost := proxy.Lose("")
		if lost == 0 {
			t.Fatal("no answer to a commit was lost")
		}
		// The program may itself have found it stored, and said so.
		if !sent && !s.send(w, patient, s.address, id, body) {
			t.Errorf("sent again, %s is not answered", id)
		}
		if !sent && w.statuses[http.StatusOK] == 0 {
			t.Errorf("sent again, %s was new: the answer that was lost had stored nothing (%v)", id, w.statuses)
		}
		if _, err := s.shop.Store.Inspection(t.Context(), id); err != nil {
			t.Errorf("inspection %s: %v", id, err)
		}
	}
	s.settled(w)
}

// The database takes everything and says nothing, as behind a cable that was pulled.
// Whoever asks is told so soon, whoever was being served within half a minute, and
// none hangs; sealing and the rest go on once it speaks.
func TestDatabaseFallsSilent(t *testing.T) {
	if testing.Short() {
		t.Skip("waits for a database that says nothing")
	}
	direct := storetest.NeedPostgres(t)
	proxy, dsn := storetest.ProxyPostgres(t, direct)
	// As the program does by itself, only sooner.
	s := serveShop(t, dsn+" connect_timeout=1 pool_ping_timeout=500ms", direct, 3)
	w := s.works(s.address, patient)
	s.more(w, 20)
	proxy.FallSilent()
	time.Sleep(1200 * time.Millisecond) // until no connection passes for fresh
	const soon = 10 * time.Second
	for what, got := range map[string]answered{"a page": s.page("/items/" + s.serials[0]), "a form": s.form()} {
		s.unavailable(what, got, away)
		if got.took > soon {
			t.Errorf("%s took %s to say so", what, got.took)
		}
	}
	time.Sleep(faultFor(0))
	began := time.Now()
	proxy.Speak()
	proxy.Cut()
	s.more(w, 20)
	t.Logf("it works again after %s", time.Since(began).Round(time.Millisecond))
	s.settled(w)
}
