package servertest

import (
	"fmt"
	"net/http"
	"strings"

	"tracewright/models"
	"tracewright/server/api"
)

func (w *walk) specify() {
	w.T.Helper()
	family := w.ask(Owner, "POST /families", "/families", object{"kind": "wheel", "name": "Front wheels", "grade": "fine"}, http.StatusCreated)
	w.family = text(w, family, "family", "id")
	form := object{"wheel": object{"rim": "R26", "motor": "Norvik R9", "holes": 36, "crossing": 1, "dish_reference": "shoulders", "rim_max_tension": "1200",
		"geometry": object{"rim_radius": "197", "nipple_inset": "7", "flange_radius_a": "62", "flange_radius_b": "62", "flange_offset_a": "23", "flange_offset_b": "23", "spoke_diameter": "2.3"},
		"truing":   object{"section": "20_double", "gauge_outset": "6", "thread_pitch": "0.454"}}}
	product := w.ask(Owner, "POST /products", "/products", object{"family": w.family, "name": "Front 26", "form": form}, http.StatusCreated)
	w.product = text(w, product, "product", "id")
	form["wheel"].(object)["rim_max_tension"] = "1250,0"
	w.ask(Owner, "POST /products/{id}/revisions", "/products/"+w.product+"/revisions", object{"from": 1, "form": form, "reason": "the rim maker's new figure"}, http.StatusCreated)
	change := object{"family": w.family, "from": 1, "grade": "own", "rule": "simple", "reason": "closer", "characteristics": family["in_force"].(object)["characteristics"]}
	specification := w.ask(Owner, "POST /specifications", "/specifications", change, http.StatusCreated)
	w.ask(Desk, "GET /families", "/families", nil, http.StatusOK)
	w.ask(Desk, "GET /families/{id}", "/families/"+w.family, nil, http.StatusOK)
	w.ask(Desk, "GET /products", "/products?family="+w.family, nil, http.StatusOK)
	w.ask(Desk, "GET /products/{id}", "/products/"+w.product, nil, http.StatusOK)
	w.ask(Desk, "GET /specifications", "/specifications", nil, http.StatusOK)
	w.ask(Desk, "GET /specifications/{id}", "/specifications/"+text(w, specification, "id"), nil, http.StatusOK)
}

func (w *walk) calibrations() {
	w.T.Helper()
	at := func(path string) string { return "/instruments/{code}" + path }
	failed := w.ask(Inspector, "POST "+at("/calibrations"), "/instruments/L-14/calibrations", object{"by": "lab", "standard": "gauge blocks", "points": []any{object{"reference": "1", "as_found": "1,10", "tolerance": "0.02", "u": "0.005"}}}, http.StatusCreated)
	w.ask(Desk, "GET "+at("/calibrations"), "/instruments/L-14/calibrations", nil, http.StatusOK)
	w.ask(Owner, "PUT "+at("/out-note"), "/instruments/L-14/out-note", object{"out_note": "only to sort"}, http.StatusOK)
	check := w.ask(Inspector, "POST "+at("/checks"), "/instruments/D-1/checks", object{"what": "zero", "reference": "0", "low": "-0.02", "high": "0.02"}, http.StatusCreated)
	checks := "/instruments/D-1/checks/" + text(w, check, "id")
	w.ask(Operator, "POST "+at("/checks/{id}/readings"), checks+"/readings", object{"id": models.NewID(), "value": "0.01"}, http.StatusCreated)
	w.ask(Desk, "GET "+at("/checks"), "/instruments/D-1/checks", nil, http.StatusOK)
	w.ask(Inspector, "POST "+at("/checks/{id}/end"), checks+"/end", nil, http.StatusOK)
	w.ask(Desk, "GET "+at("/traces"), "/instruments/L-14/traces", nil, http.StatusOK)
	w.ask(Inspector, "POST "+at("/traces"), "/instruments/L-14/traces", object{"cause": "calibration", "cause_id": text(w, failed, "id")}, http.StatusCreated)
	w.ask(Desk, "GET "+at("/traces/{id}"), "/instruments/L-14/traces/"+text(w, failed, "trace"), nil, http.StatusOK)
}

