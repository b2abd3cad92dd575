package servertest

import (
	"fmt"
	"net/http"

	"tracewright/models"
	"tracewright/server/api"
)

func (w *walk) look() {
	w.T.Helper()
	w.assemble()
	w.ship()
	w.ask(Nobody, "GET /openapi.yaml", "/openapi.yaml", nil, http.StatusOK)
	w.ask(Desk, "GET /items", "/items?find="+w.Serial[models.KindWheel][4:], nil, http.StatusOK)
	w.ask(Desk, "GET /items", "/items?find=N9-220431", nil, http.StatusOK)
	w.ask(Desk, "GET /items/{item}", "/items/"+w.Serial[models.KindWheel], nil, http.StatusOK)
	w.ask(Desk, "GET /items/{item}", "/items/"+w.Serial[models.KindPack], nil, http.StatusOK)
	w.ask(Desk, "GET /items/{item}/sources", "/items/"+w.Serial[models.KindWheel]+"/sources", nil, http.StatusOK)
	w.ask(Desk, "GET /items/{item}/uses", "/items/"+w.Serial[models.KindWheel]+"/uses", nil, http.StatusOK)
	w.ask(Desk, "GET /lots/{code}/uses", "/lots/SP-0214/uses", nil, http.StatusOK)
	wheels := *w.Item[models.KindWheel].FamilyID
	w.ask(Desk, "GET /charts", "/charts?result=lateral_tir&family="+wheels, nil, http.StatusOK)
	w.charted(wheels, 51)
	chart := w.ask(Desk, "GET /charts", "/charts?result=lateral_tir&place=stand+1&from=2031-05-01&to=2031-05-12&rules=eight_one_side&family="+wheels, nil, http.StatusOK)
	w.ask(Desk, "GET /failures", "/failures", nil, http.StatusOK)
	w.ask(Owner, "GET /failures", "/failures?code=W01&from=2031-05-01&to=2031-05-12&what="+wheels, nil, http.StatusOK)
	w.ask(Operator, "GET /failures/items", "/failures/items?failed=yes", nil, http.StatusOK)
	w.ask(Desk, "GET /how-good", "/how-good?family="+wheels, nil, http.StatusOK)
	w.ask(Desk, "GET /how-good/{result}", "/how-good/lateral_tir?place=stand+1&family="+wheels, nil, http.StatusOK)
	w.ask(Desk, "GET /how-good/{result}", "/how-good/shine?family="+wheels, nil, http.StatusUnprocessableEntity)
	w.ask(Desk, "GET /returns", "/returns?lag=7&family="+wheels, nil, http.StatusOK)
	w.ask(Desk, "GET /returns", "/returns?months=many&family="+wheels, nil, http.StatusUnprocessableEntity)
	w.ask(Desk, "GET /differences", "/differences?wait=yes", nil, http.StatusOK)
	w.ask(Desk, "GET /differences", "/differences?finding=gone", nil, http.StatusNotFound)
	w.ask(Desk, "GET /effect", "/effect?result=lateral_tir&family="+wheels, nil, http.StatusOK)
	w.ask(Desk, "GET /effect", "/effect?result=lateral_tir&at=2031-05-12&days=30&family="+wheels, nil, http.StatusOK)
	w.ask(Desk, "GET /effect", "/effect?result=lateral_tir&at=2099-05-12&family="+wheels, nil, http.StatusUnprocessableEntity)
	points, signals := chart["points"].([]any), chart["signals"].([]any)
	if len(chart["phases"].([]any)) != 1 || len(signals) == 0 {
		w.T.Fatalf("the chart of %d points has %d phases and %d signals", len(points), len(chart["phases"].([]any)), len(signals))
	}
	at := func(i float64) string { return points[int(i)].(map[string]any)["inspection_id"].(string) }
	mark := "/charts/mark?result=lateral_tir&place=stand+1&family=" + wheels
	w.ask(Desk, "GET /charts/mark", mark, nil, http.StatusOK)
	_, header, _ := w.Do(w.T, Row{Who: Desk, Path: api.Base + mark})
	w.answers(w.T, w.Shop, "GET /charts/mark", Row{Who: Desk, Path: mark, Header: map[string]string{"If-None-Match": header.Get("ETag")}, Status: http.StatusNotModified})
	odd := signals[len(signals)-1].(map[string]any)
	cause := object{"family": wheels, "place": "stand 1", "result": "lateral_tir", "rule": odd["rule"], "side": odd["side"], "inspection": at(odd["point"].(float64)), "code": "stand", "note": "roller"}
	w.ask(Operator, "POST /charts/causes", "/charts/causes", cause, http.StatusCreated)
	w.ask(Owner, "POST /charts/baselines", "/charts/baselines", object{"family": wheels, "place": "stand 1", "result": "lateral_tir", "first": at(0), "last": at(30), "excluded": []object{{"inspection": at(3), "reason": "dropped"}}}, http.StatusCreated)
	w.ask(Operator, "POST /charts/happenings", "/charts/happenings", object{"place": "stand 1", "at": "2031-05-12T10:00:00Z", "words": "roller replaced"}, http.StatusCreated)
	w.ask(Desk, "GET /charts", "/charts?result=lateral_tir&place=stand+1&family="+wheels, nil, http.StatusOK)
}

