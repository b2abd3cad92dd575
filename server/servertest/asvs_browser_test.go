package servertest

import (
	"fmt"
	"log/slog"
	"maps"
	"mime"
	"net/http"
	"net/http/httptest"
	"net/url"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"tracewright/models"
	"tracewright/models/work/access"
	"tracewright/server/app"
	"tracewright/server/httpx"
)

// Chapter 3 of OWASP ASVS 5.0.0, on every answer of a shop with records of every
// kind. What each number asks for stands in asvs_test.go.

func wantEverywhere(t *testing.T, name string, right func(value string) bool) {
	t.Helper()
	list := answers(t)
	for _, a := range list {
		if value := a.header.Get(name); !right(value) || len(a.header.Values(name)) > 1 {
			t.Errorf("%s: %d with %s %q", a.path, a.status, name, a.header.Values(name))
		}
	}
	if len(list) < 250 {
		t.Errorf("only %d answers were looked at", len(list))
	}
}

func TestASVS_3_4_2_NoOtherSiteReadsAnswers(t *testing.T) {
	for _, name := range []string{"Access-Control-Allow-Origin", "Access-Control-Allow-Credentials"} {
		wantEverywhere(t, name, func(value string) bool { return value == "" })
	}
	s := On(t, openSQLite(t))
	_, header, _ := s.Do(t, Row{Who: Desk, Path: "/api/v1/items", Header: map[string]string{"Origin": "https://elsewhere.example"}})
	if header.Get("Access-Control-Allow-Origin") != "" {
		t.Error("a page of another site may read an answer")
	}
}

func TestASVS_3_4_3_ContentSecurityPolicy(t *testing.T) {
	wantEverywhere(t, "Content-Security-Policy", func(policy string) bool {
		has := map[string]string{}
		for _, part := range strings.Split(policy, ";") {
			name, value, _ := strings.Cut(strings.TrimSpace(part), " ")
			has[name] = value
		}
		scripts := has["script-src"]
		return has["object-src"] == "'none'" && has["base-uri"] == "'none'" && has["default-src"] == "'self'" && has["form-action"] == "'self'" && has["style-src"] == "" &&
			(scripts == "" || scripts == "'self' 'wasm-unsafe-eval'") && !strings.Contains(policy, "unsafe-inline") && !strings.Contains(policy, "'unsafe-eval'")
	})
}

var (
	scriptTag = regexp.MustCompile(`(?is)<script([^>]*)>(.*?)</script>`)
	handlerAt = regexp.MustCompile(`(?i)<[a-z][^>]*\s(on[a-z]+|style|srcdoc)\s*=`)
	schemeAt  = regexp.MustCompile(`(?i)(?:href|src|action|formaction|poster)\s*=\s*["']?\s*(javascript|data|vbscript):`)
)

func TestASVS_3_4_3_NoPageNeedsInlineCode(t *testing.T) {
	pages := 0
	for _, a := range answers(t) {
		if !a.isPage() {
			continue
		}
		pages++
		for _, tag := range scriptTag.FindAllStringSubmatch(a.body, -1) {
			if !strings.Contains(tag[1], `src="/static/`) && !strings.Contains(tag[1], `type="application/json"`) || strings.Contains(tag[1], "src=") && strings.TrimSpace(tag[2]) != "" {
				t.Errorf("%s: a script stands in the page: %.80s", a.path, tag[0])
			}
		}
		if found := handlerAt.FindString(a.body); found != "" {
			t.Errorf("%s: %.120s", a.path, found)
		}
		if strings.Contains(a.body, "<style") || strings.Contains(a.body, "<object") || strings.Contains(a.body, "<embed") || strings.Contains(a.body, "<base") {
			t.Errorf("%s: the page holds a style, an object or a base", a.path)
		}
	}
	if pages < 150 {
		t.Errorf("only %d pages were looked at", pages)
	}
}

