package main

import (
	"context"
	"io"
	"net/http"
	"net/http/cookiejar"
	"net/http/httptest"
	"os"
	"path/filepath"
	"sync"
	"testing"
	"time"

	"tracewright/models/store"
	"tracewright/server/app"
	"tracewright/server/keyring"
	"tracewright/testdata/demo"
)

// askedDay is the moment up to which the shops that are asked were invented, and
// their clock while they are.
var askedDay = time.Date(2031, 11, 26, 10, 0, 0, 0, time.UTC)

// askedShop is a whole invented shop behind the pages and the interface, with the
// truth of what was planted in it.
type askedShop struct {
	app     *app.App
	folder  string // of shop.db and keys
	truth   demo.Stories
	address string
	client  *http.Client
}

var asked struct {
	sync.Mutex
	folder string
	shops  map[demo.Options]askedShop
}

// ask gives the shop of a scenario and seed, made once for all tests that only
// read it: 1,500 wheels and 700 packs.
func ask(t testing.TB, scenario string, seed uint64) askedShop {
	t.Helper()
	if testing.Short() {
		t.Skip("invents a whole shop")
	}
	asked.Lock()
	defer asked.Unlock()
	options := demo.Options{Seed: seed, Scenario: scenario, Now: askedDay}
	if s, ok := asked.shops[options]; ok {
		return s
	}
	if asked.shops == nil {
		folder, err := os.MkdirTemp("", "tracewright-asked") // outlives the test; TestMain takes it away
		if err != nil {
			t.Fatal(err)
		}
		asked.shops, asked.folder = map[demo.Options]askedShop{}, folder
	}
	folder, err := os.MkdirTemp(asked.folder, "shop")
	if err != nil {
		t.Fatal(err)
	}
	keys, err := keyring.Open(filepath.Join(folder, "keys"))
	if err != nil {
		t.Fatal(err)
	}
	s, err := store.Open(context.Background(), "sqlite:"+filepath.Join(folder, "shop.db"), store.Options{Disposable: true})
	if err != nil {
		t.Fatal(err)
	}
	if _, err := s.Migrate(context.Background()); err != nil {
		t.Fatal(err)
	}
	made := options
	made.Keys = keys
	summary, err := demo.Seed(context.Background(), s, made)
	if err != nil {
		t.Fatal(err)
	}
	a, err := app.New(s, app.Config{DemoAs: summary.Owner.ID, Now: func() time.Time { return askedDay }, Keys: keys})
	if err != nil {
		t.Fatal(err)
	}
	if err := a.Services.Watch.Rebuild(context.Background(), nil); err != nil {
		t.Fatal(err)
	}
	jar, err := cookiejar.New(nil)
	if err != nil {
		t.Fatal(err)
	}
	server := httptest.NewServer(a.Handler)
	shop := askedShop{app: a, folder: folder, truth: summary.Stories, address: server.URL, client: &http.Client{Jar: jar}}
	asked.shops[options] = shop
	return shop
}

// forgetAsked takes the shops away.
func forgetAsked() {
	for _, s := range asked.shops {
		s.app.Close()
	}
	if asked.folder != "" {
		os.RemoveAll(asked.folder)
	}
}

// read gives what a page or a path of the interface answers, in whole.
func (s askedShop) read(t testing.TB, path string) string {
	t.Helper()
	answer, err := s.client.Get(s.address + path)
	if err != nil {
		t.Fatal(err)
	}
	defer answer.Body.Close()
	body, err := io.ReadAll(answer.Body)
	if err != nil || answer.StatusCode != http.StatusOK || answer.Request.URL.Path == "/signin" {
		t.Fatalf("GET %s: %d at %s, %v\n%.800s", path, answer.StatusCode, answer.Request.URL, err, body)
	}
	return string(body)
}

func TestTheWholeShopAnswers(t *testing.T) {
	s := ask(t, demo.Story, 1)
	if body := s.read(t, "/charts"); len(body) < 1000 || s.truth.RollerStand == "" {
		t.Errorf("the chart's page has %d bytes, the story tells of stand %q", len(body), s.truth.RollerStand)
	}
}