// nonconforming takes a wheel through a rework and a concession, and the codes and
// a corrective action with it.
func (w *walk) nonconforming() {
	w.T.Helper()
	password, wheel := object{"password": Password}, w.AnotherWheel()
	bad := w.Extremes()
	bad.Serial, bad.Sets[0].Values = *wheel.Serial, []string{"0.40", "-0.09"}
	w.Must(func() error { _, err := w.Record(bad); return err }())
	w.ask(Owner, "PUT /defects/{code}", "/defects/W25", object{"from": 0, "name": "hub cap loose", "severity": "minor", "reason": "seen three times"}, http.StatusOK)
	w.ask(Desk, "GET /defects", "/defects", nil, http.StatusOK)
	one := "/nonconformities/" + text(w, w.ask(Operator, "POST /nonconformities", "/nonconformities", object{"item": *wheel.Serial, "code": "W25", "note": "it rattles"}, http.StatusCreated), "number")
	w.ask(Operator, "POST /nonconformities", "/nonconformities", object{"item": *wheel.Serial, "code": "W01", "note": "again"}, http.StatusConflict)
	w.ask(Inspector, "POST /nonconformities/{number}/disposition", one+"/disposition", object{"what": "rework", "work": "retension", "note": "true it", "confirm": password}, http.StatusOK)
	w.ask(Operator, "POST /nonconformities/{number}/done", one+"/done", object{"note": "trued"}, http.StatusOK)
	w.ask(Operator, "POST /nonconformities", "/nonconformities", object{"item": *wheel.Serial, "code": "W01", "note": "no better"}, http.StatusCreated)
	w.ask(Inspector, "POST /nonconformities/{number}/disposition", one+"/disposition", object{"what": "use_as_is", "note": "it fits", "confirm": password}, http.StatusOK)
	w.ask(Inspector, "POST /nonconformities/{number}/approval", one+"/approval", object{"approve": false, "note": "not this one", "confirm": password}, http.StatusOK)
	w.ask(Inspector, "POST /nonconformities/{number}/disposition", one+"/disposition", object{"what": "scrap", "note": "then not", "confirm": password}, http.StatusOK)
	w.ask(Desk, "POST /nonconformities/{number}/notes", one+"/notes", object{"note": "the rim is ours"}, http.StatusOK)
	w.answers(w.T, w.Shop, "POST /nonconformities/{number}/photos", Row{Who: Operator, Path: one + "/photos?name=rim.png", Body: dot(w.T), Status: http.StatusCreated})
	w.ask(Inspector, "POST /nonconformities/{number}/confirmation", one+"/confirmation", object{"marked": true, "confirm": password}, http.StatusOK)
	w.ask(Desk, "GET /nonconformities/{number}", one, nil, http.StatusOK)
	w.ask(Desk, "GET /nonconformities", "/nonconformities?item="+*wheel.Serial, nil, http.StatusOK)

	plan := object{"problem": "caps come loose", "containment": "each is looked at", "cause": "no sealing", "action": "a drop on the thread", "owner": w.People[Operator].ID, "due_on": "2031-05-20", "check_on": "2031-06-20", "codes": []string{"W25"}, "lots": []string{}, "nonconformities": []string{"NC31-00001"}}
	opened := w.ask(Inspector, "POST /corrective-actions", "/corrective-actions", plan, http.StatusCreated)
	action := "/corrective-actions/" + text(w, opened, "number")
	plan["cause"], plan["from"] = "none was sealed", opened["steps"].([]any)[0].(map[string]any)["id"]
	w.ask(Inspector, "POST /corrective-actions/{number}/plan", action+"/plan", plan, http.StatusOK)
	w.ask(Desk, "GET /corrective-actions", "/corrective-actions", nil, http.StatusOK)
	w.ask(Inspector, "POST /corrective-actions/{number}/done", action+"/done", object{"note": ""}, http.StatusOK)
	w.ask(Inspector, "POST /corrective-actions/{number}/check", action+"/check", object{"worked": true, "note": "none since"}, http.StatusOK)
	w.ask(Inspector, "POST /corrective-actions/{number}/close", action+"/close", object{"note": ""}, http.StatusOK)
	w.ask(Desk, "GET /corrective-actions/{number}", action, nil, http.StatusOK)
}

