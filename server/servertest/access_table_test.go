package servertest

import (
	"net/http"
	"net/http/httptest"
	"net/url"
	"os"
	"strings"
	"testing"
	"time"

	"github.com/pquerna/otp/totp"

	"tracewright/models"
	"tracewright/models/work/access"
	"tracewright/server/app"
	"tracewright/server/httpx"
)

// routesTable holds one line for each route of the server: its act, its method, its
// path. It is kept by hand: whoever adds a route decides there, once more and where
// it is read over, who may take it.
const routesTable = "testdata/routes.txt"

func readRoutes(t *testing.T) map[string]models.Act {
	t.Helper()
	raw, err := os.ReadFile(routesTable)
	if err != nil {
		t.Fatal(err)
	}
	table := map[string]models.Act{}
	for line := range strings.Lines(string(raw)) {
		act, route, found := strings.Cut(strings.TrimSpace(line), " ")
		route = strings.TrimSpace(route)
		if _, twice := table[route]; !found || twice {
			t.Errorf("%s: the line %q is no act and route, or stands there twice", routesTable, line)
		}
		table[route] = models.Act(act)
	}
	return table
}

// asker is somebody, or something, at the door. may is what they may do by the
// table; an asker without acts is nobody to the server.
type asker struct {
	name     string
	may      []models.Act
	enrolled bool   // has a device's key and no person
	key      bool   // sends a key: a wrong one is told so everywhere
	gauge    bool   // of a gauge, to which no names are told
	anew     func() // makes the state again before each request, where a request ends it
}