// gaugeFound is a calibration whose points lie far from what was read: nobody can
// tell of it any more, and what is here goes on hold.
func (w *walk) gaugeFound() {
	w.T.Helper()
	failed := w.ask(Inspector, "POST /instruments/{code}/calibrations", "/instruments/D-1/calibrations", object{"by": "lab", "standard": "gauge blocks", "adjusted": true,
		"points": []any{object{"reference": "8", "as_found": "8.1", "as_left": "8", "tolerance": "0.02"}, object{"reference": "9", "as_found": "9.1", "as_left": "9", "tolerance": "0.02"}}}, http.StatusCreated)
	w.ask(Inspector, "POST /instruments/{code}/traces/{id}/hold", "/instruments/D-1/traces/"+text(w, failed, "trace")+"/hold", nil, http.StatusOK)
}

func (w *walk) goodsIn() {
	w.T.Helper()
	added := w.ask(Inspector, "POST /instruments", "/instruments", object{"code": "L-14", "kind": "dial", "name": "Dial indicator", "unit": "mm", "resolution": "0,01", "due_on": "2031-05-20"}, http.StatusCreated)
	w.ask(Inspector, "PUT /instruments/{code}", "/instruments/L-14", object{"from": text(w, added, "digest"), "name": "Dial indicator, repaired", "unit": "mm", "resolution": "0.01", "due_on": "2032-05-20"}, http.StatusOK)
	w.ask(Inspector, "POST /instruments/{code}/tables", "/instruments/T-1/tables", object{"spoke_type": "2.3 mm plain", "reason": "hung weights",
		"points": []any{object{"reading": "12", "tension": "420"}, object{"reading": "25,5", "tension": "1610"}}}, http.StatusCreated)
	w.ask(Desk, "GET /instruments/{code}/tables", "/instruments/T-1/tables", nil, http.StatusOK)
	w.ask(Desk, "GET /instruments", "/instruments", nil, http.StatusOK)
	w.ask(Desk, "GET /instruments/{code}", "/instruments/L-14", nil, http.StatusOK)
	w.calibrations()
	w.ask(Operator, "POST /lots", "/lots", object{"code": "SP-0214", "material": "spokes", "quantity": 2000, "received_at": "2031-05-02T08:00:00Z"}, http.StatusCreated)
	w.ask(Operator, "POST /lots/read", "/lots/read", object{"text": "(01)09521234500018(11)310400(10)A-17(37)500"}, http.StatusOK)
	w.ask(Desk, "GET /lots", "/lots", nil, http.StatusOK)
	for code, want := range map[string]int{"SP-0214": 1, "sp-none": 0} {
		if got := w.ask(Desk, "GET /lots", "/lots?code="+code, nil, http.StatusOK)["lots"].([]any); len(got) != want {
			w.T.Errorf("lots of code %s: %v, want %d", code, got, want)
		}
	}
	w.ask(Operator, "POST /parts", "/parts", object{"kind": "motor", "supplier": "Norvik", "model": "R9", "maker_number": "N9-220431"}, http.StatusCreated)
	roll := w.ask(Operator, "POST /rolls", "/rolls", object{"kind": "wheel", "count": 9}, http.StatusCreated)
	w.printed, _ = roll["serials"].([]any)[0].(string)
	w.ask(Desk, "GET /rolls", "/rolls", nil, http.StatusOK)
	w.ask(OperatorAtStand, "GET /people", "/people", nil, http.StatusOK)
	w.seal()
	w.ask(Desk, "GET /checkpoints", "/checkpoints", nil, http.StatusOK)
	w.ask(Desk, "GET /checkpoints", "/checkpoints?below=x", nil, http.StatusUnprocessableEntity)
	w.ask(Desk, "GET /keys", "/keys", nil, http.StatusOK)
	w.ask(Operator, "POST /items", "/items", object{"product": w.product}, http.StatusCreated)
	label, _ := roll["serials"].([]any)[1].(string)
	w.ask(Operator, "POST /items", "/items", object{"serial": label}, http.StatusUnprocessableEntity)
	w.ask(Operator, "POST /items", "/items", object{"serial": label, "product": w.product}, http.StatusCreated)
}

