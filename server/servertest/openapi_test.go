package servertest

import (
	"bytes"
	"encoding/json"
	"fmt"
	"strings"
	"testing"

	"github.com/getkin/kin-openapi/openapi3"

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
