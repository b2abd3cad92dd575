package web

import (
	"strings"
	"testing"

	"tracewright/models"
)

// Where there is no wheel to lace, the page leads to where one is added.
func TestLacingWithoutAProductLeadsOn(t *testing.T) {
	for role, want := range map[models.Role]string{models.Owner: `href="/families">Add one</a>`, models.Operator: "The owner adds it."} {
		body, err := renderPage("lace", LacePage{Frame: Frame{Actor: models.Actor{PersonID: "p", Role: role}}, Answer: "Which wheel?"})
		if err != nil {
			t.Fatal(err)
		}
		if !strings.Contains(string(body), want) {
			t.Errorf("%s: %q is not on the page", role, want)
		}
	}
}
