package httpx

import (
	"net/http"
	"net/http/httptest"
	"testing"
	"time"

	"tracewright/models"
	"tracewright/models/work/access"
)

const signIn = "/in?login=ilse&password=" + goodPassword

func TestSigningInRenewsTheToken(t *testing.T) {
	d := newDesk(t, SessionOptions{})
	planted := d.browser()
	planted.mustWork(http.MethodPost, signIn)
	before := planted.cookies["tracewright"]
	victim := d.browser()
	victim.cookies["tracewright"] = before
	victim.mustWork(http.MethodPost, signIn)
	if after := victim.cookies["tracewright"]; after == before || after == "" {
		t.Errorf("token after signing in is %q, before %q; want a new one", after, before)
	}
	if got := planted.who(); got != "" {
		t.Errorf("the token from before is still %s", got)
	}
	made := d.browser()
	made.cookies["tracewright"] = "a-token-of-my-own-making"
	made.mustWork(http.MethodPost, signIn)
	if made.cookies["tracewright"] == "a-token-of-my-own-making" {
		t.Error("a token that a browser made up is taken over")
	}
}

// OWASP ASVS 5.0, 3.3.1 to 3.3.4.
func TestCookies(t *testing.T) {
	for _, test := range []struct {
		name   string
		secure bool
		prefix string
	}{
		{"over plain HTTP", false, ""},
		{"over TLS", true, "__Host-"},
	} {
		t.Run(test.name, func(t *testing.T) {
			d := newDesk(t, SessionOptions{Secure: test.secure})
			b := d.browser()
			b.mustWork(http.MethodPost, signIn)
			cookies := b.set
			b.mustWork(http.MethodPost, "/enrol")
			cookies = append(cookies, b.set...)
			names := map[string]bool{}
			for _, c := range cookies {
				names[c.Name] = true
				if !c.HttpOnly || c.Secure != test.secure || c.SameSite != http.SameSiteLaxMode || c.Path != "/" || c.Domain != "" {
					t.Errorf("cookie %s: %+v, want HttpOnly, Secure %v, SameSite Lax, Path /", c.Name, c, test.secure)
				}
			}
			if !names[test.prefix+"tracewright"] || !names[test.prefix+"tracewright_device"] {
				t.Errorf("cookies %v, want both with the prefix %q", names, test.prefix)
			}
		})
	}
}

func TestOneTapAtAnEnrolledDevice(t *testing.T) {
	d := newDesk(t, SessionOptions{})
	b := d.browser()
	if w := b.do(http.MethodPost, "/choose?person="+d.operator.ID); w.Code != http.StatusForbidden {
		t.Errorf("a tap in a browser that is no device: %d, want 403", w.Code)
	}
	b.mustWork(http.MethodPost, signIn)
	b.mustWork(http.MethodPost, "/enrol")
	if got := b.who(); got != "" {
		t.Errorf("after enrolling, %s is still signed in at the tablet", got)
	}
	for _, p := range []models.Person{d.operator, d.owner, d.operator} {
		b.mustWork(http.MethodPost, "/choose?person="+p.ID)
		if got, want := b.who(), p.Name+" at stand 1"; got != want {
			t.Errorf("after the tap: %q, want %q", got, want)
		}
	}
	if w := b.do(http.MethodPost, "/choose?person="+models.NewID()); w.Code != http.StatusNotFound {
		t.Errorf("a tap on nobody: %d, want 404", w.Code)
	}
	// A session of a device is nothing without the device's key.
	stolen := d.browser()
	stolen.cookies["tracewright"] = b.cookies["tracewright"]
	if got := stolen.who(); got != "" {
		t.Errorf("the session's cookie alone is %s", got)
	}
	otherKey, _, err := d.access.Enrol(t.Context(), models.Actor{}, "Another tablet", "bench 1")
	if err != nil {
		t.Fatal(err)
	}
	b.mustWork(http.MethodPost, "/choose?person="+d.operator.ID) // the stolen one was ended
	stolen.cookies["tracewright"] = b.cookies["tracewright"]
	stolen.cookies["tracewright_device"] = otherKey
	if got := stolen.who(); got != "" {
		t.Errorf("the session of one tablet at another is %s", got)
	}
	b.mustWork(http.MethodPost, "/choose?person="+d.operator.ID)
	if err := d.access.Revoke(t.Context(), models.Actor{}, d.device.ID); err != nil {
		t.Fatal(err)
	}
	if got := b.who(); got != "" {
		t.Errorf("after revoking: %s", got)
	}
	if b.cookies["tracewright_device"] != "" {
		t.Error("a revoked key stays in the browser")
	}
}

