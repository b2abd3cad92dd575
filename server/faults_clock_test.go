package main

import (
	"encoding/json"
	"net/http"
	"net/http/cookiejar"
	"net/url"
	"strings"
	"sync"
	"testing"
	"time"

	"tracewright/models"
	"tracewright/models/store/storetest"
	"tracewright/models/work/access"
)

const aDay = 24 * time.Hour

// The server's clock jumps a day forward, then two days back, and is set right.
// Tablets, whose clocks are right, post all the while. Nothing is lost or kept twice;
// seals keep their order, checkpoints are written at each time; sessions end as they
// should and drafts go on.
func TestClockJumps(t *testing.T) {
	storetest.EachDSN(t, func(t *testing.T, dsn string) {
		s := serveShop(t, dsn, "", 2)
		browser := s.browser()
		if at := browser.opens(); at != "/" {
			t.Fatalf("signed in, Today is at %s", at)
		}
		draft := s.draft(models.NewID())
		w := s.works(s.address, patient)
		s.more(w, 5)
		points := s.checkpoints()

		s.jump(aDay)
		s.more(w, 5)
		s.until("a checkpoint of the day after", 30*time.Second, func() bool { return s.checkpoints() > points })
		draft()
		if at := browser.opens(); at != "/signin" {
			t.Errorf("after a day without a word the session is at %s", at)
		}
		browser.signIn()
		ahead := s.app.Services.Sealing.Troubles()
		if ahead.Unwell() {
			t.Errorf("a day ahead: %+v", ahead)
		}

		points = s.checkpoints()
		s.jump(-aDay + time.Minute) // A tablet that is more than a day ahead is not believed: see strange.
		s.more(w, 5)
		s.until("a word that the clock is behind", 30*time.Second, func() bool { return s.app.Services.Sealing.Troubles().ClockBehind > 40*time.Hour })
		s.until("a checkpoint of the day before", 30*time.Second, func() bool { return s.checkpoints() > points })
		draft()
		if at := browser.opens(); at != "/" {
			t.Errorf("two days back, a session that has just begun is at %s", at)
		}
		s.jump(-aDay + 32*time.Minute)
		if at := browser.opens(); at != "/signin" {
			t.Errorf("half an hour without a word at a clock that went back: the session is at %s", at)
		}

		s.jump(0)
		s.more(w, 5)
		draft()
		browser.signIn()
		if at := browser.opens(); at != "/" {
			t.Errorf("set right, Today is at %s", at)
		}
		w.end()
		w.wait.Wait()
		s.strange()
		s.settled(w)
	})
}

// jump sets the server's clock so far from the right one.
func (s *served) jump(ahead time.Duration) { s.ahead.Store(int64(ahead)) }

func (s *served) checkpoints() int {
	s.Helper()
	list, err := s.shop.Store.Checkpoints(s.Context(), 0, 1000)
	s.shop.Must(err)
	return len(list)
}

// draft begins one and gives what saves it once more.
func (s *served) draft(id string) (save func()) {
	s.Helper()
	version := 0
	save = func() {
		s.Helper()
		sub := s.shop.Extremes()
		sub.ID, sub.Serial = id, s.serials[0]
		body, err := json.Marshal(map[string]any{"version": version, "content": sub})
		s.shop.Must(err)
		got, err := s.ask(patient, s.address, http.MethodPut, "/api/v1/drafts/"+id, "application/json", body)
		if err != nil || got.status >= http.StatusBadRequest {
			s.Errorf("save a draft of version %d: %d %v %s", version, got.status, err, got.body)
		}
		version++
		open, err := s.shop.Store.OpenDrafts(s.Context())
		s.shop.Must(err)
		if len(open) != 1 || open[0].Version != version {
			s.Errorf("open drafts %+v, want one at version %d", open, version)
		}
	}
	save()
	return save
}

// strange sends an inspection to a clock that is more than a day wrong, where it can
// only be kept, and again to the one that was set right: it is kept once.
func (s *served) strange() {
	s.Helper()
	for _, ahead := range []time.Duration{-aDay - time.Hour, 100 * aDay} {
		id, body := s.wheel(&sync.Mutex{}, s.olderWheel())
		s.jump(ahead)
		got, err := s.ask(patient, s.address, http.MethodPost, "/api/v1/inspections", "application/json", body)
		s.jump(0)
		if err != nil || got.status != http.StatusAccepted {
			s.Errorf("to a clock that is %s wrong: %d %v %s", ahead, got.status, err, got.body)
		}
		s.jump(time.Minute) // It was late to be answered.
		again, err := s.ask(patient, s.address, http.MethodPost, "/api/v1/inspections", "application/json", body)
		s.jump(0)
		if err != nil || again.status != http.StatusAccepted {
			s.Errorf("again, to the right clock: %d %v %s", again.status, err, again.body)
		}
		if _, err := s.shop.Store.Inspection(s.Context(), id); err == nil {
			s.Errorf("%s waits for a person, and is stored as well", id)
		}
	}
}

// olderWheel was made before it is measured.
func (s *served) olderWheel() (serial string) {
	s.Helper()
	w := s.shop.Item[models.KindWheel]
	item, err := s.shop.Store.AddItemWithSerial(s.Context(), models.NewStamp(models.Actor{}, time.Now().Add(-2*aDay)),
		models.Item{ID: models.NewID(), Kind: models.KindWheel, FamilyID: w.FamilyID, ProductID: w.ProductID, Origin: "made"}, "W", 26, nil)
	s.shop.Must(err)
	return *item.Serial
}

// browser is somebody in the office.
type browser struct {
	*served
	client *http.Client
	form   url.Values
}

func (s *served) browser() *browser {
	s.Helper()
	const password = "seven plain words do"
	people := access.New(s.shop.Store, time.Now, access.Cost{MemoryKiB: 8, Passes: 1, Lanes: 1})
	_, err := people.AddPerson(s.Context(), s.shop.Owner, access.NewPerson{Name: "The desk", Role: models.Desk, Login: "desk", Password: password, PIN: "274918"})
	s.shop.Must(err)
	jar, err := cookiejar.New(nil)
	s.shop.Must(err)
	b := &browser{s, &http.Client{Jar: jar, Timeout: time.Minute}, url.Values{"login": {"desk"}, "password": {password}}}
	b.signIn()
	return b
}

func (b *browser) signIn() {
	b.Helper()
	got, err := b.client.PostForm("http://"+b.address+"/signin", b.form)
	b.shop.Must(err)
	got.Body.Close()
	if got.StatusCode != http.StatusOK || strings.HasPrefix(got.Request.URL.Path, "/signin") {
		b.Fatalf("signing in: %d at %s", got.StatusCode, got.Request.URL)
	}
}

// opens goes to Today and says where it came.
func (b *browser) opens() string {
	b.Helper()
	got, err := b.client.Get("http://" + b.address + "/")
	b.shop.Must(err)
	got.Body.Close()
	return got.Request.URL.Path
}
