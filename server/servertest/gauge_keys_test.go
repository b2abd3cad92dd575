package servertest

import (
	"net/http"
	"net/url"
	"regexp"
	"testing"

	"tracewright/models"
	"tracewright/server/httpx"
)

// The key of a gauge's interface sends what is read and measured, in its own name or in
// that of whoever measures. It tells no names, changes and decides nothing else in
// anybody's name, and makes no tablet of a browser.
func TestAGaugesKeyIsNoTablet(t *testing.T) {
	Each(t, func(t *testing.T, s *Shop) {
		b := s.browser(t)
		b.signIn(Owner)
		_, _, says := b.send("/devices", url.Values{"what": {"program"}, "name": {"Dial 3"}, "place": {"stand 1"}})
		found := regexp.MustCompile(`id="key">([^<]+)<`).FindStringSubmatch(says)
		if found == nil {
			t.Fatalf("no key is shown: %s", shortened([]byte(says)))
		}
		key := found[1]
		const gauge, operator, owner, tablet = "the gauge", "the gauge for an operator", "the gauge for the owner", "a browser with the gauge's key"
		s.sign[gauge] = func(r *http.Request) { r.Header.Set("Authorization", "Bearer "+key) }
		s.atDevice(operator, key, s.People[Operator])
		s.atDevice(owner, key, s.People[Owner])
		s.sign[tablet] = func(r *http.Request) { r.AddCookie(&http.Cookie{Name: "tracewright_device", Value: key}) }
		wheel := s.Serial[models.KindWheel]
		forgets := map[string]string{"Set-Cookie": "tracewright_device=; Path=/; Expires=Thu, 01 Jan 1970 00:00:01 GMT; HttpOnly; SameSite=Lax"}
		typed := map[string]string{"Content-Type": "application/x-www-form-urlencoded"}
		tap := url.Values{"person": {s.People[Owner].ID}}.Encode()
		rows := []Row{
			{Name: "a reading", Who: gauge, Path: readingsAt1, Body: gaugeReading("0.1"), Status: http.StatusAccepted},
			{Name: "a temperature", Who: gauge, Path: "/api/v1/shelf/temperatures", Body: object{"place": "loft 1", "temperature_c": "29"}, Status: http.StatusCreated},
			{Name: "what is to be read, for an operator", Who: operator, Path: "/api/v1/plans/" + wheel, Status: http.StatusOK},
			{Name: "a look ahead for an operator", Who: operator, Path: "/api/v1/preview", Body: s.Extremes(), Status: http.StatusOK},
			{Name: "an inspection for an operator", Who: operator, Path: "/api/v1/inspections", Body: s.Extremes(), Status: http.StatusCreated},
			{Name: "what it measured", Who: operator, Path: "/api/v1/items/" + wheel, Status: http.StatusOK},
			{Name: "the names, by the key alone", Who: gauge, Path: "/api/v1/people", Status: http.StatusUnauthorized},
			{Name: "the names, for the owner", Who: owner, Path: "/api/v1/people", Status: http.StatusForbidden},
			{Name: "the names, in a browser", Who: tablet, Path: "/signin", Status: http.StatusOK, HasNot: []string{`name="person"`}, Headers: forgets},
			{Name: "the names, on the page, by the key alone", Who: gauge, Path: "/signin", Status: http.StatusOK, HasNot: []string{`name="person"`, s.People[Owner].ID}},
			{Name: "the names, on the page, for an operator", Who: operator, Path: "/signin", Status: http.StatusOK, HasNot: []string{`name="person"`, s.People[Owner].ID}},
			{Name: "a tap on the owner", Who: tablet, Method: http.MethodPost, Path: "/signin", Body: tap, Header: typed, Status: http.StatusForbidden},
			{Name: "a tap on the owner, by the key alone", Who: gauge, Method: http.MethodPost, Path: "/signin", Body: tap, Header: typed, Status: http.StatusForbidden},
			{Name: "a tap on the owner, for an operator", Who: operator, Method: http.MethodPost, Path: "/signin", Body: tap, Header: typed, Status: http.StatusForbidden},
			{Name: "a certificate, with the PIN too", Who: operator, Path: "/api/v1/items/" + wheel + "/certificates", Body: object{"confirm": object{"pin": PIN}}, Status: http.StatusForbidden},
		}
		for _, path := range []string{"/lots", "/holds", "/recalls", "/corrective-actions", "/holds/x/lift", "/instruments", "/kits/x/items"} {
			rows = append(rows, Row{Name: "for the owner " + path, Who: owner, Path: "/api/v1" + path, Body: object{"code": "L-9", "material": "spokes", "quantity": 100}, Status: http.StatusForbidden})
		}
		for _, path := range []string{"/blocks/set-aside", "/matches/x/keep", "/matches/x/drop", "/items", "/items/" + wheel + "/parts", "/laced", "/charts/causes", "/charts/happenings", "/nonconformities/1/done", "/drafts/x/take-over", "/studies/1/readings/x/strike"} {
			rows = append(rows, Row{Name: "for an operator " + path, Who: operator, Path: "/api/v1" + path, Body: object{}, Status: http.StatusForbidden})
		}
		s.Run(t, rows)
		if _, _, says := b.send("/devices", nil); !regexp.MustCompile(`Dial 3</b> <span class="quiet">a gauge’s interface`).MatchString(says) {
			t.Errorf("the list does not tell it from tablets: %s", shortened([]byte(says)))
		}
		// The key of a tablet is one, and tells its program as before.
		s.run(t, Row{Name: "a tablet", Who: OperatorAtStand, Path: "/api/v1/people", Header: map[string]string{httpx.PersonHeader: s.People[Operator].ID}, Status: http.StatusOK})
	})
}
