package servertest

import (
	"bytes"
	"encoding/json"
	"fmt"
	"net/http"
	"strings"
	"testing"

	"github.com/getkin/kin-openapi/openapi3"

	"tracewright/models"
	"tracewright/server/api"
)

// described holds answers against the description of the interface.
type described struct {
	doc  *openapi3.T
	seen map[string]bool // "POST /items 201"
}

func describe(t *testing.T) *described {
	t.Helper()
	raw, err := api.Document.Plain()
	if err != nil {
		t.Fatal(err)
	}
	doc, err := openapi3.NewLoader().LoadFromData(raw)
	if err != nil {
		t.Fatal(err)
	}
	return &described{doc: doc, seen: map[string]bool{}}
}

// answers sends a row of an operation, and compares what comes back with what
// the document says of that status: the media type and every field.
func (d *described) answers(t *testing.T, s *Shop, operation string, row Row) []byte {
	t.Helper()
	method, template, _ := strings.Cut(operation, " ")
	item := d.doc.Paths.Value(template)
	if item == nil || item.Operations()[method] == nil {
		t.Fatalf("%s is not described", operation)
	}
	row.Method, row.Path = method, api.Base+row.Path
	status, header, body := s.Do(t, row)
	if status != row.Status {
		t.Fatalf("%s %s: status %d, want %d: %s", method, row.Path, status, row.Status, shortened(body))
	}
	responses := item.Operations()[method].Responses
	response := responses.Status(status)
	if response == nil {
		if response = responses.Default(); response == nil {
			t.Fatalf("%s: status %d is not described", operation, status)
		}
	}
	d.seen[fmt.Sprintf("%s %d", operation, status)] = true
	if len(response.Value.Content) == 0 {
		return body
	}
	kind, _, _ := strings.Cut(header.Get("Content-Type"), ";")
	media := response.Value.Content.Get(kind)
	if media == nil {
		t.Fatalf("%s: an answer of type %s is not described", operation, kind)
	}
	if strings.HasSuffix(kind, "json") {
		if err := fits(media.Schema.Value, body); err != nil {
			t.Errorf("%s %d does not answer as described: %v\n%s", operation, status, err, shortened(body))
		}
	}
	if raw, ok := row.Body.(json.RawMessage); ok && status < 300 {
		request := item.Operations()[method].RequestBody.Value.Content.Get("application/json")
		if err := fits(request.Schema.Value, raw); err != nil {
			t.Errorf("%s takes a body that is not described: %v", operation, err)
		}
	}
	return body
}

// fits compares JSON with a schema by JSON Schema 2020-12.
func fits(schema *openapi3.Schema, raw []byte) error {
	decoder := json.NewDecoder(bytes.NewReader(raw))
	var value any
	if err := decoder.Decode(&value); err != nil {
		return err
	}
	return schema.VisitJSON(value, openapi3.EnableJSONSchema2020(), openapi3.EnableFormatValidation(), openapi3.MultiErrors())
}

// A test that compares with a description is worth what the comparison refuses.
func TestTheComparisonRefuses(t *testing.T) {
	line := describe(t).doc.Components.Schemas["ItemLine"].Value
	sent := describe(t).doc.Components.Schemas["SentInspection"].Value
	for _, c := range []struct {
		name   string
		schema *openapi3.Schema
		raw    string
		fits   bool
	}{
		{"a good line", line, `{"id":"a","print":"W","kind":"wheel","state":"held"}`, true},
		{"a field missing", line, `{"id":"a","print":"W","kind":"wheel"}`, false},
		{"a field too many", line, `{"id":"a","print":"W","kind":"wheel","state":"held","colour":"red"}`, false},
		{"a number for a text", line, `{"id":1,"print":"W","kind":"wheel","state":"held"}`, false},
		{"a word that is none of the list", line, `{"id":"a","print":"W","kind":"trolley","state":"held"}`, false},
		{"a good inspection", sent, `{"id":"a","serial":"W","stage":"final","started_at":"2031-05-12T12:00:00Z","finished_at":"2031-05-12T12:00:00Z","sets":[]}`, true},
		{"a field too many behind a reference", sent, `{"id":"a","serial":"W","stage":"final","started_at":"2031-05-12T12:00:00Z","finished_at":"2031-05-12T12:00:00Z","sets":[],"colour":"red"}`, false},
		{"a time that is none", sent, `{"id":"a","serial":"W","stage":"final","started_at":"noon","finished_at":"2031-05-12T12:00:00Z","sets":[]}`, false},
	} {
		t.Run(c.name, func(t *testing.T) {
			if err := fits(c.schema, []byte(c.raw)); (err == nil) != c.fits {
				t.Errorf("%s: %v, should fit: %v", c.raw, err, c.fits)
			}
		})
	}
}

// raw makes a body that is compared with the description too.
func raw(t *testing.T, body any) json.RawMessage {
	t.Helper()
	b, err := json.Marshal(body)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

type object = map[string]any

// One walk through every operation, so that each has answered for real and as
// described: with what it makes, and with a problem.
func TestRealAnswersFitTheDescription(t *testing.T) {
	Each(t, func(t *testing.T, s *Shop) {
		d := describe(t)
		w := walk{T: t, Shop: s, described: d}
		w.specify()
		w.goodsIn()
		w.capture()
		w.firstScan()
		w.unplaced()
		w.release()
		w.labels()
		w.stand()
		w.turnLists()
		w.shelf()
		w.blocks()
		w.lots()
		w.lists()
		w.studies()
		w.look()
		w.desk()
		w.nonconforming()
		w.needed()
		w.problems()
		for path, item := range d.doc.Paths.Map() {
			for method, operation := range item.Operations() {
				for status := range operation.Responses.Map() {
					if key := method + " " + path + " " + status; status != "default" && !d.seen[key] {
						t.Errorf("%s was never answered", key)
					}
				}
			}
		}
	})
}

// walk is a walk through the interface, and what later steps need of earlier
// ones.
type walk struct {
	*testing.T
	*Shop
	*described

	family, product string
	certificate     string // "/certificates/C31-00001/1"
	inspection      string
	printed         string // a serial of a roll of labels
}

// ask sends a request and reads the answer.
func (w *walk) ask(who, operation, path string, body any, status int) object {
	w.T.Helper()
	row := Row{Who: who, Path: path, Status: status}
	if body != nil {
		row.Body = raw(w.T, body)
	}
	answer := w.answers(w.T, w.Shop, operation, row)
	var o object
	if json.Valid(answer) {
		o = Decode[object](w.T, answer)
	}
	return o
}

func text(w *walk, o object, path ...string) string {
	w.T.Helper()
	for _, p := range path[:len(path)-1] {
		inner, ok := o[p].(object)
		if !ok {
			w.T.Fatalf("no %s in %v", p, o)
		}
		o = inner
	}
	s, ok := o[path[len(path)-1]].(string)
	if !ok {
		w.T.Fatalf("no %v in %v", path, o)
	}
	return s
}

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
