package servertest

import (
	"bytes"
	"net/http"
	"net/http/httptest"
	"net/url"
	"strings"
	"testing"

	"tracewright/server/app"
	"tracewright/server/logs"
)

// Where a request comes from is what the proxy of this machine saw itself, whatever
// whoever asks writes, and nobody else's word counts.
func TestTheProxysOwnAddressIsTheLast(t *testing.T) {
	const theirs, claimed = "203.0.113.5", "192.0.2.1"
	const logged = "203.0.113.0/24" // of theirs: the log names no house, but its street
	var log bytes.Buffer
	apps := map[bool]*app.App{}
	for _, proxied := range []bool{true, false} {
		var err error
		if apps[proxied], err = app.New(openSQLite(t), app.Config{Proxied: proxied, Cost: cheap, Log: logs.New(&log, "text", false)}); err != nil {
			t.Fatal(err)
		}
	}
	for _, c := range []struct {
		name      string
		proxied   bool
		remote    string
		forwarded []string
		want      string
	}{
		{"through the proxy", true, "127.0.0.1:4711", []string{theirs}, logged},
		{"through the proxy, claiming to come from elsewhere", true, "127.0.0.1:4711", []string{claimed + ", " + theirs}, logged},
		{"the same in two headers", true, "127.0.0.1:4711", []string{claimed, theirs}, logged},
		{"the same in three", true, "[::1]:4711", []string{claimed, claimed + "," + claimed, theirs}, logged},
		{"past the proxy", true, theirs + ":4711", []string{claimed, claimed}, logged},
		{"where there is none", false, "127.0.0.1:4711", []string{claimed, claimed}, "127.0.0.1"},
	} {
		t.Run(c.name, func(t *testing.T) {
			log.Reset()
			r := httptest.NewRequest(http.MethodPost, "http://localhost/signin", strings.NewReader(url.Values{"login": {"nobody"}, "password": {Password}}.Encode()))
			r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
			r.RemoteAddr = c.remote
			for _, f := range c.forwarded {
				r.Header.Add("X-Forwarded-For", f)
			}
			ask(apps[c.proxied].Handler, r)
			if !strings.Contains(log.String(), `msg="sign-in refused"`) || !strings.Contains(log.String(), "address="+c.want+" ") {
				t.Errorf("want a refused sign-in from %s: %s", c.want, log.String())
			}
		})
	}
}
