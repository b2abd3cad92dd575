package servertest

import (
	"io"
	"net/http"
	"net/http/httptest"
	"net/url"
	"strings"
	"testing"

	"tracewright/server/app"
)

// Where a new shop leads whoever finds it before its owner: to what the console printed,
// which is not told; and what a password and a PIN have to be is said before they are
// refused, and that a good one has to be typed again beside a bad one.
func TestTheFirstDayHasNoDeadEnds(t *testing.T) {
	a, err := app.New(openSQLite(t), app.Config{Cost: cheap})
	if err != nil {
		t.Fatal(err)
	}
	token, err := a.Services.Access.FirstOwnerLink(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	at := func(path string, form url.Values) string {
		t.Helper()
		r := httptest.NewRequest(http.MethodGet, "http://localhost"+path, nil)
		if form != nil {
			r = httptest.NewRequest(http.MethodPost, "http://localhost"+path, strings.NewReader(form.Encode()))
			r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
		}
		body, err := io.ReadAll(ask(a.Handler, r).Body)
		if err != nil {
			t.Fatal(err)
		}
		return string(body)
	}
	says := func(what, page string, has, hasNot []string) {
		t.Helper()
		for _, text := range has {
			if !strings.Contains(page, text) {
				t.Errorf("%s does not say %q:\n%s", what, text, page)
			}
		}
		for _, text := range hasNot {
			if strings.Contains(page, text) {
				t.Errorf("%s says %q", what, text)
			}
		}
	}
	says("signing in before there is an owner", at("/signin", nil), []string{"no owner yet", "console"}, []string{"Forgotten?", token, "/setup/"})
	says("setting up", at("/setup/"+token, nil), []string{"At least 12 characters", "4 to 8 digits"}, nil)
	form := url.Values{"name": {"Ilse Grauer"}, "login": {"ilse"}, "password": {"rain over the long canal"}, "pin": {"1234"}}
	says("a PIN that is easy", at("/setup/"+token, form), []string{"too easy to guess", "The password was good."}, []string{"The PIN was good."})
	form.Set("pin", "4709")
	form.Set("password", "short")
	says("a short password", at("/setup/"+token, form), []string{"The PIN was good."}, []string{"The password was good."})
	form.Set("password", "rain over the long canal")
	at("/setup/"+token, form)
	says("signing in afterwards", at("/signin", nil), []string{"Forgotten?"}, []string{"no owner yet"})
}
