package servertest

import (
	"bytes"
	"log/slog"
	"net/http"
	"net/http/httptest"
	"net/url"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"tracewright/models"
	"tracewright/models/work/access"
	"tracewright/server/app"
)

// Chapters 13, 14 and 16 of OWASP ASVS 5.0.0: what the running server shows, keeps
// and writes down.

func TestASVS_13_4_1_to_13_4_5_NothingOfTheInsideIsShown(t *testing.T) {
	s := On(t, openSQLite(t))
	for _, path := range []string{"/.git/HEAD", "/.git/config", "/.svn/entries", "/.env", "/.well-known/", "/debug/pprof/", "/debug/vars", "/debug/requests", "/server-status", "/actuator", "/phpinfo.php", "/static", "/static/", "/static/x", "/static/x/",
		"/static/x/vendor", "/static/x/vendor/", "/static/x/tests/", "/static/x/../templates/today.html", "/templates/today.html", "/api", "/api/", "/api/v1", "/api/v1/", "/swagger", "/go.mod", "/backup", "/backups/"} {
		for _, who := range []string{Nobody, Desk} {
			status, header, body := s.Do(t, Row{Who: who, Path: path})
			// A page of the shop's own, with a slash too many, is led on to.
			if status != http.StatusNotFound && (status != http.StatusSeeOther || strings.HasSuffix(header.Get("Location"), "/")) {
				t.Errorf("%s as %q: %d %s", path, who, status, shortened(body))
			}
		}
	}
	for _, path := range []string{"/healthz", "/readyz"} {
		status, header, body := s.Do(t, Row{Path: path})
		if status == http.StatusNotFound {
			continue
		}
		if len(body) > 300 || regexp.MustCompile(`(?i)sqlite|postgres|/tmp|go1\.|password`).Match(body) || header.Get("Server") != "" || header.Get("X-Powered-By") != "" {
			t.Errorf("%s tells %s", path, body)
		}
	}
}

// The floor keeps readings and serials in the browser, never customers or secrets.
func TestASVS_14_3_3_NothingSensitiveStaysInABrowser(t *testing.T) {
	kept := regexp.MustCompile(`localStorage|sessionStorage|indexedDB|openDB|caches\.open`)
	never := regexp.MustCompile(`(?i)customer|password|contact|\bpin\b\s*[:=]\s*[^=]*(put|setItem)|document\.cookie`)
	files, err := filepath.Glob("../web/static/*.js")
	if err != nil || len(files) < 20 {
		t.Fatalf("%d modules: %v", len(files), err)
	}
	keepers := 0
	for _, file := range files {
		raw, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		raw = regexp.MustCompile(`(?m)//.*$`).ReplaceAll(raw, nil) // what comments say is not kept
		if !kept.Match(raw) {
			continue
		}
		keepers++
		if found := never.Find(raw); found != nil {
			t.Errorf("%s keeps things in the browser and speaks of %s", filepath.Base(file), found)
		}
	}
	if keepers < 3 {
		t.Errorf("%d modules keep something", keepers)
	}
}

func TestASVS_14_2_1_NoSecretInAnAddress(t *testing.T) {
	secret := regexp.MustCompile(`(?i)[?&](password|pin|token|key|session|secret)=`)
	for _, a := range answers(t) {
		if found := secret.FindString(a.header.Get("Location") + " " + a.body); found != "" {
			t.Errorf("%s: an address with %s", a.path, found)
		}
		for _, form := range regexp.MustCompile(`(?is)<form.*?</form>`).FindAllString(a.body, -1) {
			if !strings.Contains(form, `method="post"`) && strings.Contains(form, `type="password"`) {
				t.Errorf("%s: a form sends a secret in an address", a.path)
			}
		}
	}
}

