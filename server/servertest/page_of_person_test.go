package servertest

import (
	"net/http"
	"net/url"
	"regexp"
	"testing"

	"tracewright/server/httpx"
)

// A page that lies open is of whom it was made for: signed in as somebody else in the
// same browser, what it kept goes in nobody's name but theirs.
func TestAPageActsForItsPersonAlone(t *testing.T) {
	Each(t, func(t *testing.T, s *Shop) {
		of := func(who string) map[string]string { return map[string]string{httpx.PersonHeader: s.People[who].ID} }
		sub := s.Extremes()
		post := func(name, made string, status int) Row {
			return Row{Name: name, Who: Inspector, Path: "/api/v1/inspections", Body: sub, Header: of(made), Status: status}
		}
		s.Run(t, []Row{
			post("what the operator kept, while the inspector is signed in", Operator, http.StatusUnauthorized),
			{Name: "nor is it looked at", Who: Inspector, Path: "/api/v1/drafts", Header: of(Operator), Status: http.StatusUnauthorized},
			post("their own", Inspector, http.StatusCreated),
			{Name: "a page without a name", Who: Inspector, Path: "/api/v1/drafts", Status: http.StatusOK},
		})
	})
}

// The roles are told apart by what stands beneath each; whoever gets a login is led
// to where a link for the password is made.
func TestAddingAPersonWithALogin(t *testing.T) {
	s := On(t, openSQLite(t))
	added := func(values url.Values, leads string) Row {
		values.Set("role", "operator")
		values.Set("confirm.password", Password)
		row := Posted(values.Get("name"), Owner, "/people/new", values, http.StatusSeeOther)
		row.After = func(t *testing.T, h http.Header, _ []byte) {
			if at := h.Get("Location"); !regexp.MustCompile(leads).MatchString(at) {
				t.Errorf("leads to %q, want %s", at, leads)
			}
		}
		return row
	}
	s.Run(t, []Row{
		{Name: "the roles", Who: Owner, Path: "/people/new", Status: http.StatusOK, HasNot: []string{"<option"},
			Has: []string{`<input type="radio" name="role" value="operator" checked required><span>Operator<span`, "release own work and issue its certificate", `value="owner" required><span>Owner<span class="small quiet under">Everything.`}},
		added(url.Values{"name": {"Bo Lind"}, "login": {"bo"}}, "^/people/[0-9a-f-]{36}\\?done=person$"),
		added(url.Values{"name": {"Dee Marr"}}, "^/people\\?done=person$"),
		Posted("sign in fails in the words of its fields", Nobody, "/signin", url.Values{"login": {"bo"}, "password": {"not that one"}}, http.StatusUnprocessableEntity, "Login and password do not belong together."),
	})
}