func TestASVS_1_2_2_AddressesHaveNoSchemeThatRuns(t *testing.T) {
	for _, a := range answers(t) {
		if found := schemeAt.FindString(a.body); a.isPage() && found != "" {
			t.Errorf("%s: %s", a.path, found)
		}
	}
	s := On(t, openSQLite(t))
	for _, next := range []string{"javascript:alert(1)", "data:text/html,x", "//elsewhere.example", "https://elsewhere.example/", `/\elsewhere.example`, "\t//elsewhere.example", "/\n/elsewhere.example", "http:elsewhere.example", "///elsewhere.example", `\\elsewhere.example`} {
		form := url.Values{"login": {"desk"}, "password": {Password}, "next": {next}}
		_, header, _ := s.Do(t, Posted("", Nobody, "/signin", form, 0))
		if to := header.Get("Location"); to != "/" {
			t.Errorf("signed in with next %q: led to %q", next, to)
		}
	}
}

func TestASVS_3_4_4_NoSniffing(t *testing.T) {
	wantEverywhere(t, "X-Content-Type-Options", func(value string) bool { return value == "nosniff" })
}

func TestASVS_3_4_5_ReferrerPolicy(t *testing.T) {
	wantEverywhere(t, "Referrer-Policy", func(value string) bool { return value == "same-origin" })
}

func TestASVS_3_4_6_NobodyFramesAPage(t *testing.T) {
	wantEverywhere(t, "Content-Security-Policy", func(value string) bool { return strings.Contains(value, "frame-ancestors 'none'") })
	wantEverywhere(t, "X-Frame-Options", func(value string) bool { return value == "DENY" })
}

// mayBeKept are the routes whose answers a browser may keep, and why.
var mayBeKept = map[string]string{
	"/static/:hash/*name": "the program's own files, by the hash of the program",
	"/floor-worker.js":    "the program's own; a browser compares it with the one that it runs",
}

// What is on no disk is not shown by the way back after somebody signed out, and is
// gone when it is erased: photos and papers are no exception.
func TestASVS_14_3_2_NothingOfTheShopIsCached(t *testing.T) {
	photos, papers := 0, map[string]bool{}
	for _, a := range answers(t) {
		if kept := a.header.Get("Cache-Control"); kept != "no-store" && mayBeKept[a.route] == "" {
			t.Errorf("%s: Cache-Control %q", a.path, kept)
		}
		switch kind := a.header.Get("Content-Type"); {
		case a.status != http.StatusOK:
		case strings.HasPrefix(kind, "image/") && mayBeKept[a.route] == "":
			photos++
		case kind == "application/pdf":
			papers[a.route] = true
		}
	}
	if photos < 2 || len(papers) < 16 || !papers["/shipments/:number/packing-list"] {
		t.Errorf("%d photos were looked at, and papers of %v", photos, slices.Sorted(maps.Keys(papers)))
	}
}

func TestASVS_4_1_1_EveryBodyHasItsType(t *testing.T) {
	for _, a := range answers(t) {
		if a.body == "" {
			continue
		}
		kind, params, err := mime.ParseMediaType(a.header.Get("Content-Type"))
		if err != nil {
			t.Errorf("%s: Content-Type %q", a.path, a.header.Get("Content-Type"))
			continue
		}
		text := strings.HasPrefix(kind, "text/") && kind != "text/event-stream"
		if text && !strings.EqualFold(params["charset"], "utf-8") {
			t.Errorf("%s: %s without a charset", a.path, kind)
		}
		first := strings.TrimLeft(a.body, " \n")[:1]
		for want, begins := range map[string]string{"application/json": "{[", "application/problem+json": "{", "text/html": "<", "application/pdf": "%", "image/svg+xml": "<"} {
			if kind == want && !strings.Contains(begins, first) {
				t.Errorf("%s: %s begins with %q", a.path, kind, first)
			}
		}
	}
}

// secured is a server behind TLS, or with none.
func secured(t *testing.T, config app.Config) *app.App {
	t.Helper()
	config.Cost, config.Log = cheap, slog.New(slog.DiscardHandler)
	a, err := app.New(openSQLite(t), config)
	if err != nil {
		t.Fatal(err)
	}
	_, err = a.Services.Access.AddPerson(t.Context(), models.Actor{}, access.NewPerson{Name: "An owner", Role: "owner", Login: "owner", Password: Password})
	if err != nil {
		t.Fatal(err)
	}
	return a
}

func ask(h http.Handler, r *http.Request) *http.Response {
	w := httptest.NewRecorder()
	h.ServeHTTP(w, r)
	return w.Result()
}

