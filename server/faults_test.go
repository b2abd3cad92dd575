// Faults that a shop meets, each made for real while the whole program is at work.
// After every one: what was answered is there, whole and once, the log verifies, the
// answers said in words what was wrong, and work went on without a start.
//
//	fault                        what is done                                       what is seen meanwhile                     test
//	kill -9 under load           the process is killed at random, 5 times in CI,    connections break; what hung is sent       TestKillWhilePosting
//	                             200 in .ci/long.sh, and started again              again under its id
//	kill -9 in a backup          the backing-up process is killed at random         the backups that were good stay good       TestKillWhileBackingUp
//	disk full                    the small disk under the SQLite file, or under a   503 “The disk is full”, pages can be       TestDiskFull
//	                             PostgreSQL tablespace, is filled while posting     read, sessions go on
//	disk full for the log        the small disk under PostgreSQL's write-ahead log   503 “The database does not answer”         TestLogDiskFull (long)
//	                             is filled: it breaks off, and is started again
//	disk full for backups        the small disk for backups is filled               told by its code; older ones stay          TestFullDisk
//	disk for backups not there   the folder it was mounted on is empty              nothing is made in it; told at once        TestDaily
//	read-only disk               SQLite: no byte can be written to its files any    503 “The disk refuses” or “Nothing can     TestReadOnly
//	                             more; PostgreSQL: its transactions are read-only   be written”, pages can be read
//	database restarted           a PostgreSQL of the test's own stops, fast and     503 “The database does not answer”         TestDatabaseRestarted
//	                             immediately, while posting, and starts again
//	database cut off             connections to PostgreSQL are cut at random        201 in the end, or 503 until then          TestDatabaseCutOff
//	cut behind a commit          the answer to COMMIT is lost, with its connection  503; sent again: the first answer, once    TestAnswerToCommitLost
//	database falls silent        the proxy before PostgreSQL carries nothing        503 within half a minute, and no hang      TestDatabaseFallsSilent
//	network cut                  connections between tablet and server are cut      nothing, or the answer; sent again:        TestNetworkCut
//	                             at random, before, in and after a request          the first answer, once
//	clock jumps                  a day forward and a day back, injected             nothing is lost; seals keep their order    TestClockJumps
//	two servers, one killed      two on one PostgreSQL, one killed -9 while both    the other seals what both stored           TestTwoServersOneKilled
//	three days of queue          520 inspections with times of their own, out of    201, then twice 200, in their own order    TestThreeDaysOfQueue
//	                             order, sent three times
//	slow clients                 headers and bodies byte by byte, 200 of them       others are answered in time                TestSlowClients
//	strangers who hold on        512 bodies that are begun and never end            stands are heard as ever                   TestStrangersWhoHoldOn
//	half-sent upload             photos and inspections cut in the middle           nothing is stored of them                  TestHalfSent
//	every page in a fault        each page while nothing can be written, or the     200 or 503 with words, never 500           TestEveryPageWhere...,
//	                             database is away (package servertest)                                                         TestEveryPageWhile...
//	panic beside the server      sealing, watching, summing up panic                written down, begun again                  TestPanicBesideTheServer
//	                             (package app)
//
// TRACEWRIGHT_FAULTS=long lets each of them run for a minute instead of a second.
package main

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"io"
	"log/slog"
	"net"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"tracewright/models/store/storetest"
	"tracewright/models/work/access"
	"tracewright/models/work/worktest"
	"tracewright/server/app"
	"tracewright/server/httpx"
	"tracewright/server/keyring"
)

// faultFor is how long a fault lasts, or work goes on around it.
func faultFor(short time.Duration) time.Duration {
	if os.Getenv("TRACEWRIGHT_FAULTS") == "long" {
		return max(time.Minute, short)
	}
	return short
}

// served is the whole program in this process, over a shop's database.
type served struct {
	*testing.T
	database string // as the program reaches it
	direct   string // as the test does
	keys     string
	app      *app.App
	shop     *worktest.Shop
	address  string
	device   string // its key
	serials  []string
	ahead    atomic.Int64 // of the clock, in nanoseconds
	said     said
	stop     func()
}

// said is what the program wrote.
type said struct {
	mu  sync.Mutex
	all bytes.Buffer
}

func (s *said) Write(raw []byte) (int, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.all.Write(raw)
}

func (s *said) String() string {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.all.String()
}

func (s *served) now() time.Time { return time.Now().Add(time.Duration(s.ahead.Load())) }

