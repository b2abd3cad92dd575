package app

import (
	"log/slog"
	"net/http"
	"net/http/httptest"
	"net/url"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"tracewright/models"
	"tracewright/models/store/storetest"
	"tracewright/models/work/access"
	"tracewright/server/httpx"
)

func TestMain(m *testing.M) { storetest.Main(m) }

// mayWhom is who may do what, as the workshop says it: operators record,
// correct their own, raise holds and release; inspectors also lift, void,
// decide, calibrate and ship; the desk looks, may stop an item, packs and ships,
// answers claims as inspectors do,
// and knows the customers, only in the office; what was built before the log, in other
// people's names, inspectors enter too, in the office; specifications, people and
// devices are the owner's, and only there.
var mayWhom = map[models.Act]struct {
	roles    string
	atDevice bool
}{
	models.ActLook:         {"operator inspector desk owner", true},
	models.ActMeasure:      {"operator inspector owner", true},
	models.ActRecord:       {"operator inspector owner", true},
	models.ActPrint:        {"operator inspector desk owner", true},
	models.ActRaiseHold:    {"operator inspector desk owner", true},
	models.ActRelease:      {"operator inspector owner", true},
	models.ActReceive:      {"operator inspector owner", true},
	models.ActLiftHold:     {"inspector owner", true},
	models.ActVoid:         {"inspector owner", true},
	models.ActPlace:        {"inspector owner", true},
	models.ActCalibrate:    {"inspector owner", true},
	models.ActPack:         {"operator inspector desk owner", true},
	models.ActShip:         {"inspector desk owner", true},
	models.ActCustomers:    {"desk owner", false},
	models.ActRecall:       {"inspector owner", true},
	models.ActClaims:       {"inspector desk owner", true},
	models.ActConcede:      {"owner", true},
	models.ActDispose:      {"inspector owner", true}, // of what does not conform, with the PIN
	models.ActImprove:      {"inspector owner", true},
	models.ActEnterPast:    {"inspector owner", false},
	models.ActSpecify:      {"owner", false},
	models.ActManagePeople: {"owner", false},
	models.ActOwnSecrets:   {"operator inspector desk owner", false},
	httpx.Enrolled:         {"operator inspector desk owner", true},
	httpx.AtTablet:         {"operator inspector desk owner", true},
}

const password = "rain over the long canal"

var (
	cheap = access.Cost{MemoryKiB: 64, Passes: 1, Lanes: 1} // of hashes
	quiet = slog.New(slog.DiscardHandler)
)

// walker asks the whole server as somebody.
type walker struct {
	app    *App
	people map[models.Role]models.Person
	key    string // of an enrolled device
}

func newWalker(t *testing.T) *walker {
	t.Helper()
	a, err := New(storetest.New(t), Config{Cost: cheap, Log: quiet, StrangersAtOnce: 1 << 20})
	if err != nil {
		t.Fatal(err)
	}
	w := &walker{app: a, people: map[models.Role]models.Person{}}
	for _, role := range models.Roles {
		p, err := a.Services.Access.AddPerson(t.Context(), models.Actor{}, access.NewPerson{Name: "A " + string(role), Role: role, Login: string(role), Password: password})
		if err != nil {
			t.Fatal(err)
		}
		w.people[role] = p
	}
	if w.key, _, err = a.Services.Access.Enrol(t.Context(), models.Actor{}, "Tablet", "stand 1"); err != nil {
		t.Fatal(err)
	}
	return w
}

func (w *walker) ask(r *http.Request) *http.Response {
	if strings.HasSuffix(r.URL.Path, "/events") {
		// A stream would go on for minutes; its first words say whether it is allowed.
		query := r.URL.Query()
		query.Set("follow", "no")
		r.URL.RawQuery = query.Encode()
	}
	answer := httptest.NewRecorder()
	w.app.Handler.ServeHTTP(answer, r)
	return answer.Result()
}

