package servertest

import (
	"io/fs"
	"net/http"
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
)

// Chapters 1, 2 and 15 of OWASP ASVS 5.0.0: what comes in, and what becomes of it.

// unescaped finds what is typed below where a sign of it stands as itself before the
// name: the end of a tag, the beginning of one, or either quotation mark, before
// what may be escaped of the rest.
var unescaped = regexp.MustCompile(`(?i)(?:<|>(?:<|&lt;)|'(?:>|&gt;)(?:<|&lt;)|"(?:'|&#39;|&apos;)(?:>|&gt;)(?:<|&lt;))zz9`)

func TestASVS_1_2_1_TheSignsThatAreLookedFor(t *testing.T) {
	for shown, want := range map[string]bool{
		`<p>&#34;&#39;&gt;&lt;zz9 x=1&gt;&amp;</p>`:                    false, // as text
		`<p title="&#34;&#39;&gt;&lt;zz9 x=1&gt;&amp;">`:               false, // as an attribute
		`<script type="application/json">"\u0022\u0027\u003e\u003czz9`: false, // as JSON
		`<a href="/lots/X%22%27%3E%3Czz9">`:                            false, // as an address
		`<p>"'><zz9 x=1>&</p>`:                                         true,
		`<p>&#34;&#39;&gt;<zz9 x=1&gt;`:                                true,
		`<p title=""&#39;&gt;&lt;zz9 x=1&gt;">`:                        true,
		`<p title='&#34;'&gt;&lt;zz9 x=1&gt;'>`:                        true,
		`<p title=""'&gt;&lt;zz9">`:                                    true,
		`<p title=x&#34;&#39;>&lt;zz9">`:                               true,
	} {
		if got := unescaped.MatchString(shown); got != want {
			t.Errorf("%s: %v, want %v", shown, got, want)
		}
	}
}

// What people type, and what stands in an address, is shown as what it is on every
// page: no sign of it begins a tag or ends an attribute.
func TestASVS_1_2_1_WhatIsTypedIsShownAsText(t *testing.T) {
	const typed = `"'><zz9 x=1>&`
	s := On(t, openSQLite(t))
	fill := s.everyPage(t)
	stamp := models.NewStamp(s.Shop.Owner, s.Now)
	s.Must(s.Store.SetSetting(t.Context(), stamp, models.SettingShopName, "Shop "+typed))
	_, err := s.App.Services.Access.AddPerson(t.Context(), s.Shop.Owner, access.NewPerson{Name: "Somebody " + typed, Role: models.Operator, PIN: PIN})
	s.Must(err)
	sub := s.Extremes()
	sub.Conditions.Note = "note " + typed
	for _, row := range []Row{
		{Who: Operator, Path: "/api/v1/lots", Body: object{"code": "X" + typed, "material": "spokes", "supplier": "maker " + typed, "description": "bag " + typed}},
		{Who: Desk, Path: "/api/v1/holds", Body: object{"item": s.Serial[models.KindWheel], "code": "W15", "reason": "because " + typed}},
		{Who: OperatorAtStand, Path: "/api/v1/inspections", Body: sub},
		Posted("", Owner, "/customers/new", url.Values{"name": {"Customer " + typed}, "contact": {typed}, "address": {typed}}, 0),
		upload(t, "", Operator, "/lots/SP-0214/papers", "photo "+typed+".jpg", photo(t), 0),
	} {
		s.Do(t, row)
	}
	fill["/lots/:code"] = append(fill["/lots/:code"], url.PathEscape("X"+typed))
	namesOf := asked(t, "web", "httpx")
	pages, shown := 0, 0
	for _, route := range app.Routes(s.App.Services) {
		if route.Method != http.MethodGet || strings.HasPrefix(route.Path, "/api/") || strings.HasPrefix(route.Path, "/static/") {
			continue
		}
		for _, path := range paths(route.Path, slices.Clone(fill[route.Path])) {
			address, _, _ := strings.Cut(path, "?")
			query := url.Values{}
			for _, name := range namesOf(route.Handler) {
				if name != "as" && name != "follow" {
					query.Set(name, typed)
				}
			}
			for _, p := range []string{path, address + "?" + query.Encode()} {
				_, header, body := s.Do(t, Row{Who: Owner, Path: p})
				if !strings.HasPrefix(header.Get("Content-Type"), "text/html") {
					continue
				}
				pages++
				if found := unescaped.Find(body); found != nil {
					t.Errorf("%.100s: what was typed begins a tag or ends an attribute: %s", p, found)
				}
				if strings.Contains(string(body), "&lt;zz9") {
					shown++
				}
			}
		}
	}
	t.Logf("%d pages, what was typed stands on %d", pages, shown)
	if pages < 250 || shown < 100 {
		t.Errorf("%d pages, on %d stands what was typed: the test is not what it was", pages, shown)
	}
}