// serveShop starts it, and makes a shop with wheels for so many hands. direct is the
// database past whatever stands between; empty: it is the same.
func serveShop(t *testing.T, database, direct string, hands int) *served {
	t.Helper()
	if direct == "" {
		direct = database
	}
	s := &served{T: t, database: database, direct: direct, keys: filepath.Join(t.TempDir(), "keys")}
	s.start()
	s.shop = worktest.On(t, storetest.Open(t, direct))
	s.shop.Now = time.Now()
	key, _, err := access.New(s.shop.Store, time.Now, access.Cost{}).Enrol(t.Context(), s.shop.Owner, "stand 1", "stand 1")
	s.shop.Must(err)
	s.device = key
	for range hands {
		s.serials = append(s.serials, *s.shop.AnotherWheel().Serial)
	}
	return s
}

func (s *served) start() {
	s.Helper()
	ring, err := keyring.Open(s.keys)
	if err != nil {
		s.Fatal(err)
	}
	a, err := app.Open(s.Context(), app.Config{Database: s.database, Keys: ring, Server: "shop", Now: s.now, Log: slog.New(slog.NewTextHandler(&s.said, nil))})
	if err != nil {
		s.Fatal(explain(err, ""))
	}
	listener, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		s.Fatal(err)
	}
	ctx, cancel := context.WithCancel(context.Background())
	done := make(chan error, 1)
	go func() { done <- a.Run(ctx, listener, nil) }()
	s.app, s.address = a, listener.Addr().String()
	s.stop = sync.OnceFunc(func() {
		cancel()
		if err := <-done; err != nil {
			s.Errorf("the server ended with %v", err)
		}
		if strings.Contains(s.said.String(), "panic") {
			s.Errorf("something panicked:\n%s", s.said.String())
		}
	})
	s.Cleanup(s.stop)
}

// answered is what came of a request.
type answered struct {
	status int
	header http.Header
	body   string
	took   time.Duration
}

// ask sends a request as the operator at the stand; a form where kind says so. An
// error is one of the network.
func (s *served) ask(client *http.Client, address, method, path, kind string, body []byte) (answered, error) {
	r, err := http.NewRequest(method, "http://"+address+path, bytes.NewReader(body))
	if err != nil {
		return answered{}, err
	}
	r.Header.Set("Authorization", "Bearer "+s.device)
	r.Header.Set(httpx.PersonHeader, s.shop.Operator.PersonID)
	if kind != "" {
		r.Header.Set("Content-Type", kind)
	}
	began := time.Now()
	got, err := client.Do(r)
	if err != nil {
		return answered{}, err
	}
	defer got.Body.Close()
	raw, err := io.ReadAll(got.Body)
	return answered{got.StatusCode, got.Header, string(raw), time.Since(began)}, err
}

var patient = &http.Client{Timeout: 70 * time.Second}

// page opens one.
func (s *served) page(path string) answered {
	s.Helper()
	got, err := s.ask(patient, s.address, http.MethodGet, path, "", nil)
	if err != nil {
		s.Fatalf("GET %s: %v", path, err)
	}
	return got
}

// form sends one: a hold on an item.
func (s *served) form() answered {
	s.Helper()
	got, err := s.ask(patient, s.address, http.MethodPost, "/items/"+s.serials[0]+"/hold", "application/x-www-form-urlencoded", []byte("code=other&reason=a+fault+is+tried"))
	if err != nil {
		s.Fatal(err)
	}
	return got
}

// unavailable holds that an answer says in words that something cannot be had now.
func (s *served) unavailable(what string, got answered, titles ...string) {
	s.Helper()
	told := false
	for _, title := range titles {
		told = told || strings.Contains(got.body, title)
	}
	if got.status != http.StatusServiceUnavailable || got.header.Get("Retry-After") == "" || !told {
		s.Errorf("%s: %d, Retry-After %q: %.600s\nwant 503 that says one of %q", what, got.status, got.header.Get("Retry-After"), got.body, titles)
	}
}

// work is what hands at stands do: each posts a wheel until it is answered, under one
// id, and then the next.
type work struct {
	mu       sync.Mutex
	answered map[string]bool
	open     map[string][]byte // bodies that nobody has answered yet
	statuses map[int]int
	broken   int               // requests without an answer
	titles   map[string]string // of answers that were none, with one of each
	wait     sync.WaitGroup
	end      func()
}