// Whoever has another role taps their name again, where that role works at a tablet at
// all; where it does not, a session that is still there is nothing either.
func TestAnotherRoleEndsTheSessionAtATablet(t *testing.T) {
	d := newDesk(t, SessionOptions{})
	b := d.browser()
	b.mustWork(http.MethodPost, signIn)
	b.mustWork(http.MethodPost, "/enrol")
	for _, role := range []models.Role{models.Inspector, models.Desk} {
		b.mustWork(http.MethodPost, "/choose?person="+d.operator.ID)
		if _, err := d.access.UpdatePerson(t.Context(), models.Actor{}, d.operator.ID, access.Change{Role: &role}); err != nil {
			t.Fatal(err)
		}
		if got := b.who(); got != "" {
			t.Errorf("who became %s is still %q", role, got)
		}
	}
	change := func(role models.Role) {
		t.Helper()
		if _, err := d.store.ChangePerson(t.Context(), models.NewStamp(models.Actor{}, d.at), d.operator.ID, func(p *models.Person, _ []models.Person) error { p.Role = role; return nil }); err != nil {
			t.Fatal(err)
		}
	}
	change(models.Operator)
	b.mustWork(http.MethodPost, "/choose?person="+d.operator.ID)
	change(models.Desk) // As a program from before did it, whose sessions went on.
	if got := b.who(); got != "" {
		t.Errorf("the desk at a tablet is %q", got)
	}
}

func TestIdleness(t *testing.T) {
	d := newDesk(t, SessionOptions{Idle: 20 * time.Minute})
	b := d.browser()
	b.mustWork(http.MethodPost, signIn)
	for range 5 {
		d.at = d.at.Add(19 * time.Minute)
		if got := b.who(); got != "Ilse Grauer" {
			t.Fatalf("with a request every 19 minutes: %q", got)
		}
	}
	d.at = d.at.Add(20 * time.Minute)
	if got := b.who(); got != "" {
		t.Errorf("after 20 minutes without one: %s", got)
	}
}

func TestSignOutEndsTheSessionInTheStore(t *testing.T) {
	d := newDesk(t, SessionOptions{})
	b := d.browser()
	b.mustWork(http.MethodPost, signIn)
	kept := b.cookies["tracewright"]
	b.mustWork(http.MethodPost, "/out")
	b.cookies["tracewright"] = kept
	if got := b.who(); got != "" {
		t.Errorf("a token kept from before signing out is %s", got)
	}
}

func TestConfirming(t *testing.T) {
	d := newDesk(t, SessionOptions{})
	office := d.browser()
	office.mustWork(http.MethodPost, signIn)
	tablet := d.browser()
	tablet.cookies["tracewright_device"] = d.key
	tablet.mustWork(http.MethodPost, "/choose?person="+d.operator.ID)
	for _, step := range []struct {
		name   string
		b      *browser
		after  time.Duration
		secret string
		want   int
	}{
		{"within five minutes of signing in", office, 4*time.Minute + 59*time.Second, "", 200},
		{"after five minutes", office, time.Second, "", 422},
		{"a wrong password", office, 0, "?password=rain", 422},
		{"the password", office, 0, "?password=" + goodPassword, 200},
		{"good for a while", office, 4 * time.Minute, "", 200},
		{"not for ever", office, time.Minute, "", 422},
		{"a PIN in the office", office, 0, "?pin=" + goodPIN, 422},
		{"at the tablet without a PIN", tablet, 0, "", 422},
		{"with the PIN", tablet, 0, "?pin=8302", 200},
		{"asked again each time", tablet, 0, "", 422},
		{"another person's PIN", tablet, 0, "?pin=" + goodPIN, 422},
	} {
		d.at = d.at.Add(step.after)
		if w := step.b.do(http.MethodPost, "/api/sign"+step.secret); w.Code != step.want {
			t.Errorf("%s: %d %s, want %d", step.name, w.Code, w.Body, step.want)
		}
	}
}

// OWASP ASVS 5.0, 7.2.4: a secret that is typed again makes a new token, and ends
// the one before.
func TestConfirmingRenewsTheToken(t *testing.T) {
	d := newDesk(t, SessionOptions{})
	b := d.browser()
	b.mustWork(http.MethodPost, signIn)
	before := b.cookies["tracewright"]
	copied := d.browser()
	copied.cookies["tracewright"] = before
	d.at = d.at.Add(6 * time.Minute)
	b.mustWork(http.MethodPost, "/api/sign?password="+goodPassword)
	if after := b.cookies["tracewright"]; after == before || after == "" {
		t.Errorf("the token after the password was typed again is %q, before %q", after, before)
	}
	if got := copied.who(); got != "" {
		t.Errorf("the token from before is still %s", got)
	}
	if got := b.who(); got != "Ilse Grauer" {
		t.Errorf("the browser that typed it is %q", got)
	}
}

