package servertest

import (
	"encoding/base64"
	"net/http"
	"net/http/httptest"
	"net/url"
	"regexp"
	"strings"
	"testing"

	"tracewright/models"
	"tracewright/models/work/access"
	"tracewright/server/app"
)

// Chapters 6 and 7 of OWASP ASVS 5.0.0: secrets and sessions. What a device, a PIN
// or a second factor is good for is tested beside them.

var passwordField = regexp.MustCompile(`<input[^>]*name="(?:password|confirm_password|pin)"[^>]*>`)

func TestASVS_6_2_6_to_6_2_7_PasswordFields(t *testing.T) {
	s := On(t, openSQLite(t))
	token, err := s.App.Services.Access.PasswordLink(t.Context(), s.Shop.Owner, s.People[Desk].ID)
	s.Must(err)
	for _, row := range []Row{{Path: "/signin"}, {Path: "/setup/" + token}, {Who: Desk, Path: "/own"}} {
		_, _, body := s.Do(t, row)
		fields := passwordField.FindAllString(string(body), -1)
		if len(fields) == 0 {
			t.Errorf("%s has no field for a secret: %s", row.Path, shortened(body))
		}
		for _, f := range fields {
			pin := strings.Contains(f, `name="pin"`)
			if !strings.Contains(f, `type="password"`) || !pin && !strings.Contains(f, `autocomplete="current-password"`) && !strings.Contains(f, `autocomplete="new-password"`) || strings.Contains(f, "readonly") || strings.Contains(f, "maxlength") {
				t.Errorf("%s: %s", row.Path, f)
			}
		}
	}
}

// A password counts as it was typed: whole, with its case and its spaces.
func TestASVS_6_2_8_to_6_2_9_PasswordsCountAsTyped(t *testing.T) {
	s := On(t, openSQLite(t))
	long := "Ein langer Satz mit Abstand " + strings.Repeat("und noch einem Wort ", 10) // 228 characters
	s.Must(s.App.Services.Access.SetPassword(t.Context(), s.Shop.Owner, s.People[Desk].ID, long))
	for _, c := range []struct {
		name, password string
		status         int
	}{
		{"its first 72 bytes", long[:72], http.StatusUnprocessableEntity},
		{"without its last space", strings.TrimSuffix(long, " "), http.StatusUnprocessableEntity},
		{"in small letters", strings.ToLower(long), http.StatusUnprocessableEntity},
		{"as it was set", long, http.StatusSeeOther},
	} {
		s.run(t, Posted(c.name, Nobody, "/signin", url.Values{"login": {"desk"}, "password": {c.password}}, c.status))
	}
}

func TestASVS_6_3_2_NobodyIsThereFromTheStart(t *testing.T) {
	a, err := app.New(openSQLite(t), app.Config{Cost: cheap})
	if err != nil {
		t.Fatal(err)
	}
	people, err := a.Services.Access.People(t.Context())
	if err != nil || len(people) != 0 {
		t.Errorf("a new shop has people: %v, %v", people, err)
	}
	for _, name := range []string{"admin", "root", "owner", "tracewright", "sa"} {
		r := httptest.NewRequest(http.MethodPost, "http://localhost/signin", strings.NewReader(url.Values{"login": {name}, "password": {name}}.Encode()))
		r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
		if answer := ask(a.Handler, r); answer.StatusCode == http.StatusSeeOther {
			t.Errorf("%s comes in", name)
		}
	}
}

// Which of login and password was wrong is not told, nor whether somebody left.
func TestASVS_6_3_1_ARefusalTellsNothing(t *testing.T) {
	s := On(t, openSQLite(t))
	no := false
	_, err := s.App.Services.Access.UpdatePerson(t.Context(), s.Shop.Owner, s.People[Inspector].ID, access.Change{Active: &no})
	s.Must(err)
	said := map[string]bool{}
	for _, form := range []url.Values{
		{"login": {"desk"}, "password": {"not the password at all"}},
		{"login": {"nobody"}, "password": {Password}},
		{"login": {"inspector"}, "password": {Password}}, // who left
	} {
		status, _, body := s.Do(t, Posted("", Nobody, "/signin", form, 0))
		text := strings.ReplaceAll(string(body), form.Get("login"), "")
		said[http.StatusText(status)+text] = true
	}
	if len(said) != 1 {
		t.Errorf("%d different refusals", len(said))
	}
}

