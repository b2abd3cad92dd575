package servertest

import (
	"net/http"
	"testing"
	"time"

	"tracewright/models"
)

// shelf is the part of the walk through the interface that the shelf answers.
func (w *walk) shelf() {
	w.T.Helper()
	pack := w.Serial[models.KindPack]
	w.ask(GaugeAtStand, "POST /shelf/temperatures", "/shelf/temperatures", object{"place": "loft 1", "temperature_c": "29,0"}, http.StatusCreated)
	w.ask(Operator, "PUT /items/{item}/place", "/items/"+pack+"/place", object{"place": "loft 1"}, http.StatusOK)
	w.ask(Operator, "PUT /items/{item}/wanted", "/items/"+pack+"/wanted", object{"day": "2031-06-01"}, http.StatusOK)
	w.ask(Desk, "GET /shelf", "/shelf", nil, http.StatusOK)
	w.ask(Operator, "POST /shelf/charges", "/shelf/charges", object{"charger": "CH-2"}, http.StatusCreated)
	charge := w.ask(Operator, "POST /items/{item}/charges", "/items/"+pack+"/charges", object{"kind": "refresh", "charger": "CH-2"}, http.StatusCreated)
	w.ask(Operator, "POST /items/{item}/charges", "/items/"+pack+"/charges", object{}, http.StatusConflict)
	w.ask(Desk, "GET /shelf", "/shelf", nil, http.StatusOK)
	end := "/charges/" + text(w, charge, "id") + "/end"
	w.ask(Operator, "POST /charges/{id}/end", end, object{"end_current_a": "-1"}, http.StatusUnprocessableEntity)
	w.ask(Operator, "POST /charges/{id}/end", end, object{"end_current_a": "0,12"}, http.StatusOK)
	w.ask(Desk, "GET /items/{item}/charges", "/items/"+pack+"/charges", nil, http.StatusOK)
	w.ask(Desk, "GET /shelf", "/shelf", nil, http.StatusOK)

	w.ask(Operator, "GET /plans/{serial}", "/plans/"+pack, nil, http.StatusOK)
	build := "/items/" + pack + "/build"
	w.ask(Operator, "PUT /items/{item}/build/{step}", build+"/joined", object{"done": true, "at": "2031-05-11T08:00:00Z"}, http.StatusOK)
	w.ask(Operator, "PUT /items/{item}/build/{step}", build+"/polished", object{"done": true}, http.StatusNotFound)
	w.ask(Desk, "GET /items/{item}/build", build, nil, http.StatusOK)
	steps := "/families/" + *w.Item[models.KindPack].FamilyID + "/steps"
	w.ask(Desk, "GET /families/{id}/steps", steps, nil, http.StatusOK)
	w.ask(Owner, "POST /families/{id}/steps", steps, object{"from": 0, "steps": []any{"Labelled"}, "reason": "short"}, http.StatusCreated)
	w.ask(Owner, "POST /families/{id}/steps", steps, object{"from": 0, "steps": []any{"Labelled"}, "reason": "short"}, http.StatusConflict)
	product := *w.Item[models.KindPack].ProductID
	form := object{"pack": object{"block_model": "B12", "chemistry": "agm", "cells": 6, "capacity_ah": "12", "rate": "C20", "strings": 1, "blocks": 3, "nominal_v": "36", "resistance_method": "ac_1khz", "min_rest_hours": "24"}}
	w.ask(Owner, "POST /products/{id}/revisions", "/products/"+product+"/revisions", object{"from": 1, "form": form, "reason": "its capacity is known"}, http.StatusCreated)
	tests := "/items/" + pack + "/capacity-tests"
	tested := w.ask(Operator, "POST /items/{item}/capacity-tests", tests, object{"started_at": "2031-05-11T08:00:00Z", "temperature_c": "20", "csv": "t;I;a;b;c\n0;0,6;12,8;12,8;12,8\n20;0,6;10,5;10,6;10,6\n20,1;0,6;10,4;10,5;10,5"}, http.StatusCreated)
	w.ask(Operator, "POST /items/{item}/capacity-tests", tests, object{"started_at": "2031-05-11T08:00:00Z", "temperature_c": "20", "csv": "0,0.6,12.8"}, http.StatusUnprocessableEntity)
	w.ask(Desk, "GET /items/{item}/capacity-tests", tests, nil, http.StatusOK)
	w.ask(Desk, "GET /items/{item}/capacity-tests/{id}", tests+"/"+text(w, tested, "id"), nil, http.StatusOK)
	w.ask(Desk, "GET /items/{item}/capacity-tests/{id}", tests+"/"+models.NewID(), nil, http.StatusNotFound)
}

