package servertest

import (
	"net/http"
	"net/url"
	"strings"
	"testing"
	"time"

	"tracewright/models"
	"tracewright/models/words"
)

// A form that is sent once more, gone back to or after an answer that was lost, is led
// to where it led before, and nothing is done twice.
func TestAFormSentAgainDoesNothingTwice(t *testing.T) {
	Each(t, func(t *testing.T, s *Shop) {
		ctx, serial := t.Context(), *s.Item[models.KindWheel].Serial
		path := "/items/" + serial + "/hold"
		form := func(once, reason string) url.Values {
			return url.Values{"once": {once}, "code": {"other"}, "reason": {reason}}
		}
		post := func(who string, form url.Values, want int) string {
			t.Helper()
			status, header, body := s.Do(t, Posted("", who, path, form, 0))
			if status != want {
				t.Fatalf("status %d, want %d: %s", status, want, shortened(body))
			}
			return header.Get("Location")
		}
		holds := func(want int, after string) {
			t.Helper()
			list, err := s.Store.HoldsOf(ctx, s.Item[models.KindWheel].ID)
			s.Must(err)
			if len(list) != want {
				t.Errorf("%s there are %d holds, want %d", after, len(list), want)
			}
		}
		first := post(Inspector, form("a", "it ticks"), http.StatusSeeOther)
		again := post(Inspector, form("a", "it ticks"), http.StatusSeeOther)
		if path, _, _ := strings.Cut(again, "?"); path == "" || !strings.HasPrefix(first, path) {
			t.Errorf("sent again it leads to %q, the first time to %q", again, first)
		}
		s.Run(t, []Row{{Name: "and says so", Who: Inspector, Path: again, Status: http.StatusOK, Has: []string{"You had sent this a moment ago"}}})
		holds(1, "sent again from the same page")
		post(Inspector, form("a", "it rattles"), http.StatusSeeOther)
		holds(2, "with other words from the same page")
		post(Inspector, form("b", "it ticks"), http.StatusSeeOther)
		holds(3, "from a page opened anew")
		post(Owner, form("a", "it ticks"), http.StatusSeeOther)
		holds(4, "by somebody else")
		s.Now = s.Now.Add(3 * time.Minute)
		post(Inspector, form("a", "it ticks"), http.StatusSeeOther)
		holds(5, "some minutes later")
		post(Inspector, form("c", ""), http.StatusUnprocessableEntity)
		post(Inspector, form("c", ""), http.StatusUnprocessableEntity)
		holds(5, "refused")
		s.Run(t, []Row{{Name: "the item says them all", Who: Inspector, Path: "/items/" + serial, Status: http.StatusOK, Has: []string{words.Serial(serial), "it rattles"}}})
	})
}