// askers is everybody: each role with a password, by a tablet's browser, by a
// program's key; and everybody who may do nothing, or nothing any more.
func (s *Shop) askers(t *testing.T) []asker {
	t.Helper()
	people := s.App.Services.Access
	add := func(name string, role models.Role) models.Person {
		p, err := people.AddPerson(t.Context(), s.Shop.Owner, access.NewPerson{Name: name, Role: role, Login: strings.ReplaceAll(name, " ", "-"), Password: Password, PIN: PIN})
		s.Must(err)
		return p
	}
	device := func(name string) (key, id string) {
		key, d, err := people.Enrol(t.Context(), s.Shop.Owner, name, "stand 3")
		s.Must(err)
		return key, d.ID
	}
	// A browser as it comes back from the sign-in page, with what it was given before.
	browser := func(who string, form url.Values, with ...*http.Cookie) {
		r := httptest.NewRequest(http.MethodPost, "http://localhost/signin", strings.NewReader(form.Encode()))
		r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
		for _, c := range with {
			r.AddCookie(c)
		}
		answer := ask(s.App.Handler, r)
		var session *http.Cookie
		for _, c := range answer.Cookies() {
			if c.Name == "tracewright" {
				session = c
			}
		}
		if answer.StatusCode != http.StatusSeeOther || session == nil {
			t.Fatalf("%s comes in with %d and %v", who, answer.StatusCode, answer.Cookies())
		}
		s.sign[who] = func(r *http.Request) {
			r.AddCookie(session)
			for _, c := range with {
				r.AddCookie(c)
			}
		}
	}
	byPassword := func(p models.Person) url.Values { return url.Values{"login": {*p.Login}, "password": {Password}} }
	keyCookie := func(key string) *http.Cookie { return &http.Cookie{Name: "tracewright_device", Value: key} }

	owner, inspector, operator, desk := add("owner two", models.Owner), add("inspector two", models.Inspector), add("operator two", models.Operator), add("desk two", models.Desk)
	gone, renewed, out := add("gone", models.Inspector), add("renewed", models.Inspector), add("out", models.Inspector)
	halfway := add("halfway", models.Owner)
	key, _ := device("tablet three")
	other, _ := device("tablet four")
	revokedKey, revokedID := device("tablet five")
	gauge, _, err := people.EnrolProgram(t.Context(), s.Shop.Owner, "dial three", "stand 3")
	s.Must(err)
	atDevice := func(acts []models.Act) (left []models.Act) {
		for _, a := range acts {
			if !models.OfficeOnly(a) {
				left = append(left, a)
			}
		}
		return left
	}
	var list []asker
	for _, who := range []string{Owner, Inspector, Operator, Desk} {
		list = append(list, asker{name: who, may: mayDo[who]})
	}
	for who, p := range map[string]models.Person{Owner: owner, Inspector: inspector, Operator: operator} {
		s.atDevice(who+" by a program's key", key, p)
		list = append(list, asker{name: who + " by a program's key", may: atDevice(mayDo[who]), key: true})
		browser(who+" at a tablet", url.Values{"person": {p.ID}}, keyCookie(key))
		list = append(list, asker{name: who + " at a tablet", may: atDevice(mayDo[who])})
		s.atDevice(who+" by a gauge's key", gauge, p)
		list = append(list, asker{name: who + " by a gauge's key", may: []models.Act{models.ActLook, models.ActMeasure}, key: true, gauge: true})
	}
	s.sign["a tablet, nobody chosen"] = func(r *http.Request) { r.AddCookie(keyCookie(key)) }
	list = append(list, asker{name: GaugeAtStand, enrolled: true, key: true, gauge: true}, asker{name: "a tablet, nobody chosen", enrolled: true})

	// Nobody, for one reason or another.
	s.sign["a gauge's key in a browser"] = func(r *http.Request) { r.AddCookie(keyCookie(gauge)) }
	s.atDevice("the desk by a program's key", key, desk) // the desk has no work at a stand
	s.atDevice("nobody's id with a good key", key, models.Person{ID: models.NewID()})
	s.sign["a person without a key"] = func(r *http.Request) { r.Header.Set(httpx.PersonHeader, owner.ID) }
	s.sign["a token of one's own making"] = func(r *http.Request) {
		r.AddCookie(&http.Cookie{Name: "tracewright", Value: strings.Repeat("A", 43)})
	}
	s.sign["a name for a password"] = func(r *http.Request) { r.SetBasicAuth(*owner.Login, Password) }
	browser("a revoked tablet", url.Values{"person": {inspector.ID}}, keyCookie(revokedKey))
	s.atDevice("a revoked key", revokedKey, inspector)
	// The password of an owner who is asked for a code now is nobody's yet.
	offered, err := people.BeginSecond(t.Context(), models.Actor{PersonID: halfway.ID, Role: models.Owner})
	s.Must(err)
	code, err := totp.GenerateCode(strings.ReplaceAll(offered.Secret, " ", ""), s.Now)
	s.Must(err)
	_, err = people.ConfirmSecond(t.Context(), models.Actor{PersonID: halfway.ID, Role: models.Owner}, code, "")
	s.Must(err)
	for _, p := range []models.Person{gone, renewed, out, halfway} {
		browser(p.Name, byPassword(p))
	}
	s.atDevice("gone by a program's key", key, gone)
	s.Must(people.Revoke(t.Context(), s.Shop.Owner, revokedID))
	no := false
	_, err = people.UpdatePerson(t.Context(), s.Shop.Owner, gone.ID, access.Change{Active: &no})
	s.Must(err)
	s.Must(people.SetPassword(t.Context(), s.Shop.Owner, renewed.ID, "geese along the weir"))
	s.run(t, Row{Who: "out", Method: http.MethodPost, Path: "/signout", Status: http.StatusSeeOther})
	expired, stolen := "a session half an hour old", "a tablet's session at another tablet"
	return append(list,
		asker{name: Nobody}, asker{name: "a gauge's key in a browser"}, asker{name: WrongKey, key: true}, asker{name: "the desk by a program's key", key: true}, asker{name: "nobody's id with a good key", key: true},
		asker{name: "a person without a key"}, asker{name: "a token of one's own making"}, asker{name: "a name for a password", key: true},
		asker{name: "a revoked tablet"}, asker{name: "a revoked key", key: true}, asker{name: "gone"}, asker{name: "gone by a program's key", key: true}, asker{name: "renewed"}, asker{name: "out"}, asker{name: "halfway"},
		asker{name: expired, anew: func() {
			s.Now = s.Now.Add(-30 * time.Minute)
			browser(expired, byPassword(owner))
			s.Now = s.Now.Add(30 * time.Minute)
		}},
		asker{name: stolen, enrolled: true, anew: func() {
			browser(stolen, url.Values{"person": {owner.ID}}, keyCookie(key))
			session := s.sign[stolen]
			s.sign[stolen] = func(r *http.Request) {
				r.AddCookie(keyCookie(other)) // of two, the first counts
				session(r)
			}
		}})
}