func TestASVS_3_4_1_StrictTransportSecurity(t *testing.T) {
	const want = "max-age=31536000; includeSubDomains" // a year, as the number asks
	for _, c := range []struct {
		name   string
		config app.Config
		want   string
	}{
		{"TLS with a certificate of the shop's own", app.Config{TLS: true}, want},
		{"behind a proxy that speaks TLS", app.Config{TLS: true, Proxied: true}, want},
		{"TLS by the authority of this host, which may be given up", app.Config{TLS: true, Authority: []byte{1}}, ""},
		{"no TLS", app.Config{}, ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			a := secured(t, c.config)
			for _, path := range []string{"/", "/signin", "/items/", "/no-such-page", "/api/v1/items", "/static/x/y", "/healthz"} {
				if got := ask(a.Handler, httptest.NewRequest(http.MethodGet, "http://localhost"+path, nil)).Header.Get("Strict-Transport-Security"); got != c.want {
					t.Errorf("%s: %q, want %q", path, got, c.want)
				}
			}
			for _, path := range []string{"/", "/robots.txt", "/x/y"} {
				if got := ask(a.Public, httptest.NewRequest(http.MethodGet, "http://localhost"+path, nil)).Header.Get("Strict-Transport-Security"); got != c.want {
					t.Errorf("for strangers %s: %q, want %q", path, got, c.want)
				}
			}
		})
	}
}

func TestASVS_3_3_1_to_3_3_4_Cookies(t *testing.T) {
	for _, overTLS := range []bool{false, true} {
		t.Run(fmt.Sprintf("TLS %v", overTLS), func(t *testing.T) {
			a := secured(t, app.Config{TLS: overTLS})
			prefix := ""
			if overTLS {
				prefix = "__Host-"
			}
			check := func(cookies []*http.Cookie, name string) *http.Cookie {
				t.Helper()
				for _, c := range cookies {
					if c.Secure != overTLS || c.SameSite != http.SameSiteLaxMode || !c.HttpOnly || c.Path != "/" || c.Domain != "" {
						t.Errorf("cookie %+v", c)
					}
					if c.Name == prefix+name && c.Value != "" {
						return c
					}
				}
				t.Fatalf("no cookie %s%s in %v", prefix, name, cookies)
				return nil
			}
			post := func(path string, form url.Values, with ...*http.Cookie) *http.Response {
				r := httptest.NewRequest(http.MethodPost, "http://localhost"+path, strings.NewReader(form.Encode()))
				r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
				for _, c := range with {
					r.AddCookie(c)
				}
				return ask(a.Handler, r)
			}
			in := post("/signin", url.Values{"login": {"owner"}, "password": {Password}})
			session := check(in.Cookies(), "tracewright")
			// The value goes by Set-Cookie alone: no body and no address repeats it.
			r := httptest.NewRequest(http.MethodGet, "http://localhost/", nil)
			r.AddCookie(session)
			w := httptest.NewRecorder()
			a.Handler.ServeHTTP(w, r)
			if strings.Contains(w.Body.String(), session.Value) || strings.Contains(in.Header.Get("Location"), session.Value) {
				t.Error("the session's token stands in a page or an address")
			}
			enrolled := post("/devices", url.Values{"name": {"Tablet"}, "place": {"stand 1"}}, session)
			check(enrolled.Cookies(), "tracewright_device")
		})
	}
}

func TestASVS_3_5_1_to_3_5_2_NoOtherSiteChangesAnything(t *testing.T) {
	s := On(t, openSQLite(t))
	tried := 0
	for _, route := range app.Routes(s.App.Services) {
		if route.Method == http.MethodGet {
			continue
		}
		for _, from := range []map[string]string{
			{"Sec-Fetch-Site": "cross-site", "Origin": "https://elsewhere.example"},
			{"Sec-Fetch-Site": "same-site", "Origin": "https://other.localhost"},
			{"Origin": "https://elsewhere.example"},
			{"Origin": "null"},
		} {
			// As a form of another page is sent without a question beforehand.
			from["Content-Type"] = "text/plain"
			tried++
			if status, _, _ := s.Do(t, Row{Who: Owner, Method: route.Method, Path: filled(route.Path), Body: "{}", Header: from}); status != http.StatusForbidden {
				t.Errorf("%s %s from %v: %d, want 403", route.Method, route.Path, from, status)
			}
		}
		// And the interface takes nothing that a form could send.
		if strings.HasPrefix(route.Path, "/api/") && !route.File {
			for _, kind := range []string{"text/plain", "application/x-www-form-urlencoded", "multipart/form-data; boundary=x"} {
				status, _, body := s.Do(t, Row{Who: Owner, Method: route.Method, Path: filled(route.Path), Body: "{}", Header: map[string]string{"Content-Type": kind}})
				if status < 400 {
					t.Errorf("%s %s as %s: %d %s", route.Method, route.Path, kind, status, shortened(body))
				}
			}
		}
	}
	if tried < 400 {
		t.Errorf("only %d were tried", tried)
	}
}