func TestASVS_7_2_3_TokensAreRandom(t *testing.T) {
	s := On(t, openSQLite(t))
	seen := map[string]bool{}
	take := func(what, token string) {
		t.Helper()
		raw, err := base64.RawURLEncoding.DecodeString(token)
		if err != nil || len(raw)*8 < 128 || seen[token] {
			t.Errorf("%s %q: %d bits, %v, seen before: %v", what, token, len(raw)*8, err, seen[token])
		}
		seen[token] = true
	}
	for range 20 {
		_, header, _ := s.Do(t, Posted("", Nobody, "/signin", url.Values{"login": {"desk"}, "password": {Password}}, 0))
		_, token, _ := strings.Cut(header.Get("Set-Cookie"), "=")
		token, _, _ = strings.Cut(token, ";")
		take("a session's token", token)
		take("a device's key", s.enrol("stand 1"))
		link, err := s.App.Services.Access.PasswordLink(t.Context(), s.Shop.Owner, s.People[Desk].ID)
		s.Must(err)
		take("a link", link)
	}
}

// Every page that somebody signed in sees has a way out; from the large pages of the
// floor it is one step by the way home.
func TestASVS_7_4_4_EveryPageHasAWayOut(t *testing.T) {
	pages := 0
	for _, a := range answers(t) {
		if !a.isPage() || a.status != http.StatusOK || a.route == "" || a.route == "/signin" || a.route == "/setup/:token" {
			continue
		}
		pages++
		if !strings.Contains(a.body, `action="/signout"`) && !strings.Contains(a.body, `class="home" href="/"`) {
			t.Errorf("%s: no way out", a.path)
		}
	}
	if pages < 150 {
		t.Errorf("only %d pages were looked at", pages)
	}
}