// Every route of pages and interface, tried by everybody, with nothing useful to
// say: whoever may not is told so before anything is read, whoever may gets as far
// as the handler. A route that stands in no line of the table fails.
func TestEveryRouteHoldsItsAct(t *testing.T) {
	// One database is enough: the answer comes before any is asked.
	s := On(t, openSQLite(t))
	table, askers := readRoutes(t), s.askers(t)
	last := -1
	routes := app.Routes(s.App.Services)
	for i, route := range routes {
		if route.Path == "/signout" {
			last = i // It would end the sessions of those who are still to ask.
		}
	}
	routes = append(append(routes[:last:last], routes[last+1:]...), routes[last])
	asked := 0
	for _, route := range routes {
		name := route.Method + " " + route.Path
		act, listed := table[name]
		delete(table, name)
		if !listed {
			t.Errorf("%s lacks the line of a new route, by what it asks for now:\n%s %s", routesTable, route.Act, name)
			continue
		}
		for _, a := range askers {
			if a.anew != nil {
				a.anew()
			}
			want := contains(a.may, act)
			switch {
			case act == httpx.Public:
				want = !a.key || len(a.may) > 0 || a.enrolled || strings.HasPrefix(route.Path, "/static/") || route.Path == "/healthz" || route.Path == "/readyz"
			case act == httpx.Enrolled: // Anybody known, and a tablet before a name is tapped.
				want = len(a.may) > 0 || a.enrolled
			case act == httpx.AtTablet:
				want = (len(a.may) > 0 || a.enrolled) && !a.gauge
			}
			asked++
			status, header, _ := s.Do(t, Row{Who: a.name, Method: route.Method, Path: filled(route.Path), Body: bodyOf(route.Method)})
			// Without a password before it, the page of the second factor sends back to sign in.
			sendsBack := route.Path == "/signout" || route.Path == "/signin/code"
			if got := letIn(status, header); got != want && (!sendsBack || status == http.StatusUnauthorized) {
				t.Errorf("%s as %q: status %d; let in should be %v (%s)", name, a.name, status, want, act)
			}
			if status >= 500 {
				t.Errorf("%s as %q: status %d", name, a.name, status)
			}
			// Who is nobody to the server and who is somebody that may not are told apart.
			known := len(a.may) > 0
			if !want && known && status != http.StatusForbidden || !want && !known && status == http.StatusForbidden {
				t.Errorf("%s as %q: status %d for somebody known: %v", name, a.name, status, known)
			}
		}
	}
	for name, act := range table {
		t.Errorf("%s has a line of a route that is not there: %s %s", routesTable, act, name)
	}
	t.Logf("%d routes, %d askers, %d requests", len(routes), len(askers), asked)
	if len(askers) < 25 || asked < 8000 {
		t.Errorf("%d requests by %d askers: the table is not what it was", asked, len(askers))
	}
}

// Who has to set up a second factor first gets to that page alone, whatever their
// role: no route of pages or interface opens before it.
func TestNoRouteOpensBeforeTheSecondSecretIsSetUp(t *testing.T) {
	s := On(t, openSQLite(t))
	s.Must(s.Store.SetSetting(t.Context(), models.NewStamp(s.Shop.Owner, s.Now), models.SettingSecondSecret, "yes"))
	b := s.browser(t)
	b.signIn(Owner)
	s.sign["before it"] = signedBy([]*http.Cookie{{Name: "tracewright", Value: b.cookies["tracewright"]}})
	tried := 0
	for route, act := range readRoutes(t) {
		method, path, _ := strings.Cut(route, " ")
		path = strings.TrimSpace(path)
		if act == httpx.Public || path == httpx.SetUpPath {
			continue
		}
		tried++
		status, header, _ := s.Do(t, Row{Who: "before it", Method: method, Path: filled(path), Body: bodyOf(method)})
		if status != http.StatusForbidden && (status != http.StatusSeeOther || header.Get("Location") != httpx.SetUpPath) {
			t.Errorf("%s: %d to %q", route, status, header.Get("Location"))
		}
	}
	if _, leads, _ := b.send("/signout", url.Values{}); tried < 400 || leads != "/signin" {
		t.Errorf("%d routes tried; signing out leads to %q", tried, leads)
	}
}