// works starts a hand for each serial; address is where they reach the server.
func (s *served) works(address string, client *http.Client) *work {
	ctx, cancel := context.WithCancel(s.Context())
	w := &work{answered: map[string]bool{}, open: map[string][]byte{}, statuses: map[int]int{}, titles: map[string]string{}, end: cancel}
	for _, serial := range s.serials {
		w.wait.Go(func() {
			for ctx.Err() == nil {
				id, body := s.wheel(&w.mu, serial)
				w.mu.Lock()
				w.open[id] = body
				w.mu.Unlock()
				for ctx.Err() == nil && !s.send(w, client, address, id, body) {
					time.Sleep(20 * time.Millisecond)
				}
			}
		})
	}
	return w
}

// wheel is a wheel that was just measured.
func (s *served) wheel(mu *sync.Mutex, serial string) (id string, body []byte) {
	mu.Lock()
	sub := s.shop.EveryHole()
	mu.Unlock()
	sub.Serial, sub.StartedAt, sub.FinishedAt = serial, time.Now().Add(-time.Minute), time.Now() // by the tablet's clock, which is right
	body, err := json.Marshal(sub)
	if err != nil {
		s.Error(err)
	}
	return sub.ID, body
}

// send posts one, and says whether it is stored.
func (s *served) send(w *work, client *http.Client, address, id string, body []byte) bool {
	got, err := s.ask(client, address, http.MethodPost, "/api/v1/inspections", "application/json", body)
	w.mu.Lock()
	defer w.mu.Unlock()
	if err != nil {
		w.broken++
		return false
	}
	w.statuses[got.status]++
	switch got.status {
	case http.StatusOK, http.StatusCreated:
		w.answered[id] = true
		delete(w.open, id)
		return true
	case http.StatusServiceUnavailable:
		var problem struct{ Title, Detail string }
		if err := json.Unmarshal([]byte(got.body), &problem); err != nil || problem.Title == "" || problem.Detail == "" || got.header.Get("Retry-After") == "" {
			s.Errorf("503 without words, or without Retry-After: %q %s", got.header.Get("Retry-After"), got.body)
		}
		w.titles[problem.Title] = got.body
	default:
		s.Errorf("posting answered %d: %.500s", got.status, got.body)
		delete(w.open, id)
		return true // No more of it.
	}
	return false
}

// count is how many are answered, and how many requests were answered with 503.
func (w *work) count() (stored, refused int) {
	w.mu.Lock()
	defer w.mu.Unlock()
	return len(w.answered), w.statuses[http.StatusServiceUnavailable]
}

// until waits until something holds, at most so long.
func (s *served) until(what string, within time.Duration, holds func() bool) {
	s.Helper()
	for end := time.Now().Add(within); !holds(); time.Sleep(10 * time.Millisecond) {
		if time.Now().After(end) {
			s.Fatalf("%s: not within %s\n%.3000s", what, within, s.said.String())
		}
	}
}

// more waits until that many more are answered.
func (s *served) more(w *work, n int) {
	s.Helper()
	before, _ := w.count()
	s.until(fmt.Sprintf("%d more inspections", n), 30*time.Second, func() bool { now, _ := w.count(); return now >= before+n })
}

// refused waits until an inspection is answered with 503 that says a title.
func (s *served) refused(w *work, title string) {
	s.Helper()
	s.until("503: "+title, 30*time.Second, func() bool {
		w.mu.Lock()
		defer w.mu.Unlock()
		return w.titles[title] != ""
	})
}

// settled ends the hands, sends again what nobody answered, stops the server and
// holds what must hold after every fault.
func (s *served) settled(w *work) {
	s.Helper()
	w.end()
	w.wait.Wait()
	for id, body := range w.open {
		s.until("send "+id+" again", 20*time.Second, func() bool { return s.send(w, patient, s.address, id, body) })
	}
	k := &killed{address: "http://" + s.address, device: s.device, person: s.shop.Operator.PersonID}
	checkWhole(s.T, k, s.shop, s.serials, w.answered)
	stored := 0
	for _, serial := range s.serials {
		item, err := s.shop.Store.ItemBySerial(s.Context(), serial)
		s.shop.Must(err)
		stored += s.shop.Count(item.ID)
	}
	if stored != len(w.answered) {
		s.Errorf("%d inspections are stored of %d that were sent and answered", stored, len(w.answered))
	}
	s.verified()
	s.Logf("statuses %v, %d requests broke off", w.statuses, w.broken)
}

// verified holds that everything gets sealed, ends the server, and holds that the
// records are those that the log speaks of.
func (s *served) verified() {
	s.Helper()
	checkChain(s.T, s.shop.Store)
	s.stop()
	says(s.T, "verify", command(s.T, "", "verify", "database", "--database", s.direct, "--keys", s.keys), 0, "", "")
}