// Where a person's own secrets are changed, what somebody else leaves open is not
// enough: the password is asked for.
func TestASVS_7_5_1_SecretsAskForTheSecret(t *testing.T) {
	s := On(t, openSQLite(t))
	// The old password is asked for although it was typed just now, and is not guessed at for ever.
	another := "geese along the weir"
	s.Run(t, []Row{
		Posted("just signed in, a new password alone", Inspector, "/own", url.Values{"do": {"password"}, "password": {another}}, http.StatusUnprocessableEntity),
		Posted("with another old one", Inspector, "/own", url.Values{"do": {"password"}, "confirm.password": {another}, "password": {another}}, http.StatusUnprocessableEntity, "Tries left: 4."),
		Posted("with the old one", Inspector, "/own", url.Values{"do": {"password"}, "confirm.password": {Password}, "password": {another}}, http.StatusSeeOther),
		Posted("a PIN within five minutes of it", Inspector, "/own", url.Values{"do": {"pin"}, "pin": {"582913"}}, http.StatusSeeOther),
	})
	s.Now = s.Now.Add(6 * 60 * 1e9) // beyond the five minutes that a typed password is good for
	own := func(name string, form url.Values, status int) Row {
		return Posted(name, Desk, "/own", form, status)
	}
	s.Run(t, []Row{
		own("a new password alone", url.Values{"do": {"password"}, "password": {"geese along the weir"}}, http.StatusUnprocessableEntity),
		own("a new PIN alone", url.Values{"do": {"pin"}, "pin": {"582913"}}, http.StatusUnprocessableEntity),
	})
	// Nor does an owner's page that was left open let anybody in who was not: by a link, a
	// PIN, a person, a role or a login of one's own making, or a device's key.
	for _, who := range []string{Owner, Desk} {
		at := "/people/" + s.People[who].ID
		for _, row := range []Row{
			Posted("a link for "+who, Owner, at+"/password-link", url.Values{}, http.StatusUnprocessableEntity),
			Posted("a PIN for "+who, Owner, at+"/pin", url.Values{"pin": {"582913"}}, http.StatusUnprocessableEntity),
			Posted("a role for "+who, Owner, at, url.Values{"name": {"The " + who}, "role": {"owner"}, "login": {who + ".new"}, "active": {"yes"}}, http.StatusUnprocessableEntity),
			Posted("a wrong password, "+who, Owner, at+"/password-link", url.Values{"confirm.password": {"not the password"}}, http.StatusUnprocessableEntity),
		} {
			row.Has, row.HasNot = []string{`aria-invalid="true"`, "Your password"}, []string{"/setup/"}
			s.run(t, row)
		}
	}
	enrolled, err := s.Store.Devices(t.Context())
	s.Must(err)
	tablet := enrolled[len(enrolled)-1] // by their names, after the gauge
	for _, row := range []Row{
		Posted("a person", Owner, "/people/new", url.Values{"name": {"Somebody"}, "role": {"owner"}, "login": {"somebody"}}, http.StatusUnprocessableEntity),
		Posted("a tablet", Owner, "/devices", url.Values{"name": {"Tablet"}, "place": {"stand 9"}}, http.StatusUnprocessableEntity),
		Posted("a program", Owner, "/devices", url.Values{"what": {"program"}, "name": {"Dial"}, "place": {"stand 9"}}, http.StatusUnprocessableEntity),
		Posted("a tablet's key that ends", Owner, "/devices/"+tablet.ID+"/revoke", url.Values{}, http.StatusUnprocessableEntity, "is kept there, and is sent once the tablet is enrolled again"),
		Posted("a tablet's key that is doubted", Owner, "/devices/"+tablet.ID+"/settle", url.Values{}, http.StatusUnprocessableEntity),
		Posted("a key that opens the backups", Owner, "/backups/key", url.Values{"do": {"draw"}, "before": {""}}, http.StatusUnprocessableEntity),
	} {
		row.HasNot = []string{"QQQQ"}
		row.Has = append(row.Has, `aria-invalid="true"`, "Your password")
		s.run(t, row)
	}
	for _, d := range enrolled {
		if again, err := s.Store.Device(t.Context(), d.ID); err != nil || again.RevokedAt != nil {
			t.Errorf("%s was revoked without the password: %v", d.Name, err)
		}
	}
	for _, who := range []string{Owner, Desk} {
		p, err := s.App.Services.Access.Person(t.Context(), s.People[who].ID)
		s.Must(err)
		if before := s.People[who]; p.PasswordHash != before.PasswordHash || p.PINHash != before.PINHash || p.Role != before.Role || *p.Login != *before.Login {
			t.Errorf("a secret or the role of %s was changed without one", who)
		}
	}
	// With it, it is done.
	s.run(t, Posted("a tablet revoked with the password", Owner, "/devices/"+tablet.ID+"/revoke", url.Values{"confirm.password": {Password}}, http.StatusSeeOther))
	if again, err := s.Store.Device(t.Context(), tablet.ID); err != nil || again.RevokedAt == nil {
		t.Errorf("with the password it is not revoked: %v", err)
	}
	s.run(t, Posted("a link with the password", Owner, "/people/"+s.People[Desk].ID+"/password-link", url.Values{"confirm.password": {Password}}, http.StatusOK, "/setup/"))
	s.run(t, Row{Name: "an inspector sets nobody else's", Who: Inspector, Method: http.MethodPost, Path: "/people/" + s.People[Desk].ID + "/pin", Body: "pin=582913", Header: map[string]string{"Content-Type": "application/x-www-form-urlencoded"}, Status: http.StatusForbidden})
	if models.Permitted(models.Inspector, models.ActManagePeople) {
		t.Error("an inspector manages people")
	}
}