// What looks at something changes nothing, but that a look at customers is written
// down on purpose: on their pages, their lists and the paper with their address.
func TestASVS_3_5_3_LookingChangesNothing(t *testing.T) {
	s := On(t, openSQLite(t))
	fill := s.everyPage(t)
	before := s.entries(t)
	looked := 0
	for _, route := range app.Routes(s.App.Services) {
		if route.Method != http.MethodGet || strings.HasPrefix(route.Path, "/static/") || strings.Contains(route.Path, "customer") || strings.Contains(route.Path, "contacts") || strings.HasSuffix(route.Path, "/packing-list") || strings.HasPrefix(route.Path, "/lists/") {
			continue
		}
		for _, path := range paths(route.Path, fill[route.Path]) {
			if strings.Contains(path, ":") {
				path = filled(route.Path)
			}
			if strings.HasSuffix(path, "/events") {
				path += "?follow=no"
			}
			was := s.entries(t)
			s.Do(t, Row{Who: Desk, Path: path})
			s.Do(t, Row{Who: Inspector, Path: path})
			looked++
			if now := s.entries(t); now != was {
				t.Errorf("%s: %d entries came into the log", path, now-was)
			}
		}
	}
	t.Logf("%d addresses, %d entries before and after", looked, before)
	if looked < 150 {
		t.Errorf("only %d addresses were looked at", looked)
	}
}

func TestASVS_3_2_2_TextIsPutInAsText(t *testing.T) {
	ways := regexp.MustCompile(`\.(innerHTML|outerHTML)\s*\+?=[^=]|insertAdjacentHTML|document\.write|\beval\(|new Function\(|createContextualFragment|setTimeout\(\s*["']`)
	files, err := filepath.Glob("../web/static/*.js")
	if err != nil || len(files) < 20 {
		t.Fatalf("%d modules: %v", len(files), err)
	}
	for _, file := range files {
		raw, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		if found := ways.Find(raw); found != nil {
			t.Errorf("%s: %s", filepath.Base(file), found)
		}
	}
}

func TestASVS_3_2_1_AFileIsNoPage(t *testing.T) {
	s := On(t, openSQLite(t))
	s.run(t, Row{Who: Operator, Path: "/api/v1/lots", Body: object{"code": "SP-1", "material": "spokes"}, Status: http.StatusCreated})
	page := []byte("<html><script>alert(1)</script>")
	for _, first := range []string{"", "%PDF-1.7\n", "\xff\xd8\xff\xe0\x00\x10JFIF\x00", "\x89PNG\r\n\x1a\n"} {
		raw := append([]byte(first), page...)
		s.Do(t, upload(t, "", Operator, "/lots/SP-1/papers", "x.html", raw, 0))
	}
	_, _, body := s.Do(t, Row{Who: Desk, Path: "/lots/SP-1"})
	links := regexp.MustCompile(`/papers/[0-9a-f-]{36}`).FindAllString(string(body), -1)
	if len(links) == 0 {
		t.Fatal("no file was kept")
	}
	for _, link := range links {
		_, header, _ := s.Do(t, Row{Who: Desk, Path: link})
		kind := header.Get("Content-Type")
		if kind != "application/pdf" && kind != "image/jpeg" && kind != "image/png" || header.Get("X-Content-Type-Options") != "nosniff" || !strings.HasPrefix(header.Get("Content-Disposition"), "inline; filename=") ||
			strings.Contains(header.Get("Content-Disposition"), ".html") || header.Get("Cross-Origin-Resource-Policy") != "same-origin" {
			t.Errorf("%s is sent as %v", link, header)
		}
	}
	if httpx.MaxFile < 1 {
		t.Error("no file is read")
	}
}