// desk calls a lot back, answers a claim, and keeps a customer.
func (w *walk) desk() {
	w.T.Helper()
	password := object{"password": Password}
	scope := object{"lot": "SP-0214"}
	w.ask(Inspector, "POST /recalls/preview", "/recalls/preview", scope, http.StatusOK)
	w.gaugeFound()
	w.ask(Inspector, "POST /recalls/preview", "/recalls/preview", object{"instrument": "D-1", "from": "2031-05-01", "to": "2031-05-12"}, http.StatusOK)
	w.ask(Inspector, "POST /recalls/preview", "/recalls/preview", object{"person": w.People[Operator].Name, "from": "2031-05-01", "to": "2031-05-12"}, http.StatusOK)
	in := object{"id": models.NewID(), "lot": "SP-0214", "reason": "elbows crack", "wanted": "stop riding", "confirm": password}
	made := w.ask(Inspector, "POST /recalls", "/recalls", in, http.StatusCreated)
	recall := "/recalls/" + text(w, made, "number")
	w.ask(Desk, "GET /recalls", "/recalls", nil, http.StatusOK)
	w.ask(Desk, "GET /recalls/{number}", recall, nil, http.StatusOK)
	w.ask(Inspector, "POST /recalls/{number}/runs", recall+"/runs", object{"id": models.NewID()}, http.StatusCreated)
	w.ask(Desk, "POST /recalls/{number}/responses", recall+"/responses", object{"id": models.NewID(), "item": w.Serial[models.KindWheel], "response": "put_right"}, http.StatusCreated)
	w.ask(Desk, "GET /recalls/{number}/contacts", recall+"/contacts", nil, http.StatusOK)
	w.ask(Inspector, "POST /recalls/{number}/end", recall+"/end", object{"reason": "put right"}, http.StatusOK)
	w.ask(Inspector, "POST /recalls/{number}/runs", recall+"/runs", object{}, http.StatusConflict)

	wheel, open := w.Serial[models.KindWheel], object{"id": models.NewID(), "motor": "OR4-60418", "kind": "wheel", "product": "a blue one", "words": "it grinds"}
	claim := "/claims/" + text(w, w.ask(Desk, "POST /claims", "/claims", open, http.StatusCreated), "number")
	w.ask(Desk, "GET /check-lists", "/check-lists", nil, http.StatusOK)
	w.ask(Desk, "POST /claims/{number}", claim, object{"item": wheel, "spot": "14", "check_list": 0, "came_on": "2031-05-12", "symptom": "spoke_broken", "yes": []string{"flange_worn"}, "decision": "accept", "reason": "no sign of a blow", "amount": "34,20", "currency": "€"}, http.StatusOK)
	w.answers(w.T, w.Shop, "POST /claims/{number}/photos", Row{Who: Desk, Path: claim + "/photos?name=spoke.png", Body: dot(w.T), Status: http.StatusCreated})
	w.ask(Desk, "GET /claims/{number}", claim, nil, http.StatusOK)
	w.ask(Desk, "GET /claims", "/claims", nil, http.StatusOK)
	photos := w.ask(Desk, "GET /claims/{number}", claim, nil, http.StatusOK)["photos"].([]any)
	w.ask(Desk, "POST /claims/{number}/photos/{photo}/erase", claim+"/photos/"+photos[0].(map[string]any)["id"].(string)+"/erase", object{"confirm": password}, http.StatusOK)
	w.ask(Desk, "POST /claims/{number}/erase", claim+"/erase", object{"confirm": password}, http.StatusOK)

	customer := object{"id": models.NewRandomID(), "name": "Ada Brenn", "phone": "555 0142"}
	one := "/customers/" + text(w, w.ask(Desk, "POST /customers", "/customers", customer, http.StatusCreated), "id")
	w.ask(Desk, "GET /customers", "/customers?find=brenn", nil, http.StatusOK)
	stands := w.ask(Desk, "GET /customers/{id}", one+"?reason=asked", nil, http.StatusOK)["customer"].(map[string]any)
	w.ask(Desk, "PUT /customers/{id}", one, object{"from": stands["digest"], "name": "Ada Brenn", "address": "Quay 4\n9921 Sundhavn"}, http.StatusOK)
	w.ask(Desk, "POST /customers/{id}/erase", one+"/erase", object{"confirm": password}, http.StatusOK)
}

