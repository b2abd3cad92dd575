package servertest

import (
	"net/http"
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