// What a log holds: who, what, where and when, each on one line whatever was sent,
// and no secret.
func TestASVS_16_3_1_to_16_4_1_WhatIsWrittenDown(t *testing.T) {
	s := On(t, openSQLite(t))
	var log bytes.Buffer
	a, err := app.New(s.Store, app.Config{Cost: cheap, Now: s.Clock, StrangersAtOnce: 50, Log: slog.New(slog.NewTextHandler(&log, nil))})
	s.Must(err)
	s.App = a
	key := s.enrol("stand 1")
	const forged = "x\nlevel=ERROR msg=forged\r\ntime="
	var cookie string
	s.sign["with a cookie"] = func(r *http.Request) { cookie = "tracewright=never-issued-by-us"; r.Header.Set("Cookie", cookie) }
	for _, c := range []struct {
		name  string
		row   Row
		wants []string
	}{
		{"somebody comes in", Posted("", Nobody, "/signin", url.Values{"login": {"desk"}, "password": {Password}}, 0), []string{"level=INFO", `msg="signed in"`, "person=" + s.People[Desk].ID, "address=192.0.2.1"}},
		{"somebody does not", Posted("", Nobody, "/signin", url.Values{"login": {"a secret in the wrong field"}, "password": {"another secret of mine"}}, 0), []string{"level=WARN", `msg="sign-in refused"`, "address=192.0.2.1"}},
		{"a page that is not theirs", Row{Who: Desk, Path: "/people"}, []string{"level=WARN", "status=403", "route=/people", "actor=" + s.People[Desk].ID}},
		{"a key that opens nothing", Row{Who: WrongKey, Path: "/api/v1/items"}, []string{"level=WARN", "status=401"}},
		{"a page of another site", Row{Who: Desk, Path: "/api/v1/holds", Body: "{}", Header: map[string]string{"Origin": "https://elsewhere.example"}}, []string{"level=WARN", "status=403", "cross_origin"}},
		{"a PIN that is wrong", Row{Who: OperatorAtStand, Path: "/api/v1/items/" + s.Serial["wheel"] + "/certificates", Body: object{"confirm": object{"pin": "000111"}}}, []string{"level=WARN", `msg="not confirmed"`, "person=" + s.People[Operator].ID}},
		{"lines of somebody's own making", Row{Who: Desk, Path: "/people/" + url.PathEscape(forged)}, []string{"level=WARN", "route=/people/:id"}},
		{"a session of somebody's own making", Row{Who: "with a cookie", Path: "/people/x"}, nil},
	} {
		t.Run(c.name, func(t *testing.T) {
			log.Reset()
			s.Do(t, c.row)
			line := log.String()
			for _, want := range c.wants {
				if !strings.Contains(line, want) {
					t.Errorf("%q is not in the log: %s", want, line)
				}
			}
			if len(c.wants) > 0 && (!regexp.MustCompile(`^time=\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d\.\d+(Z|[+-]\d\d:\d\d) level=`).MatchString(line) || strings.Count(line, "\n") != 1 || !strings.Contains(line, "request=")) {
				t.Errorf("the log holds %q, want one line with its moment and the request's number", line)
			}
			for _, secret := range []string{Password, "a secret", "another secret", "000111", key, "no-key-of-ours", "never-issued-by-us"} {
				if strings.Contains(line, secret) {
					t.Errorf("%q is in the log: %s", secret, line)
				}
			}
		})
	}
}

// A way to set a password, which a proxy that speaks TLS hands on, is one over TLS:
// who reads along on the network has nothing of it.
func TestASVS_12_2_1_ALinkBehindAProxyIsSecure(t *testing.T) {
	a := secured(t, app.Config{TLS: true, Proxied: true})
	desk, err := a.Services.Access.AddPerson(t.Context(), models.Actor{}, access.NewPerson{Name: "A desk", Role: "desk", Login: "desk", Password: Password})
	if err != nil {
		t.Fatal(err)
	}
	in := httptest.NewRequest(http.MethodPost, "http://localhost/signin", strings.NewReader(url.Values{"login": {"owner"}, "password": {Password}}.Encode()))
	in.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	signed := ask(a.Handler, in)
	r := httptest.NewRequest(http.MethodPost, "http://localhost/people/"+desk.ID+"/password-link", nil)
	for _, c := range signed.Cookies() {
		r.AddCookie(c)
	}
	w := httptest.NewRecorder()
	a.Handler.ServeHTTP(w, r)
	if !strings.Contains(w.Body.String(), "https://localhost/setup/") {
		t.Errorf("%d: the link is not over TLS: %s", w.Code, shortened(w.Body.Bytes()))
	}
}