// charted records so many wheels that their chart has limits.
func (w *walk) charted(family string, n int) {
	w.T.Helper()
	for i := range n {
		sub := w.Extremes()
		sub.Serial = *w.AnotherWheel().Serial
		sub.Sets[0].Values = []string{fmt.Sprintf("0.%02d", 8+i*7%9), "-0.05"}
		if i == n-1 {
			sub.Sets[0].Values[0] = "2.9" // Beyond anything the others do.
		}
		w.ask(OperatorAtStand, "POST /inspections", "/inspections", sub, http.StatusCreated)
	}
}

// problems asks each kind of question wrongly.
func (w *walk) problems() {
	w.T.Helper()
	w.ask(Nobody, "GET /items", "/items?find=x", nil, http.StatusUnauthorized)
	w.ask(Desk, "POST /lots", "/lots", object{"code": "X", "material": "spokes"}, http.StatusForbidden)
	w.ask(Operator, "POST /lots", "/lots", object{"code": "", "material": "gold", "quantity": -1}, http.StatusUnprocessableEntity)
	w.ask(Desk, "GET /items/{item}", "/items/nothing-of-ours", nil, http.StatusUnprocessableEntity)
	w.ask(Desk, "GET /items/{item}", "/items/"+w.unknownSerial(), nil, http.StatusNotFound)
	w.ask(Desk, "GET /families/{id}", "/families/nothing-of-ours", nil, http.StatusNotFound)
	w.ask(Desk, "GET /charts", "/charts?from=yesterday", nil, http.StatusUnprocessableEntity)
	w.ask(Desk, "GET /charts/events", "/charts/events?follow=no&family="+models.NewID(), nil, http.StatusOK)
	w.ask(Desk, "GET /failures", "/failures?from=yesterday", nil, http.StatusUnprocessableEntity)
	w.ask(Desk, "GET /failures/items", "/failures/items?person=somebody", nil, http.StatusForbidden)
}
