package servertest

import (
	"net/http"
	"strings"
	"testing"

	"tracewright/models/work/nonconforming"
)

// What touches safety stays in front on both lists, however much of it there is: it
// shares a row, and none of it falls among what merely waits.
func TestWhatTouchesSafetyStaysInFront(t *testing.T) {
	Each(t, func(t *testing.T, s *Shop) {
		add := func(code string) {
			_, err := s.App.Services.Nonconforming.Add(t.Context(), s.Shop.Owner, nonconforming.Opening{Item: s.AnotherWheel().ID, Code: code, Note: "seen at the stand"})
			s.Must(err)
		}
		for range 7 {
			add("W08") // A shipped code that touches safety.
		}
		for range 2 {
			add("W14") // One that does not.
		}
		s.Run(t, []Row{
			{Name: "what needs attention", Who: Owner, Path: "/attention", Status: http.StatusOK, Has: []string{"4 more nonconformities touch safety", "2 nonconformities are open"}},
			{Name: "as a table", Who: Owner, Path: "/attention?as=csv", Status: http.StatusOK, After: func(t *testing.T, _ http.Header, body []byte) {
				if n := strings.Count(string(body), ",safety,"); n != 4 {
					t.Errorf("%d rows of safety, want three and one for the rest: %s", n, body)
				}
			}},
			{Name: "today", Who: Owner, Path: "/", Status: http.StatusOK, Has: []string{"3 more nonconformities touch safety", "2 more nonconformities are open"}},
		})
	})
}