func TestTooManyPINsSayWhenToComeBack(t *testing.T) {
	d := newDesk(t, SessionOptions{})
	b := d.browser()
	b.cookies["tracewright_device"] = d.key
	b.mustWork(http.MethodPost, "/choose?person="+d.operator.ID)
	for range 5 {
		b.do(http.MethodPost, "/api/sign?pin=0000")
	}
	w := b.do(http.MethodPost, "/api/sign?pin=8302")
	if w.Code != http.StatusTooManyRequests || w.Header().Get("Retry-After") != "30" {
		t.Errorf("%d, Retry-After %q, want 429 and 30", w.Code, w.Header().Get("Retry-After"))
	}
}

func TestPrograms(t *testing.T) {
	d := newDesk(t, SessionOptions{})
	for _, test := range []struct {
		name, authorization, person string
		want                        int
	}{
		{"key and person", "Bearer " + d.key, d.operator.ID, 422}, // reached the handler, which asks for the PIN
		{"the scheme's case does not matter", "bearer " + d.key, d.operator.ID, 422},
		{"key alone", "Bearer " + d.key, "", 401},
		{"key and nobody", "Bearer " + d.key, models.NewID(), 401},
		{"wrong key", "Bearer x" + d.key, d.operator.ID, 401},
		{"no key", "Bearer", d.operator.ID, 401},
		{"another scheme", "Basic aWxzZTpyYWlu", d.operator.ID, 401},
		{"person alone", "", d.operator.ID, 401},
	} {
		t.Run(test.name, func(t *testing.T) {
			r := httptest.NewRequest(http.MethodPost, "/api/sign", nil)
			if test.authorization != "" {
				r.Header.Set("Authorization", test.authorization)
			}
			r.Header.Set(PersonHeader, test.person)
			w := httptest.NewRecorder()
			d.engine.ServeHTTP(w, r)
			if w.Code != test.want {
				t.Errorf("%d %s, want %d", w.Code, w.Body, test.want)
			}
			if len(w.Result().Cookies()) > 0 {
				t.Errorf("a program is given a cookie: %v", w.Result().Cookies())
			}
		})
	}
}

func TestTheDemoSignsInByItselfAndOnlyWhenTold(t *testing.T) {
	d := newDesk(t, SessionOptions{})
	b := d.browser()
	if got := b.who(); got != "" {
		t.Fatalf("a fresh browser is %s", got)
	}
	d.sessions.SignInByItself(d.owner.ID)
	if got := b.who(); got != "Ilse Grauer" {
		t.Errorf("in the demo a fresh browser is %q", got)
	}
	// Nobody typed the password, so a release still asks for it.
	if w := b.do(http.MethodPost, "/api/sign"); w.Code != http.StatusUnprocessableEntity {
		t.Errorf("a release in the demo: %d, want 422", w.Code)
	}
}

func TestMountRefusesAForgottenAct(t *testing.T) {
	for name, r := range map[string]Route{
		"no act":      {Method: http.MethodGet, Path: "/x", Handler: ok},
		"unknown act": {Method: http.MethodGet, Path: "/x", Act: "fly", Handler: ok},
		"no handler":  {Method: http.MethodGet, Path: "/x", Act: models.ActLook, Handler: nil},
		"no method":   {Path: "/x", Act: models.ActLook, Handler: ok},
	} {
		if err := Mount(newDesk(t, SessionOptions{}).engine, testAnswers(), []Route{r}); err == nil {
			t.Errorf("%s: mounted", name)
		}
	}
}

// OWASP ASVS 5.0, 7.3.2: twelve hours end a session, however busy.
func TestSessionsEndInAnyCase(t *testing.T) {
	d := newDesk(t, SessionOptions{})
	b := d.browser()
	b.mustWork(http.MethodPost, signIn)
	for began := d.at; d.at.Before(began.Add(11*time.Hour + 55*time.Minute)); d.at = d.at.Add(20 * time.Minute) {
		if got := b.who(); got != "Ilse Grauer" {
			t.Fatalf("after %s: %q", d.at.Sub(began), got)
		}
	}
	d.at = d.at.Add(10 * time.Minute)
	if got := b.who(); got != "" {
		t.Errorf("after twelve hours of work the session is still %s", got)
	}
}

// A clock that is put back by days makes no session of days: twelve hours count from
// the moment that was noticed.
func TestAClockThatIsPutBackMakesNoSessionLonger(t *testing.T) {
	d := newDesk(t, SessionOptions{})
	b := d.browser()
	b.mustWork(http.MethodPost, signIn)
	d.at = d.at.Add(-72 * time.Hour)
	began := d.at
	if got := b.who(); got != "Ilse Grauer" {
		t.Fatalf("three days back: %q, want that work goes on", got)
	}
	for d.at.Before(began.Add(12*time.Hour + 10*time.Minute)) {
		d.at = d.at.Add(20 * time.Minute)
		if got := b.who(); got == "" {
			if d.at.Before(began.Add(12 * time.Hour)) {
				t.Errorf("it ended after %s", d.at.Sub(began))
			}
			return
		}
	}
	t.Error("after twelve hours of work the session goes on")
}