func (w *walk) capture() {
	w.T.Helper()
	sub := w.Extremes()
	w.inspection = sub.ID
	sub.Parts = []models.SentPart{{Role: "spokes_a", Lot: "SP-0214", Quantity: 18}, {Role: "motor", Number: "N9-220431"}}
	sub.Events = []models.SentEvent{{At: 1200, What: "undone", Characteristic: "dish", Position: models.Spoke(1), Value: "6.78"}}
	draft := sub
	draft.Sets, draft.Parts = sub.Sets[:2], nil
	path := "/drafts/" + sub.ID
	w.ask(OperatorAtStand, "PUT /drafts/{id}", path, object{"version": 0, "content": draft}, http.StatusCreated)
	w.ask(OperatorAtStand, "PUT /drafts/{id}", path, object{"version": 1, "content": draft}, http.StatusOK)
	w.ask(OperatorAtStand, "PUT /drafts/{id}", path, object{"version": 1, "content": draft}, http.StatusOK) // as after an answer that was lost
	w.ask(OperatorAtStand, "PUT /drafts/{id}", path, object{"version": 0, "content": draft}, http.StatusConflict)
	w.ask(OperatorAtStand, "GET /drafts", "/drafts", nil, http.StatusOK)
	w.ask(OperatorAtStand, "GET /drafts/{id}", path, nil, http.StatusOK)
	w.ask(SecondAtOtherSide, "POST /drafts/{id}/take-over", path+"/take-over", nil, http.StatusOK)
	w.ask(OperatorAtStand, "GET /plans/{serial}", "/plans/"+sub.Serial, nil, http.StatusOK)
	w.ask(SecondAtOtherSide, "POST /drafts/{id}/set-aside", path+"/set-aside", nil, http.StatusOK)
	w.ask(OperatorAtStand, "POST /preview", "/preview", draft, http.StatusOK)
	w.ask(OperatorAtStand, "POST /inspections", "/inspections", sub, http.StatusCreated)
	w.ask(OperatorAtStand, "POST /inspections", "/inspections", sub, http.StatusOK)
	other := sub
	other.Conditions.Note = "other content"
	w.ask(OperatorAtStand, "POST /inspections", "/inspections", other, http.StatusConflict)
	w.ask(OperatorAtStand, "POST /inspections", "/inspections", w.Pack(), http.StatusCreated)
	every := w.EveryHole()
	every.Serial = *w.AnotherWheel().Serial
	w.ask(OperatorAtStand, "POST /inspections", "/inspections", every, http.StatusCreated)
	w.ask(OperatorAtStand, "GET /plans/{serial}", "/plans/"+w.Serial[models.KindPack], nil, http.StatusOK)
	w.ask(Desk, "GET /inspections/{id}", "/inspections/"+sub.ID, nil, http.StatusOK)
}

// firstScan records a wheel whose serial was printed ahead: the scan makes it.
func (w *walk) firstScan() {
	w.T.Helper()
	choose := w.ask(OperatorAtStand, "GET /plans/{serial}", "/plans/"+w.printed, nil, http.StatusOK)
	if choose["source"] != "roll" || choose["specification"] != nil || len(choose["products"].([]any)) == 0 {
		w.T.Errorf("the plan of a printed serial offers products to choose from: %v", choose)
	}
	chosen := w.ask(OperatorAtStand, "GET /plans/{serial}", "/plans/"+w.printed+"?product="+w.product, nil, http.StatusOK)
	if chosen["specification"] == nil || chosen["item"] != nil {
		w.T.Errorf("the plan of a printed serial with its product: %v", chosen)
	}
	sub := w.Extremes()
	sub.Serial = w.printed
	sub.Sets[0].Values = []string{"0.08", "-0.09"} // 0.17 mm, under the 0.20 of the grade "fine".
	w.ask(OperatorAtStand, "POST /inspections", "/inspections", sub, http.StatusUnprocessableEntity)
	sub.Product = w.product
	w.ask(OperatorAtStand, "POST /inspections", "/inspections", sub, http.StatusCreated)
	again := w.ask(OperatorAtStand, "GET /plans/{serial}", "/plans/"+w.printed, nil, http.StatusOK)
	if again["source"] != "item" || again["stage"] != models.Recheck {
		w.T.Errorf("the plan after the first scan: %v", again)
	}
}