// request is a route with something in the place of its parameters.
func request(r httpx.Route) *http.Request {
	path := regexp.MustCompile(`[:*]\w+`).ReplaceAllString(r.Path, "0193d0a0-0000-7000-8000-000000000000")
	out := httptest.NewRequest(r.Method, "http://localhost"+path, nil)
	if r.Method != http.MethodGet {
		out.Header.Set("Content-Type", "application/x-www-form-urlencoded")
		if strings.HasPrefix(path, "/api/") {
			out.Header.Set("Content-Type", "application/json")
		}
	}
	return out
}

// session signs a role in with its password.
func (w *walker) session(t *testing.T, role models.Role) func(*http.Request) {
	t.Helper()
	r := httptest.NewRequest(http.MethodPost, "http://localhost/signin", strings.NewReader(url.Values{"login": {string(role)}, "password": {password}}.Encode()))
	r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	answer := w.ask(r)
	if answer.StatusCode != http.StatusSeeOther || len(answer.Cookies()) != 1 {
		t.Fatalf("sign in as %s: %d with %d cookies", role, answer.StatusCode, len(answer.Cookies()))
	}
	return func(r *http.Request) { r.AddCookie(answer.Cookies()[0]) }
}

// program is a program with the device's key that acts for a role.
func (w *walker) program(role models.Role) func(*http.Request) {
	return func(r *http.Request) {
		r.Header.Set("Authorization", "Bearer "+w.key)
		r.Header.Set(httpx.PersonHeader, w.people[role].ID)
	}
}

// doors says how an answer treats whoever asked.
func doors(answer *http.Response) string {
	switch {
	case answer.StatusCode == http.StatusForbidden:
		return "forbidden"
	case answer.StatusCode == http.StatusUnauthorized, strings.HasPrefix(answer.Header.Get("Location"), "/signin"):
		return "nobody"
	case answer.StatusCode >= http.StatusInternalServerError:
		return "fault"
	}
	return "open"
}

func TestEveryRouteWithEveryRole(t *testing.T) {
	w := newWalker(t)
	type asker struct {
		name   string
		role   models.Role
		device bool
		as     func(*http.Request)
	}
	var askers []asker
	for _, role := range models.Roles {
		askers = append(askers, asker{string(role) + " with a password", role, false, w.session(t, role)})
		askers = append(askers, asker{string(role) + " at a device", role, true, w.program(role)})
	}
	for _, route := range Routes(w.app.Services) {
		if route.Act == httpx.Public {
			continue
		}
		t.Run(route.Method+" "+route.Path, func(t *testing.T) {
			may, known := mayWhom[route.Act]
			if !known {
				t.Fatalf("the act %s stands in no row of this test", route.Act)
			}
			if got := doors(w.ask(request(route))); got != "nobody" {
				t.Errorf("nobody: %s, want to be asked who it is", got)
			}
			for _, a := range askers {
				want := "forbidden"
				switch {
				case a.device && a.role == models.Desk:
					want = "nobody" // The desk has no work at a stand.
				case slices.Contains(strings.Fields(may.roles), string(a.role)) && (may.atDevice || !a.device):
					want = "open"
				}
				r := request(route)
				a.as(r)
				if got := doors(w.ask(r)); got != want {
					t.Errorf("%s: %s, want %s (act %s)", a.name, got, want, route.Act)
				}
			}
		})
	}
}

// A change that anybody may make, or everybody who only looks, is written down
// here, so that a new one is decided on and not forgotten.
func TestFewChangesAreOpenToAll(t *testing.T) {
	open := map[string]models.Act{
		"POST /signin":       httpx.Public,
		"POST /signin/code":  httpx.Public,
		"POST /signout":      httpx.Public,
		"POST /setup/:token": httpx.Public,
		// A gauge has a key and no person; what it sends is shown and not stored.
		"POST /api/v1/stands/:stand/readings": httpx.Enrolled,
		// So has a thermometer on the shelf: what it sends stands under its device.
		"POST /api/v1/shelf/temperatures": httpx.Enrolled,
	}
	for _, r := range Routes(newWalker(t).app.Services) {
		name := r.Method + " " + r.Path
		if r.Method == http.MethodGet {
			continue
		}
		if want, listed := open[name]; listed && r.Act == want {
			continue
		}
		if r.Act == httpx.Public || r.Act == httpx.Enrolled || r.Act == models.ActLook {
			t.Errorf("%s changes something and asks only for %s", name, r.Act)
		}
	}
}

