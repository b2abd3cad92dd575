package servertest

import (
	"net/http"
	"net/url"
	"testing"
)

// A table is entered on the gauge's page as lines of two numbers; what is wrong
// with it is said there, and nothing typed is lost.
func TestGaugeTableIsEnteredOnItsPage(t *testing.T) {
	Each(t, func(t *testing.T, s *Shop) {
		enter := func(name, who, points string, status int, says ...string) Row {
			return Row{Name: name, Who: who, Method: http.MethodPost, Path: "/instruments/T-1/tables", Status: status, Has: says, Header: map[string]string{"Content-Type": "application/x-www-form-urlencoded"},
				Body: url.Values{"spoke_type": {"2.3 mm plain"}, "reason": {"the maker's sheet"}, "points": {points}}.Encode()}
		}
		s.Run(t, []Row{
			enter("a word too many", Inspector, "12 420\n20 1000 newtons", http.StatusUnprocessableEntity, "Line 2", "20 1000 newtons"),
			enter("turns back", Inspector, "12 420\n20 1000\n22 990", http.StatusUnprocessableEntity, "turn back", "22 990"),
			enter("no number", Inspector, "12 420\n20 x", http.StatusUnprocessableEntity, "not a number"),
			enter("one line", Inspector, "12 420", http.StatusUnprocessableEntity, "make a table"),
			enter("good", Inspector, "20 1000\r\n12; 420\n\n25,5\t1610", http.StatusSeeOther),
			enter("not an operator's", Operator, "12 420\n20 1000", http.StatusForbidden),
			{Name: "the desk sees it", Who: Desk, Path: "/instruments/T-1", Status: http.StatusOK, Has: []string{"25.5 is 1610"}, HasNot: []string{"Enter this table"}},
			{Name: "in the interface", Who: Desk, Path: "/api/v1/instruments/T-1/tables", Status: http.StatusOK, Has: []string{`"spoke_type":"2.3 mm plain"`, `"n":1`}},
			{Name: "an unknown gauge", Who: Desk, Path: "/api/v1/instruments/T-99/tables", Status: http.StatusNotFound},
		})
	})
}