func (w *walk) unplaced() {
	w.T.Helper()
	first, second := w.Extremes(), w.Extremes()
	first.Serial, second.Serial = w.unknownSerial(), w.unknownSerial()
	w.ask(OperatorAtStand, "POST /inspections", "/inspections", first, http.StatusAccepted)
	w.ask(OperatorAtStand, "POST /inspections", "/inspections", second, http.StatusAccepted)
	w.ask(Desk, "GET /unplaced", "/unplaced", nil, http.StatusOK)
	w.ask(InspectorAtStand, "POST /unplaced/{id}/place", "/unplaced/"+first.ID+"/place", object{"serial": *w.AnotherWheel().Serial, "reason": "the label was misread"}, http.StatusCreated)
	w.ask(InspectorAtStand, "POST /unplaced/{id}/dismiss", "/unplaced/"+second.ID+"/dismiss", object{"reason": "a trial"}, http.StatusOK)
}

func (w *walk) release() {
	w.T.Helper()
	serial := w.Serial[models.KindWheel]
	hold := w.ask(Desk, "POST /holds", "/holds", object{"item": serial, "code": "W15", "reason": "a hairline"}, http.StatusCreated)
	w.ask(Desk, "GET /holds", "/holds", nil, http.StatusOK)
	pin := object{"pin": PIN}
	w.ask(OperatorAtStand, "POST /items/{item}/certificates", "/items/"+serial+"/certificates", object{"confirm": pin}, http.StatusConflict)
	w.ask(InspectorAtStand, "POST /holds/{id}/lift", "/holds/"+text(w, hold, "id")+"/lift", object{"code": "no_fault_found", "reason": "a scratch", "confirm": pin}, http.StatusOK)
	issued := w.ask(OperatorAtStand, "POST /items/{item}/certificates", "/items/"+serial+"/certificates", object{"confirm": pin}, http.StatusCreated)
	w.certificate = fmt.Sprintf("/certificates/%s/%v", text(w, issued, "number"), issued["revision"])
	w.ask(Desk, "GET /certificates/{number}/{revision}", w.certificate, nil, http.StatusOK)
	w.ask(Desk, "GET /certificates/{number}/{revision}/paper", w.certificate+"/paper", nil, http.StatusOK)
	_, header, _ := w.Do(w.T, Row{Who: Desk, Path: api.Base + w.certificate + "/paper"})
	w.answers(w.T, w.Shop, "GET /certificates/{number}/{revision}/paper", Row{Who: Desk, Path: w.certificate + "/paper", Header: map[string]string{"If-None-Match": header.Get("ETag")}, Status: http.StatusNotModified})
	w.ask(InspectorAtStand, "POST /certificates/{number}/{revision}/void", w.certificate+"/void", object{"reason": "wrong product named", "confirm": pin}, http.StatusOK)
	original := "GET /certificates/{number}/{revision}/paper/original"
	w.ask(Desk, original, w.certificate+"/paper/original", nil, http.StatusOK)
	w.answers(w.T, w.Shop, original, Row{Who: Desk, Path: w.certificate + "/paper/original", Header: map[string]string{"If-None-Match": header.Get("ETag")}, Status: http.StatusNotModified})
}

