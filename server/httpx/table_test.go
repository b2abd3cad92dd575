package httpx

import (
	"net/http"
	"net/http/httptest"
	"testing"

	"github.com/gin-gonic/gin"

	"tracewright/models"
)

// asked answers a request with a table.
func asked(t *testing.T, query string, table Table) (*httptest.ResponseRecorder, error) {
	t.Helper()
	answer := httptest.NewRecorder()
	c, _ := gin.CreateTestContext(answer)
	c.Request = httptest.NewRequest(http.MethodGet, "/charts"+query, nil)
	err := SendTable(c, table)
	c.Writer.WriteHeaderNow()
	return answer, err
}

func TestATableIsWrittenAsASpreadsheetAddsItUp(t *testing.T) {
	table := Table{Name: "charts", Columns: []TableColumn{{Name: "item"}, {Name: "lateral run-out", Unit: "mm", Number: true}, {Name: "share", Unit: "%", Number: true}, {Name: "note"}},
		Rows: [][]string{{"W31-00001-8", "\u22120.25", "82.5", "=1+1"}, {"Ω, Ä", "1\u00a0200", "", "@x"}, {"short"}}}
	for query, want := range map[string]string{
		"?as=csv":                 "\ufeffitem,lateral run-out (mm),share (%),note\nW31-00001-8,-0.25,82.5,'=1+1\n\"Ω, Ä\",1200,,'@x\nshort,,,\n",
		"?as=csv&form=semicolons": "\ufeffitem;lateral run-out (mm);share (%);note\nW31-00001-8;-0,25;82,5;'=1+1\nΩ, Ä;1200;;'@x\nshort;;;\n",
	} {
		answer, err := asked(t, query, table)
		if err != nil || answer.Body.String() != want {
			t.Errorf("%s: %v\n%q, want\n%q", query, err, answer.Body, want)
		}
		if got := answer.Header().Get("Content-Type"); got != "text/csv; charset=utf-8" {
			t.Errorf("it is sent as %s", got)
		}
	}
	if _, err := asked(t, "?as=csv&form=tabs", table); err == nil {
		t.Error("a form that is none is taken")
	} else if _, invalid := err.(*models.InvalidError); !invalid {
		t.Errorf("%v", err)
	}
}

func TestTheLinkToATableKeepsTheFilters(t *testing.T) {
	c, _ := gin.CreateTestContext(httptest.NewRecorder())
	c.Request = httptest.NewRequest(http.MethodGet, "/charts?place=stand+2&family=f", nil)
	if got := TableQuery(c); got != "?as=csv&family=f&place=stand+2" || AsTable(c) {
		t.Errorf("%s, and as a table already: %v", got, AsTable(c))
	}
	link := TableQuery(c)
	c, _ = gin.CreateTestContext(httptest.NewRecorder())
	c.Request = httptest.NewRequest(http.MethodGet, "/charts"+link, nil)
	if !AsTable(c) {
		t.Error("the link leads to no table")
	}
}