func TestADeviceWithoutAPersonSeesTheNamesAndNoMore(t *testing.T) {
	w := newWalker(t)
	for _, test := range []struct{ path, want string }{
		{"/api/v1/people", "open"},
		{"/api/v1/items", "nobody"},
		{"/api/v1/families", "nobody"},
	} {
		r := httptest.NewRequest(http.MethodGet, "http://localhost"+test.path, nil)
		r.Header.Set("Authorization", "Bearer "+w.key)
		if got := doors(w.ask(r)); got != test.want {
			t.Errorf("GET %s with the key alone: %s, want %s", test.path, got, test.want)
		}
	}
}

func TestARevokedDeviceAndAPersonWhoLeftAreNobodyAtOnce(t *testing.T) {
	w := newWalker(t)
	people := w.app.Services.Access
	look := httpx.Route{Method: http.MethodGet, Path: "/api/v1/items"}
	as := func(who func(*http.Request)) string {
		r := request(look)
		who(r)
		return doors(w.ask(r))
	}
	inspector, tablet := w.session(t, models.Inspector), w.program(models.Operator)
	if a, b := as(inspector), as(tablet); a != "open" || b != "open" {
		t.Fatalf("before: %s and %s", a, b)
	}
	no := false
	if _, err := people.UpdatePerson(t.Context(), models.Actor{}, w.people[models.Inspector].ID, access.Change{Active: &no}); err != nil {
		t.Fatal(err)
	}
	devices, err := people.Devices(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	if err := people.Revoke(t.Context(), models.Actor{}, devices[0].ID); err != nil {
		t.Fatal(err)
	}
	if a, b := as(inspector), as(tablet); a != "nobody" || b != "nobody" {
		t.Errorf("after: %s and %s, want nobody", a, b)
	}
}

func TestASessionEnds(t *testing.T) {
	at := time.Now()
	for _, test := range []struct {
		name string
		then func(t *testing.T, a *App, owner models.Person)
		want string
	}{
		{"not after 29 minutes without a request", func(t *testing.T, a *App, owner models.Person) { at = at.Add(29 * time.Minute) }, "open"},
		{"after 30 minutes without a request", func(t *testing.T, a *App, owner models.Person) { at = at.Add(30 * time.Minute) }, "nobody"},
		{"when the password changes", func(t *testing.T, a *App, owner models.Person) {
			if err := a.Services.Access.SetPassword(t.Context(), models.Actor{}, owner.ID, "geese along the weir"); err != nil {
				t.Fatal(err)
			}
		}, "nobody"},
		{"not when old ones are cleared away", func(t *testing.T, a *App, owner models.Person) {
			if err := a.sessions.DeleteExpired(t.Context()); err != nil {
				t.Fatal(err)
			}
		}, "open"},
	} {
		t.Run(test.name, func(t *testing.T) {
			a, err := New(storetest.New(t), Config{Cost: cheap, Log: quiet, Now: func() time.Time { return at }})
			if err != nil {
				t.Fatal(err)
			}
			owner, err := a.Services.Access.AddPerson(t.Context(), models.Actor{}, access.NewPerson{Name: "An owner", Role: models.Owner, Login: "owner", Password: password})
			if err != nil {
				t.Fatal(err)
			}
			w := &walker{app: a}
			as := w.session(t, models.Owner)
			test.then(t, a, owner)
			r := request(httpx.Route{Method: http.MethodGet, Path: "/api/v1/items"})
			as(r)
			if got := doors(w.ask(r)); got != test.want {
				t.Errorf("%s, want %s", got, test.want)
			}
		})
	}
}