// labels fetches the labels of a wheel, a lot and a roll, and counts them.
func (w *walk) labels() {
	w.T.Helper()
	serial := w.Serial[models.KindWheel]
	rolls := w.ask(Desk, "GET /rolls", "/rolls", nil, http.StatusOK)
	roll := rolls["rolls"].([]any)[0].(object)["id"].(string)
	w.ask(Desk, "GET /items/{item}/label", "/items/"+serial+"/label?size=25x15&kind=hub_mark", nil, http.StatusOK)
	w.ask(Desk, "GET /items/{item}/label", "/items/"+serial+"/label?size=25x15&symbol=code_128", nil, http.StatusConflict)
	w.ask(Desk, "GET /items/{item}/label", "/items/"+serial+"/label?kind=poster&copies=x", nil, http.StatusUnprocessableEntity)
	w.ask(Desk, "GET /lots/{code}/label", "/lots/SP-0214/label", nil, http.StatusOK)
	w.ask(Desk, "GET /rolls/{id}/labels", "/rolls/"+roll+"/labels?size=sheet_5x13&last="+w.printed, nil, http.StatusOK)
	number, _, _ := strings.Cut(strings.TrimPrefix(w.certificate, "/certificates/"), "/")
	for _, body := range []object{{"what": "item", "which": serial, "size": "sheet_5x13", "copies": 2}, {"what": "hub_mark", "which": serial, "size": "25x15"}, {"what": "lot", "which": "SP-0214"},
		{"what": "roll", "which": roll, "first": w.printed, "last": w.printed}, {"what": "certificate", "which": number, "revision": 1}} {
		w.ask(Desk, "POST /prints", "/prints", body, http.StatusCreated)
	}
	w.ask(Desk, "POST /prints", "/prints", object{"what": "poster", "which": serial}, http.StatusUnprocessableEntity)
	w.ask(Desk, "POST /prints", "/prints", object{"what": "item", "which": serial, "size": "25x15", "symbol": "qr"}, http.StatusConflict)
	whole := w.ask(Desk, "GET /items/{item}", "/items/"+serial, nil, http.StatusOK)
	if prints, _ := whole["prints"].([]any); len(prints) != 3 {
		w.T.Errorf("%d prints of the wheel, want a label, a hub mark and a certificate: %v", len(prints), whole["prints"])
	}
}

// stand lets a gauge speak to its stand.
func (w *walk) stand() {
	w.T.Helper()
	post, events, path := "POST /stands/{stand}/readings", "GET /stands/{stand}/events", "/stands/stand%201"
	sent := object{"id": models.NewID(), "value": "-0,12", "unit": "mm", "instrument": "L-14", "at": "2031-05-12T12:00:00.300Z"}
	w.ask(GaugeAtStand, post, path+"/readings", sent, http.StatusAccepted)
	if again := w.ask(GaugeAtStand, post, path+"/readings", sent, http.StatusAccepted); again["repeated"] != true {
		w.T.Errorf("the same reading again: %v", again)
	}
	sent["value"] = "-0,120"
	w.ask(GaugeAtStand, post, path+"/readings", sent, http.StatusConflict)
	w.ask(OperatorAtStand, events, path+"/events?follow=no", nil, http.StatusOK)
}

// assemble laces a wheel, takes its spokes out again and puts the same in.
func (w *walk) assemble() {
	w.T.Helper()
	entry := object{"id": models.NewID(), "product": *w.Item[models.KindWheel].ProductID, "motor": object{"number": "N9-777", "supplier": "Norvik", "model": "R9"}, "lots": object{"spokes_a": "SP-0214"}}
	made := w.ask(Operator, "POST /laced", "/laced", entry, http.StatusCreated)
	serial := made["item"].(map[string]any)["serial"].(string)
	entry["motor"] = object{"number": "N9-778"}
	w.ask(Operator, "POST /laced", "/laced", entry, http.StatusConflict)
	entry["id"], entry["lots"] = models.NewID(), object{"rim": "none"}
	w.ask(Operator, "POST /laced", "/laced", entry, http.StatusUnprocessableEntity)
	whole := w.ask(Desk, "GET /items/{item}", "/items/"+serial, nil, http.StatusOK)
	for _, p := range whole["parts"].([]any) {
		part := p.(map[string]any)
		if part["role"] != "spokes_a" {
			continue
		}
		change := object{"out": []object{{"fitted": part["id"], "quantity": 4, "code": "broken", "fate": "scrap"}}, "in": []object{{"role": "spokes_a", "named": "SP-0214", "quantity": 4}}}
		w.ask(Operator, "POST /items/{item}/parts", "/items/"+serial+"/parts", change, http.StatusOK)
		w.ask(Operator, "POST /items/{item}/parts", "/items/"+serial+"/parts", object{}, http.StatusUnprocessableEntity)
	}
}

