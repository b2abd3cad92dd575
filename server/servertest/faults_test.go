package servertest

import (
	"maps"
	"net/http"
	"slices"
	"strings"
	"testing"
	"time"

	"tracewright/models"
	"tracewright/models/store/storetest"
	"tracewright/server/app"
)

// writesFirst are pages that write before they show anything: that somebody looked at
// customers, and a drawing, which is kept from its first time on.
var writesFirst = map[string]bool{
	"/customers/:id": true, "/customers/:id/erase": true, "/customers/:id/data.json": true, "/lists/out": true, "/api/v1/exports/customers": true, "/api/v1/exports/shipments": true, "/shipments/:number/packing-list": true, "/recalls/:number/contacts.csv": true,
	"/certificates/:number/:revision": true, "/certificates/:number/:revision/original": true, "/kits/:serial/certificates": true, "/shipments/:number/certificates": true,
}

// Every page and every look through the interface while nothing can be written to the
// database: it opens, or says in words why it cannot; so do forms. Once it can be
// written to, everything goes on.
func TestEveryPageWhereNothingCanBeWritten(t *testing.T) {
	if testing.Short() {
		t.Skip("opens every page")
	}
	storetest.EachDSN(t, func(t *testing.T, dsn string) {
		s := On(t, storetest.Open(t, dsn))
		list := s.looks(t)
		set := storetest.TakesNothing(t, dsn)
		set(true)
		s.opensSoon(t)
		refused := map[string]bool{}
		for _, l := range list {
			status, header, body := s.Do(t, Row{Who: Owner, Path: l.path})
			switch {
			case status == http.StatusServiceUnavailable:
				refused[l.route] = true
				inWords(t, l.path, header, body)
			case status >= http.StatusInternalServerError:
				t.Errorf("GET %s: %d: %s", l.path, status, shortened(body))
			}
		}
		for _, route := range slices.Sorted(maps.Keys(refused)) {
			if !writesFirst[route] {
				t.Errorf("%s cannot be read while nothing can be written", route)
			}
		}
		s.posts(t, "/items/"+*s.Item[models.KindPack].Serial+"/hold", "code=other&reason=x")
		set(false)
		s.opensSoon(t)
	})
}

// Every page and every look while the database does not answer.
func TestEveryPageWhileTheDatabaseIsAway(t *testing.T) {
	if testing.Short() {
		t.Skip("opens every page")
	}
	direct := storetest.NeedPostgres(t)
	proxy, dsn := storetest.ProxyPostgres(t, direct)
	s := On(t, storetest.Open(t, dsn))
	list := s.looks(t)
	proxy.Refuse(true)
	away := 0
	for _, l := range list {
		status, header, body := s.Do(t, Row{Who: Owner, Path: l.path})
		switch {
		case status == http.StatusServiceUnavailable:
			away++
			inWords(t, l.path, header, body)
		case status >= http.StatusInternalServerError:
			t.Errorf("GET %s: %d: %s", l.path, status, shortened(body))
		}
	}
	if away < len(list)*9/10 {
		t.Errorf("%d of %d said that the database is away", away, len(list))
	}
	s.posts(t, "/items/"+*s.Item[models.KindPack].Serial+"/hold", "code=other&reason=x")
	s.posts(t, "/signin", "login=owner&password=seven+plain+words+do")
	proxy.Refuse(false)
	s.opensSoon(t)
}

// opensSoon waits until Today opens: a connection that was cut a moment ago may still
// be taken for good.
func (s *Shop) opensSoon(t *testing.T) {
	t.Helper()
	for range 50 {
		if status, _, _ := s.Do(t, Row{Who: Owner, Path: "/"}); status == http.StatusOK {
			return
		}
		time.Sleep(50 * time.Millisecond)
	}
	t.Error("Today does not open again")
}

// posts sends a form, which is refused in words.
func (s *Shop) posts(t *testing.T, path, form string) {
	t.Helper()
	who := Owner
	if path == "/signin" {
		who = Nobody
	}
	status, header, body := s.Do(t, Row{Who: who, Method: http.MethodPost, Path: path, Body: form, Header: map[string]string{"Content-Type": "application/x-www-form-urlencoded"}})
	if status != http.StatusServiceUnavailable {
		t.Errorf("POST %s: %d: %s", path, status, shortened(body))
		return
	}
	inWords(t, path, header, body)
}

// inWords holds that an answer says what is wrong, and when to come back.
func inWords(t *testing.T, path string, header http.Header, body []byte) {
	t.Helper()
	said := false
	for _, title := range []string{"The database does not answer", "The disk is full", "The disk refuses", "Nothing can be written"} {
		said = said || strings.Contains(string(body), title)
	}
	if !said || header.Get("Retry-After") == "" || strings.Contains(string(body), "SQLSTATE") || strings.Contains(string(body), "goroutine") {
		t.Errorf("%s: Retry-After %q: %s", path, header.Get("Retry-After"), shortened(body))
	}
}

// look is an address that only shows something, and its route.
type look struct{ route, path string }

// looks are all of them, over a shop in which there is one of everything.
func (s *Shop) looks(t *testing.T) []look {
	t.Helper()
	fill := s.everyPage(t)
	var list []look
	for _, route := range app.Routes(s.App.Services) {
		values := fill[route.Path]
		if route.Method != http.MethodGet || strings.HasPrefix(route.Path, "/static/") || strings.HasSuffix(route.Path, "/events") || route.Path == "/healthz" || route.Path == "/readyz" || values == nil && strings.Contains(route.Path, ":") {
			continue
		}
		for _, path := range paths(route.Path, values) {
			list = append(list, look{route.Path, path})
		}
	}
	if len(list) < 100 {
		t.Fatalf("only %d addresses", len(list))
	}
	return list
}
