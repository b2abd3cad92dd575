package servertest

import (
	"bytes"
	"encoding/json"
	"net/http"
	"net/url"
	"strings"
	"sync"
	"testing"

	"tracewright/models"
	"tracewright/models/trade/ident"
	"tracewright/models/work/worktest"
	"tracewright/server/app"
	"tracewright/server/logs"
)

// lockedBuffer is written by several goroutines.
type lockedBuffer struct {
	mu sync.Mutex
	bytes.Buffer
}

func (b *lockedBuffer) Write(p []byte) (int, error) {
	b.mu.Lock()
	defer b.mu.Unlock()
	return b.Buffer.Write(p)
}

// A day's requests, with what goes wrong in it, leave a log in which no person, no
// customer, no secret and no serial stands, also where it tells most.
func TestTheLogHoldsNoPersonalData(t *testing.T) {
	Each(t, func(t *testing.T, s *Shop) {
		var written lockedBuffer
		var err error
		s.App, err = app.New(s.Store, app.Config{Now: s.Clock, Sealing: worktest.NewSigner(), Cost: cheap, Log: logs.New(&written, "json", true)})
		s.Must(err)
		wheel := s.Serial[models.KindWheel]
		const (
			customer = "Mara Quillfeather"
			street   = "Sundhavn Quay 44"
			mail     = "mara.q@quillfeather.example"
			phone    = "+1 555 0199"
			secret   = "a wholly wrong pass phrase"
			wrongPIN = "918273"
		)
		token, err := s.App.Services.Access.PasswordLink(t.Context(), s.Shop.Owner, s.People[Inspector].ID)
		s.Must(err)
		person := url.Values{"name": {customer}, "email": {mail}, "phone": {phone}, "street": {street}, "city": {"Sundhavn"}}
		record := func(id string) models.Submission {
			sub := s.Extremes()
			sub.ID = id
			return sub
		}
		id := models.NewID()
		other := record(id)
		other.Sets[2].Values = []string{"67.4", "67.9"}
		doubtful := s.Extremes()
		doubtful.Serial, doubtful.Sets[0].Values = customer, []string{street, mail}
		statuses := map[int]int{}
		for _, row := range []Row{
			{Who: Owner, Path: "/"},
			{Who: Owner, Path: "/find?q=" + url.QueryEscape(customer)},
			{Who: Owner, Path: "/customers?name=" + url.QueryEscape(customer)},
			{Who: Owner, Path: "/customers/" + url.PathEscape(customer)},
			{Who: Operator, Path: "/customers/" + url.PathEscape(mail)},
			Posted("", Owner, "/customers/new", person, 0),
			Posted("", Operator, "/customers/new", person, 0),
			Posted("", Nobody, "/signin", url.Values{"login": {mail}, "password": {secret}}, 0),
			Posted("", Nobody, "/signin", url.Values{"login": {"owner"}, "password": {secret}}, 0),
			Posted("", Nobody, "/signin", url.Values{"login": {secret}, "password": {""}}, 0),
			Posted("", Nobody, "/signin", url.Values{"login": {"desk"}, "password": {Password}}, 0),
			{Who: Nobody, Path: "/setup/" + token},
			{Who: Nobody, Path: "/setup/" + token + "x"},
			Posted("", Nobody, "/setup/"+token, url.Values{"password": {"short"}, "pin": {wrongPIN}}, 0),
			Posted("", Owner, "/people/new", url.Values{"name": {customer}, "login": {"owner"}, "role": {"desk"}}, 0),
			Posted("", Owner, "/people/new", url.Values{"name": {""}, "login": {mail}, "role": {customer}}, 0),
			{Who: Nobody, Path: "/api/v1/items/" + wheel, Header: map[string]string{"Authorization": "Bearer " + token}},
			{Who: Nobody, Path: "/api/v1/items/" + wheel, Header: map[string]string{"Authorization": token}},
			{Who: Nobody, Path: "/api/v1/items/" + wheel, Header: map[string]string{"Authorization": "Basic " + token}},
			{Who: OperatorAtStand, Path: "/api/v1/items/" + wheel, Header: map[string]string{"Tracewright-Person": customer}},
			{Who: Operator, Path: "/api/v1/items/" + ident.Print(s.unknownSerial())},
			{Who: OperatorAtStand, Path: "/api/v1/inspections", Body: record(id)},
			{Who: OperatorAtStand, Path: "/api/v1/inspections", Body: other},
			{Who: OperatorAtStand, Path: "/api/v1/inspections", Body: doubtful},
			{Who: OperatorAtStand, Path: "/api/v1/inspections", Body: `{"id": "` + customer + `", "serial": 5, "` + secret + `"`},
			{Who: OperatorAtStand, Path: "/api/v1/inspections", Body: `{"` + customer + `": "` + secret + `"}`},
			{Who: OperatorAtStand, Path: "/api/v1/items/" + wheel + "/certificates", Body: map[string]string{"pin": wrongPIN}},
			Posted("", Operator, "/items/"+wheel+"/release", url.Values{"secret": {secret}, "pin": {wrongPIN}, "password": {secret}}, 0),
			{Who: Operator, Method: http.MethodPost, Path: "/api/v1/customers", Body: map[string]string{"name": customer, "street": street}},
			{Who: Desk, Method: http.MethodPost, Path: "/api/v1/customers", Body: map[string]any{"name": customer, "street": street, "phone": phone, "email": 7}},
			{Who: Nobody, Path: "/" + url.PathEscape(customer) + "/" + token},
			{Who: Nobody, Path: "/" + token, Public: true},
			{Who: Owner, Path: "/signin", Header: map[string]string{"X-Forwarded-For": "203.0.113.77"}},
		} {
			status, _, _ := s.Do(t, row)
			statuses[status]++
		}
		// From here on every request fails: the database is gone.
		s.Must(s.Store.Close())
		for _, row := range []Row{
			{Who: OperatorAtStand, Path: "/api/v1/items/" + wheel},
			{Who: OperatorAtStand, Path: "/api/v1/inspections", Body: record(models.NewID())},
			Posted("", Nobody, "/signin", url.Values{"login": {mail}, "password": {secret}}, 0),
			{Who: Nobody, Path: "/setup/" + token},
			{Who: Nobody, Path: "/readyz"},
			{Who: Nobody, Path: "/" + token, Public: true},
		} {
			status, _, _ := s.Do(t, row)
			statuses[status]++
		}
		for _, want := range []int{http.StatusOK, http.StatusForbidden, http.StatusNotFound, http.StatusConflict, http.StatusUnprocessableEntity, http.StatusUnauthorized, http.StatusInternalServerError} {
			if statuses[want] == 0 {
				t.Errorf("nothing was answered with %d, which the log should tell of: %v", want, statuses)
			}
		}
		text := written.String()
		lines := strings.Split(strings.TrimSpace(text), "\n")
		for _, line := range lines {
			var entry struct {
				Time, Level, Msg string
			}
			if err := json.Unmarshal([]byte(line), &entry); err != nil || entry.Time == "" || entry.Level == "" || entry.Msg == "" {
				t.Errorf("not a structured line: %v: %s", err, line)
			}
		}
		if len(lines) < 20 || !strings.Contains(text, `"route":"/api/v1/items/:item"`) || !strings.Contains(text, s.People[Operator].ID) {
			t.Errorf("%d lines; want a line for each failure, with its route and the id of who asked:\n%s", len(lines), text)
		}
		names := []string{customer, "Mara", "Quillfeather", street, "Sundhavn", mail, phone, secret, wrongPIN, Password, PIN, token, wheel, ident.Print(wheel), "203.0.113.77", "192.0.2.1"}
		for _, p := range s.People {
			names = append(names, p.Name)
		}
		for _, line := range lines {
			for _, name := range names {
				if strings.Contains(strings.ToLower(line), strings.ToLower(name)) {
					t.Errorf("%q stands in the log: %s", name, line)
				}
			}
		}
	})
}
