package bench

import (
	"context"
	"errors"
	"fmt"
	"io"
	"net"
	"net/http"
	"net/http/httptest"
	"strings"
	"sync"
	"testing"
	"time"
)

// What is sent is a request that net/http reads, and its answer is taken whole, so that
// the next on the same line begins where it ends.
func TestALineIsAskedAgainAndAgain(t *testing.T) {
	var mu sync.Mutex
	asked := map[net.Conn]int{}
	server := httptest.NewUnstartedServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		body, err := io.ReadAll(r.Body)
		if err != nil || r.Header.Get("X-Who") != "me" || r.ContentLength != int64(len(body)) {
			t.Errorf("%s %s: %v, %v, %d of %d", r.Method, r.URL, err, r.Header, len(body), r.ContentLength)
		}
		switch r.URL.Path {
		case "/hint":
			w.WriteHeader(http.StatusEarlyHints)
		case "/last":
			w.Header().Set("Connection", "close")
		case "/slow":
			<-r.Context().Done()
		}
		if r.URL.Path == "/refused" {
			w.WriteHeader(http.StatusTeapot)
		}
		fmt.Fprintf(w, "%s %s %s%s", r.Method, r.URL.Path, body, strings.Repeat(".", 50_000)) // in chunks
	}))
	server.Config.ConnState = func(c net.Conn, state http.ConnState) {
		mu.Lock()
		defer mu.Unlock()
		if state == http.StateActive {
			asked[c]++
		}
	}
	connections := func() int {
		mu.Lock()
		defer mu.Unlock()
		return len(asked)
	}
	server.Start()
	defer server.Close()
	l := &lines{host: server.Listener.Addr().String()}
	defer l.hangUp()
	for _, c := range []struct {
		method, path, body string
		status             int
	}{{"POST", "/a", "one", 200}, {"GET", "/b", "", 200}, {"PUT", "/refused", "two", 418}, {"POST", "/c", strings.Repeat("x", 100_000), 200}} {
		status, answer, err := l.ask(t.Context(), c.method, c.path, "X-Who: me\r\n", c.body)
		if err != nil || status != c.status {
			t.Fatalf("%s: %d, %v", c.path, status, err)
		}
		if want := c.method + " " + c.path + " " + c.body; status >= 400 && !strings.HasPrefix(string(answer), want) {
			t.Errorf("%s: %.80s", c.path, answer)
		}
	}
	if n := connections(); n != 1 {
		t.Errorf("%d connections, want one", n)
	}
	// One that was idle for long is not trusted, and one that broke is not kept.
	l.free[0].since = time.Now().Add(-restsFor)
	if _, _, err := l.ask(t.Context(), "GET", "/d", "X-Who: me\r\n", ""); err != nil || connections() != 2 {
		t.Errorf("%v over %d connections", err, connections())
	}
	if status, _, err := l.ask(t.Context(), "GET", "/hint", "X-Who: me\r\n", ""); err != nil || status != 200 {
		t.Errorf("behind a hint %d, %v", status, err)
	}
	if _, _, err := l.ask(t.Context(), "GET", "/last", "X-Who: me\r\n", ""); err != nil || len(l.free) != 0 {
		t.Errorf("%v, and %d lines kept that the server ended", err, len(l.free))
	}
	hurried, stop := context.WithTimeout(t.Context(), 50*time.Millisecond)
	defer stop()
	if _, _, err := l.ask(hurried, "GET", "/slow", "X-Who: me\r\n", ""); !errors.Is(err, context.DeadlineExceeded) || len(l.free) != 0 {
		t.Errorf("%v, %d lines kept", err, len(l.free))
	}
	if _, _, err := l.ask(t.Context(), "GET", "/e", "X-Who: me\r\n", ""); err != nil {
		t.Fatal(err)
	}
	server.CloseClientConnections()
	if _, _, err := l.ask(t.Context(), "GET", "/e", "X-Who: me\r\n", ""); err == nil {
		t.Error("a broken line answered")
	}
	if len(l.free) != 0 {
		t.Error("a broken line is kept")
	}
}
