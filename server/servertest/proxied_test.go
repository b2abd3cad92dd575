package servertest

import (
	"net/http"
	"net/http/httptest"
	"net/url"
	"strings"
	"testing"

	"tracewright/models"
	"tracewright/server/app"
)

// Where a browser is, is what the connection says, or a proxy on this machine in
// X-Forwarded-For, of which only the last is its own word. By it tries are counted,
// sessions listed, and the log is read.
func TestWhereARequestComesFrom(t *testing.T) {
	const proxy, browser, forged = "127.0.0.1:4711", "203.0.113.9", "198.51.100.7"
	for _, proxied := range []bool{true, false} {
		a := secured(t, app.Config{Proxied: proxied})
		owner, err := a.Services.Access.People(t.Context())
		if err != nil {
			t.Fatal(err)
		}
		actor := models.Actor{PersonID: owner[0].ID, Role: models.Owner}
		for _, c := range []struct {
			name, from string
			header     http.Header
			proxied    string
			direct     string
		}{
			{"the proxy's word", proxy, http.Header{"X-Forwarded-For": {browser}}, browser, "127.0.0.1"},
			{"behind what a browser made up", proxy, http.Header{"X-Forwarded-For": {forged + ", " + browser}}, browser, "127.0.0.1"},
			{"on a line of its own", proxy, http.Header{"X-Forwarded-For": {forged, browser}}, browser, "127.0.0.1"},
			{"another header", proxy, http.Header{"X-Real-Ip": {forged}}, "127.0.0.1", "127.0.0.1"},
			{"another header beside what is no address", proxy, http.Header{"X-Forwarded-For": {"unknown"}, "X-Real-Ip": {forged}}, "127.0.0.1", "127.0.0.1"},
			{"somebody who is no proxy", browser + ":4711", http.Header{"X-Forwarded-For": {forged}, "X-Real-Ip": {forged}}, browser, browser},
		} {
			r := httptest.NewRequest(http.MethodPost, "http://localhost/signin", strings.NewReader(url.Values{"login": {"owner"}, "password": {Password}}.Encode()))
			r.Header, r.RemoteAddr = c.header.Clone(), c.from
			r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
			if answer := ask(a.Handler, r); answer.StatusCode != http.StatusSeeOther {
				t.Fatalf("%s: %d", c.name, answer.StatusCode)
			}
			sessions, err := a.Services.Access.Sessions(t.Context(), actor, false, 1e12)
			if err != nil || len(sessions) != 1 {
				t.Fatalf("%s: %d sessions, %v", c.name, len(sessions), err)
			}
			want := map[bool]string{true: c.proxied, false: c.direct}[proxied]
			if got := sessions[0].Address; got != want {
				t.Errorf("%s (behind a proxy: %v): from %q, want %q", c.name, proxied, got, want)
			}
			if err := a.Services.Access.EndSessionsOf(t.Context(), actor, actor.PersonID, ""); err != nil {
				t.Fatal(err)
			}
		}
	}
}
