package servertest

import (
	"net/http"
	"strings"
	"testing"

	"tracewright/models"
	"tracewright/models/store/storetest"
)

// A text that nobody could read, or nobody would, is refused wherever a record would
// keep it: too long, of characters that are not printed, or of nothing that is seen.
func TestTextsThatNobodyCouldRead(t *testing.T) {
	s := On(t, storetest.New(t))
	s.MustRecord(s.Extremes())
	wheel := s.Item[models.KindWheel]
	issued, err := s.App.Services.Release.Issue(t.Context(), s.Shop.Owner, wheel.ID, "")
	s.Must(err)
	secret := object{"password": Password}
	const unseen, bell, turned, broken = "\u200b", "ctl\u0007\u001b", "in \u202eecnarg", "Ada\nBrenn"
	long := strings.Repeat("x", 501)
	var rows []Row
	for _, c := range []struct {
		path, field string
		body        object
		wrong       map[string]string // text: code
	}{
		{"/certificates/" + issued.Number + "/1/void", "reason", object{"confirm": secret}, map[string]string{long: "too_long", bell: "not_printed", unseen: "reason_needed"}},
		{"/items/" + *wheel.Serial + "/certificates", "reason", object{"confirm": secret}, map[string]string{long: "too_long", bell: "not_printed", unseen: "reason_needed"}},
		{"/holds", "reason", object{"item": *wheel.Serial, "code": "W15"}, map[string]string{long: "too_long", bell: "not_printed", unseen: "reason_needed"}},
		{"/customers", "name", object{}, map[string]string{bell: "not_printed", broken: "not_printed", unseen: "missing"}},
		{"/customers", "note", object{"name": "Ada"}, map[string]string{bell: "not_printed"}},
		{"/claims", "words", object{"item": *wheel.Serial}, map[string]string{bell: "not_printed", unseen: "missing"}},
		{"/charts/happenings", "words", object{"at": s.Now}, map[string]string{bell: "not_printed", unseen: "missing"}},
		{"/orders", "ref", object{"lines": []object{{"product": *wheel.ProductID, "quantity": 1}}}, map[string]string{bell: "not_printed", unseen: "missing"}},
		{"/nonconformities", "note", object{"item": *wheel.Serial, "code": "W15"}, map[string]string{bell: "not_printed", unseen: "reason_needed"}},
		{"/instruments", "name", object{"code": "L-77", "kind": "dial", "unit": "mm"}, map[string]string{bell: "not_printed", unseen: "missing"}},
		{"/shelf/temperatures", "place", object{"temperature_c": "20"}, map[string]string{bell: "not_printed", unseen: "missing"}},
	} {
		for text, code := range c.wrong {
			body := object{c.field: text}
			for k, v := range c.body {
				body[k] = v
			}
			rows = append(rows, sent(c.path+" "+c.field+" "+code, Owner, c.path, body, http.StatusUnprocessableEntity, `"field":"`+c.field+`","code":"`+code+`"`))
		}
	}
	// What turns the direction of a text is left out of it.
	rows = append(rows, sent("turned", Owner, "/customers", object{"name": turned}, http.StatusCreated, `"name":"in ecnarg"`))
	s.Run(t, rows)
}