// sources gives the program's own source, without tests.
func sources(t *testing.T) map[string]string {
	t.Helper()
	all := map[string]string{}
	for _, root := range []string{"models", "server", "reports"} {
		err := filepath.WalkDir(filepath.Join("../..", root), func(path string, d fs.DirEntry, err error) error {
			if err != nil || d.IsDir() || !strings.HasSuffix(path, ".go") || strings.HasSuffix(path, "_test.go") {
				return err
			}
			raw, err := os.ReadFile(path)
			name, _ := filepath.Rel("../..", path)
			all[filepath.ToSlash(name)] = string(raw)
			return err
		})
		if err != nil {
			t.Fatal(err)
		}
	}
	if len(all) < 500 {
		t.Fatalf("only %d files of source were found", len(all))
	}
	return all
}

// Commands on the console are the owner's own; what a request reaches starts one
// program, pg_dump, with a fixed list of arguments, and only from the daily backup.
func TestASVS_1_2_5_NoRequestStartsAProgram(t *testing.T) {
	for name, source := range sources(t) {
		if !strings.Contains(source, `"os/exec"`) && !strings.Contains(source, `"syscall"`) && !strings.Contains(source, `"plugin"`) {
			continue
		}
		switch {
		case name == "models/store/snapshot_postgres.go", strings.HasSuffix(filepath.Dir(name), "test"): // what tests share
		case strings.HasPrefix(name, "server/bench/"): // a command's own work
		case strings.Count(name, "/") == 1, strings.Contains(source, "syscall") && !strings.Contains(source, `"os/exec"`): // a command; signals, errors and disks
		default:
			t.Errorf("%s starts programs", name)
		}
	}
}

// No request can make the server ask another one: nothing that answers requests
// opens a connection but to the database, and sends no mail.
func TestASVS_13_2_4_NoRequestReachesOut(t *testing.T) {
	out := regexp.MustCompile(`\bhttp\.(Get|Post|PostForm|Head|Client|DefaultClient|NewRequest|NewRequestWithContext|Transport|DefaultTransport)\b|\bnet\.(Dial|DialTimeout|Dialer|LookupHost|LookupIP)\b|"net/smtp"|go-mail|httputil\.|rpc\.Dial|websocket`)
	for name, source := range sources(t) {
		if strings.Count(name, "/") == 1 && strings.HasPrefix(name, "server/") || strings.HasPrefix(name, "server/bench/") || strings.HasSuffix(filepath.Dir(name), "test") {
			continue // a command on the console, its own work, or what tests share
		}
		if found := out.FindString(source); found != "" {
			t.Errorf("%s: %s", name, found)
		}
	}
}

func TestASVS_2_3_1_NoStepIsLeftOut(t *testing.T) {
	s := On(t, openSQLite(t))
	fresh := *s.AnotherWheel().Serial
	s.Run(t, []Row{
		{Name: "a certificate of what nobody inspected", Who: OperatorAtStand, Path: "/api/v1/items/" + fresh + "/certificates", Body: object{"confirm": object{"pin": PIN}}, Status: http.StatusConflict, Has: []string{`"code"`}},
		{Name: "readings confirmed without a secret", Who: OperatorAtStand, Path: "/api/v1/items/" + fresh + "/certificates", Body: object{}, Status: http.StatusUnprocessableEntity, Has: []string{`"confirm.pin"`}},
	})
}

func TestASVS_2_4_1_StrangersAreSlowedDown(t *testing.T) {
	s := On(t, openSQLite(t))
	a, err := app.New(s.Store, app.Config{Cost: cheap, StrangersAtOnce: 5, Now: s.Clock})
	s.Must(err)
	s.App = a
	in := s.sign[Desk]
	for i := range 5 {
		if status, _, _ := s.Do(t, Row{Path: "/signin"}); status != http.StatusOK {
			t.Fatalf("question %d: %d", i+1, status)
		}
	}
	slowed := map[string]string{"Retry-After": "1"}
	s.sign[Desk] = in
	s.Run(t, []Row{
		{Name: "the sixth", Path: "/signin", Status: http.StatusTooManyRequests, Headers: slowed, Has: []string{"Too many questions"}},
		{Name: "a program's with a key of its own making", Who: WrongKey, Path: "/api/v1/items", Status: http.StatusTooManyRequests, Headers: slowed, Has: []string{"problem/too_often"}},
		{Name: "a link tried through", Path: "/setup/AAAA", Status: http.StatusTooManyRequests},
		{Name: "who is signed in is not", Who: Desk, Path: "/items/" + s.Serial[models.KindWheel], Status: http.StatusOK},
		{Name: "a tablet is not", Who: OperatorAtStand, Path: "/api/v1/holds", Status: http.StatusOK},
	})
	// Whoever watches over the server is not, where it has such an address.
	if status, _, _ := s.Do(t, Row{Path: "/healthz"}); status == http.StatusTooManyRequests {
		for _, route := range app.Routes(s.App.Services) {
			if route.Path == "/healthz" {
				t.Error("whether the server lives is not told any more")
			}
		}
	}
}