// What the shelf takes and what it refuses, each field with its word.
func TestTheShelfByTheInterface(t *testing.T) {
	Each(t, func(t *testing.T, s *Shop) {
		s.MustRecord(s.Shop.Pack())
		pack, wheel := s.Serial[models.KindPack], s.Serial[models.KindWheel]
		s.Run(t, []Row{
			{Name: "nothing stands there", Who: Desk, Path: "/api/v1/shelf", Status: http.StatusOK, Has: []string{`"packs":0`, `"temperature_assumed":true`}},
			{Name: "an unknown filter", Who: Desk, Path: "/api/v1/shelf?place=loft", Status: http.StatusUnprocessableEntity},
			{Name: "placed", Who: Operator, Method: http.MethodPut, Path: "/api/v1/items/" + pack + "/place", Body: object{"place": " loft   1 "}, Status: http.StatusOK, Has: []string{`"place":"loft 1"`}},
			{Name: "a wheel has no place there", Who: Operator, Method: http.MethodPut, Path: "/api/v1/items/" + wheel + "/place", Body: object{"place": "loft 1"}, Status: http.StatusUnprocessableEntity, Has: []string{"neither a pack nor a block"}},
			{Name: "an unknown pack", Who: Operator, Method: http.MethodPut, Path: "/api/v1/items/nothing/place", Body: object{"place": "loft 1"}, Status: http.StatusNotFound},
			{Name: "the desk places nothing", Who: Desk, Method: http.MethodPut, Path: "/api/v1/items/" + pack + "/place", Body: object{"place": "loft 1"}, Status: http.StatusForbidden},
			{Name: "an unknown field", Who: Operator, Method: http.MethodPut, Path: "/api/v1/items/" + pack + "/place", Body: object{"shelf": "loft 1"}, Status: http.StatusUnprocessableEntity},
			{Name: "a program's temperature", Who: GaugeAtStand, Method: http.MethodPost, Path: "/api/v1/shelf/temperatures", Body: object{"place": "loft 1", "temperature_c": "29"}, Status: http.StatusCreated},
			{Name: "a stranger's temperature", Who: WrongKey, Method: http.MethodPost, Path: "/api/v1/shelf/temperatures", Body: object{"place": "loft 1", "temperature_c": "29"}, Status: http.StatusUnauthorized},
			{Name: "Fahrenheit", Who: Operator, Method: http.MethodPost, Path: "/api/v1/shelf/temperatures", Body: object{"place": "loft 1", "temperature_c": "77"}, Status: http.StatusUnprocessableEntity, Has: []string{"temperature_c", "−40 to 60"}},
			{Name: "charged before it was made", Who: Operator, Method: http.MethodPost, Path: "/api/v1/items/" + pack + "/charges", Body: object{"kind": "charge", "started_at": "1990-05-12T11:00:00Z"}, Status: http.StatusUnprocessableEntity,
				Has: []string{`"field":"started_at"`, "when it was made or came in"}},
			{Name: "no day", Who: Operator, Method: http.MethodPut, Path: "/api/v1/items/" + pack + "/wanted", Body: object{"day": "1 June"}, Status: http.StatusUnprocessableEntity, Has: []string{"not a date"}},
			{Name: "a tablet's clock is an hour ahead", Who: Operator, Method: http.MethodPut, Path: "/api/v1/items/" + pack + "/build/joined", Body: object{"done": true, "at": s.Now.Add(50 * time.Minute), "sent_at": s.Now.Add(time.Hour)}, Status: http.StatusOK, Has: []string{`"done_at":"` + models.TimeText(s.Now.Add(-10*time.Minute))}},
			{Name: "and nobody allowed for it", Who: Operator, Method: http.MethodPut, Path: "/api/v1/items/" + pack + "/build/soldered", Body: object{"done": true, "at": s.Now.Add(50 * time.Minute)}, Status: http.StatusUnprocessableEntity, Has: []string{"future"}},
			{Name: "an unknown charge ends", Who: Operator, Method: http.MethodPost, Path: "/api/v1/charges/" + models.NewID() + "/end", Body: object{}, Status: http.StatusNotFound},
			// 182.625 days at 25 degrees, 2^0.4 times as fast at 29: 138 whole days from 12 May.
			{Name: "stands there", Who: Desk, Path: "/api/v1/shelf", Status: http.StatusOK, Has: []string{`"packs":1`, `"charge_by":"2031-09-27"`, `"charge_by_set_by":"calendar"`, `"temperature_c":29`, `"temperature_assumed":false`}},
			{Name: "its product is ordered", Who: Desk, Method: http.MethodPost, Path: "/api/v1/orders", Body: object{"ref": "4471", "due_on": "2031-06-20", "lines": []any{object{"product": *s.Item[models.KindPack].ProductID, "quantity": 1}}}, Status: http.StatusCreated},
			{Name: "it is kept for the order", Who: Desk, Path: "/api/v1/shelf", Status: http.StatusOK, Has: []string{`"order":"4471"`, `"wanted":"2031-06-20"`}},
		})
	})
}
