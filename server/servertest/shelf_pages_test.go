package servertest

import (
	"net/http"
	"net/url"
	"regexp"
	"testing"
	"time"

	"tracewright/models"
)

// A pack from its place on the shelf to the charger and off it again, by the
// plain forms of the pages.
func TestTheShelfOnItsPage(t *testing.T) {
	Each(t, func(t *testing.T, s *Shop) {
		now := s.Now
		s.Now = now.Add(-140 * 24 * time.Hour) // 138 days at 29 degrees, and two more
		s.MustRecord(s.Shop.Pack())
		s.Now = now
		pack := s.Serial[models.KindPack]
		form := func(name, who, path string, values url.Values, status int, says ...string) Row {
			return Row{Name: name, Who: who, Method: http.MethodPost, Path: path, Status: status, Has: says, Header: map[string]string{"Content-Type": "application/x-www-form-urlencoded"}, Body: values.Encode()}
		}
		s.Run(t, []Row{
			{Name: "nothing stands there", Who: Desk, Path: "/shelf", Status: http.StatusOK, Has: []string{"Nothing to charge today", "Nothing stands on the shelf"}, HasNot: []string{"Shelf temperature"}},
			form("a day that is none", Operator, "/items/"+pack+"/place", url.Values{"place": {"rack C 1"}, "day": {"soon"}}, http.StatusUnprocessableEntity, "not a date", "rack C 1"),
			form("a place", Operator, "/items/"+pack+"/place", url.Values{"place": {"rack  C 1"}, "day": {"2031-09-01"}}, http.StatusSeeOther),
			form("no temperature", Operator, "/shelf/temperature", url.Values{"place": {"rack C 1"}}, http.StatusUnprocessableEntity, "This is needed"),
			form("the desk notes none", Desk, "/shelf/temperature", url.Values{"place": {"rack C 1"}, "temperature_c": {"29"}}, http.StatusForbidden),
			form("a temperature", Operator, "/shelf/temperature", url.Values{"place": {"rack C 1"}, "temperature_c": {"29,0"}}, http.StatusSeeOther),
			{Name: "the temperature stands there", Who: Operator, Path: "/shelf/temperature", Status: http.StatusOK, Has: []string{"rack C 1: 29"}},
			{Name: "it stands there", Who: Desk, Path: "/shelf", Status: http.StatusOK, Has: []string{"1 pack", "rack C 1", "29\u00a0°C", "The maker’s data, local codes"}},
		})
		_, _, body := s.Do(t, Row{Who: Operator, Path: "/shelf"})
		found := regexp.MustCompile(`name="item" value="([0-9a-f-]{36})"`).FindSubmatch(body)
		if found == nil {
			t.Fatalf("nothing to charge: %s", shortened(body))
		}
		id := string(found[1])
		s.Run(t, []Row{
			{Name: "late", Who: Operator, Path: "/shelf", Status: http.StatusOK, Has: []string{"Charge one pack today", "2 days late", "<b>age</b>, 138 days at 29\u00a0°C"}},
			{Name: "charging all is asked about", Who: Operator, Path: "/shelf/charge-all", Status: http.StatusOK, Has: []string{"Are they on the charger?", pack[:3] + "-"}},
			{Name: "and nothing is on a charger by it", Who: Operator, Path: "/shelf", Status: http.StatusOK, Has: []string{"2 days late"}},
			form("the desk charges nothing", Desk, "/shelf/charge", url.Values{"item": {id}}, http.StatusForbidden),
			form("on the charger", Operator, "/shelf/charge", url.Values{"item": {id}}, http.StatusSeeOther),
			form("pressed twice", Operator, "/shelf/charge", url.Values{"item": {id}}, http.StatusSeeOther),
			form("an unknown pack", Operator, "/shelf/charge", url.Values{"item": {models.NewID()}}, http.StatusNotFound),
			{Name: "it is on the charger", Who: Operator, Path: "/shelf", Status: http.StatusOK, Has: []string{"on the charger", "End<"}, HasNot: []string{"days late"}},
		})
		_, _, body = s.Do(t, Row{Who: Operator, Path: "/shelf"})
		found = regexp.MustCompile(`/charges/[0-9a-f-]{36}/end`).FindSubmatch(body)
		if found == nil {
			t.Fatal("no charge to end")
		}
		end := string(found[0])
		s.Run(t, []Row{
			{Name: "the form of the end", Who: Operator, Path: end, Status: http.StatusOK, Has: []string{"Has the charge ended?", "Current at the end"}, HasNot: []string{"The charge has ended"}},
			{Name: "no such charge", Who: Operator, Path: "/charges/x/end", Status: http.StatusNotFound},
			form("a current that is none", Operator, end, url.Values{"end_current": {"low"}}, http.StatusUnprocessableEntity, "not a number"),
			form("ended", Operator, end, url.Values{"end_current": {"0.12"}}, http.StatusSeeOther),
			form("ended twice", Operator, end, url.Values{}, http.StatusUnprocessableEntity, "ended already"),
			{Name: "it rests", Who: Operator, Path: "/shelf", Status: http.StatusOK, Has: []string{"rests", "until"}},
			{Name: "nothing to charge is said", Who: Operator, Path: "/shelf/charge-all", Status: http.StatusOK, Has: []string{"Nothing to charge today"}, HasNot: []string{"Are they on the charger?"}},
			form("charge all when there is nothing", Operator, "/shelf/charge-all", url.Values{}, http.StatusSeeOther),
		})
	})
}