// ship packs a kit, sends it off by the owner's word, and says that it did not go.
func (w *walk) ship() {
	w.T.Helper()
	family := w.ask(Owner, "POST /families", "/families", object{"kind": "kit", "name": "Kits"}, http.StatusCreated)
	lines := []object{{"product": w.product, "quantity": 1}, {"part": "torque arm", "quantity": 2}}
	product := w.ask(Owner, "POST /products", "/products", object{"family": text(w, family, "family", "id"), "name": "R9 kit", "form": object{"kit": object{"lines": lines}}}, http.StatusCreated)
	kits := text(w, product, "product", "id")
	w.ask(Owner, "POST /products", "/products", object{"family": text(w, family, "family", "id"), "name": "Empty", "form": object{"kit": object{"lines": []object{}}}}, http.StatusUnprocessableEntity)
	w.ask(Desk, "POST /orders", "/orders", object{"ref": "4471", "due_on": "2031-05-20", "lines": []object{{"product": kits, "quantity": 2}}}, http.StatusCreated)
	w.ask(Desk, "POST /orders", "/orders", object{"ref": "4471", "lines": []object{}}, http.StatusUnprocessableEntity)
	kit := text(w, w.ask(Operator, "POST /items", "/items", object{"product": kits}, http.StatusCreated), "serial")
	path := "/kits/" + kit
	w.ask(Desk, "GET /kits/{kit}", path, nil, http.StatusOK)
	w.ask(Desk, "GET /kits/{kit}/certificates", path+"/certificates", nil, http.StatusNotFound) // nothing is in it
	w.ask(Operator, "POST /kits/{kit}/items", path+"/items", object{"item": w.printed}, http.StatusConflict)
	w.ask(Owner, "POST /kits/{kit}/items", path+"/items", object{"item": w.printed, "reason": "agreed", "confirm": object{"password": Password}}, http.StatusOK)
	w.ask(Operator, "POST /kits/{kit}/items/out", path+"/items/out", object{"item": w.printed, "reason": "wrong box"}, http.StatusOK)
	w.certifiedInto(kit)
	w.ask(Desk, "GET /kits/{kit}/certificates", path+"/certificates", nil, http.StatusOK)
	w.ask(Operator, "POST /kits/{kit}/parts", path+"/parts", object{"part": "torque arm", "in": true}, http.StatusOK)
	sending := object{"items": []string{kit}, "order": "4471", "carrier": "Foxline"}
	w.ask(Desk, "POST /shipments", "/shipments", sending, http.StatusConflict)
	sending["reason"], sending["confirm"] = "the wheel follows", object{"password": Password}
	sent := w.ask(Owner, "POST /shipments", "/shipments", sending, http.StatusCreated)
	number := "/shipments/" + text(w, sent, "number")
	w.ask(Desk, "GET /shipments/{number}", number, nil, http.StatusOK)
	w.ask(Desk, "GET /orders", "/orders", nil, http.StatusOK)
	w.ask(Desk, "GET /shipments/{number}/certificates", number+"/certificates", nil, http.StatusOK)
	w.ask(Desk, "GET /shipments/{number}/certificates", "/shipments/S31-99999/certificates", nil, http.StatusNotFound)
	w.ask(Desk, "GET /shipments/{number}/labels", number+"/labels?copies=2", nil, http.StatusOK)
	w.ask(Desk, "POST /prints", "/prints", object{"what": "box", "which": text(w, sent, "number")}, http.StatusCreated)
	w.ask(Owner, "POST /shipments/{number}/void", number+"/void", object{"reason": "not fetched", "confirm": object{"password": Password}}, http.StatusOK)
	w.ask(Desk, "POST /orders/end", "/orders/end", object{"ref": "4471", "reason": "not wanted"}, http.StatusOK)
}

// certifiedInto packs another wheel, with its certificate, into a kit.
func (w *walk) certifiedInto(kit string) {
	w.T.Helper()
	wheel, sub := w.AnotherWheel(), w.Extremes()
	sub.ID, sub.Serial = models.NewID(), *wheel.Serial
	w.MustRecord(sub)
	_, err := w.App.Services.Release.Issue(w.Context(), w.Shop.Shop.Owner, wheel.ID, "")
	w.Must(err)
	_, err = w.App.Services.Shipping.Pack(w.Context(), w.Shop.Shop.Owner, kit, *wheel.Serial, "it goes along")
	w.Must(err)
}