// A field of a form is read from the form, and one of the query from the query.
func TestASVS_15_3_7_FieldsHaveOneSource(t *testing.T) {
	s := On(t, openSQLite(t))
	query := url.Values{"login": {"desk"}, "password": {Password}}.Encode()
	wrong := url.Values{"login": {"desk"}, "password": {"not the password"}}
	s.Run(t, []Row{
		Posted("a password in the address is none", Nobody, "/signin?"+query, url.Values{}, http.StatusUnprocessableEntity),
		Posted("nor does it stand in for a wrong one", Nobody, "/signin?"+query, wrong, http.StatusUnprocessableEntity),
		{Name: "nor by looking", Path: "/signin?" + query, Status: http.StatusOK},
		{Name: "a field of the body in the query", Who: Operator, Method: http.MethodPost, Path: "/api/v1/lots?code=X-1", Body: `{"material":"spokes","code":"X-2"}`, Status: http.StatusUnprocessableEntity, Has: []string{`"field":"code"`, `"unknown_field"`}},
	})
}

// Nobody becomes more by sending more fields than a form has.
func TestASVS_15_3_3_FieldsThatAreNotAskedForDoNothing(t *testing.T) {
	s := On(t, openSQLite(t))
	more := url.Values{"do": {"pin"}, "pin": {"582913"}, "role": {"owner"}, "active": {""}, "id": {s.People[Owner].ID}, "person": {s.People[Owner].ID}, "login": {"boss"}}
	s.Do(t, Posted("", Desk, "/own", more, 0))
	desk, err := s.App.Services.Access.Person(t.Context(), s.People[Desk].ID)
	s.Must(err)
	owner, err := s.App.Services.Access.Person(t.Context(), s.People[Owner].ID)
	s.Must(err)
	if desk.Role != models.Desk || !desk.Active || *desk.Login != "desk" || desk.PINHash == s.People[Desk].PINHash || owner.PINHash != s.People[Owner].PINHash {
		t.Errorf("the desk became %+v", desk)
	}
	sub := object{"code": "X-1", "material": "spokes", "created_by": "somebody else", "id": models.NewID()}
	s.run(t, Row{Who: Operator, Path: "/api/v1/lots", Body: sub, Status: http.StatusUnprocessableEntity, Has: []string{`"created_by"`, "unknown_field"}})
}

// The same request again does nothing a second time.
func TestReplayedRequests(t *testing.T) {
	Each(t, func(t *testing.T, s *Shop) {
		sub := s.Extremes()
		reading := gaugeReading("0.1")
		lot := object{"code": "X-1", "material": "spokes", "quantity": 7}
		hold := Row{Name: "a hold", Who: Desk, Path: "/api/v1/holds", Body: object{"item": s.Serial[models.KindPack], "code": "P02", "reason": "one block lower"}, Status: http.StatusCreated}
		s.Run(t, []Row{
			{Name: "an inspection", Who: OperatorAtStand, Path: "/api/v1/inspections", Body: sub, Status: http.StatusCreated, Has: []string{`"created":true`}},
			{Name: "an inspection again", Who: OperatorAtStand, Path: "/api/v1/inspections", Body: sub, Status: http.StatusOK, Has: []string{`"created":false`}},
			{Name: "a reading", Who: GaugeAtStand, Path: readingsAt1, Body: reading, Status: http.StatusAccepted, Has: []string{`"repeated":false`}},
			{Name: "a reading again", Who: GaugeAtStand, Path: readingsAt1, Body: reading, Status: http.StatusAccepted, Has: []string{`"repeated":true`}},
			{Name: "a lot", Who: Operator, Path: "/api/v1/lots", Body: lot, Status: http.StatusCreated},
			{Name: "a lot again", Who: Operator, Path: "/api/v1/lots", Body: lot, Status: http.StatusUnprocessableEntity, Has: []string{`"taken"`}},
			hold,
			{Name: "a certificate", Who: OperatorAtStand, Path: "/api/v1/items/" + sub.Serial + "/certificates", Body: object{"confirm": object{"pin": PIN}}, Status: http.StatusCreated},
			{Name: "a certificate again", Who: OperatorAtStand, Path: "/api/v1/items/" + sub.Serial + "/certificates", Body: object{"confirm": object{"pin": PIN}}, Status: http.StatusUnprocessableEntity, Has: []string{`"reason_needed"`}},
		})
		before := s.entries(t)
		// A request that was recorded while somebody was signed in, sent after they left.
		s.run(t, Row{Who: Desk, Method: http.MethodPost, Path: "/signout", Status: http.StatusSeeOther})
		hold.Status = http.StatusUnauthorized
		s.run(t, hold)
		// And a form of theirs, sent by a page of another site with their cookie.
		form := Posted("", Inspector, "/items/"+sub.Serial+"/hold", url.Values{"code": {"W15"}, "reason": {"x"}}, http.StatusForbidden)
		form.Header["Origin"] = "https://elsewhere.example"
		s.run(t, form)
		if now := s.entries(t); now != before {
			t.Errorf("%d entries came into the log", now-before)
		}
	})
}
