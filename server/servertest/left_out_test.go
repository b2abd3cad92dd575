package servertest

import (
	"cmp"
	"encoding/json"
	"fmt"
	"net/http"
	"slices"
	"strings"
	"testing"

	"github.com/getkin/kin-openapi/openapi3"

	"tracewright/models"
	"tracewright/server/api"
)

// leftOut is a body of an operation beside the example of the document, which has not
// every field that is needed, and where it is sent to.
type leftOut struct{ path, body string }

// leftOutBodies has them by operation. Little of what they speak of is on record: what is
// missing is said before it is looked for, or beside whatever else is wrong.
func (s *Shop) leftOutBodies(t *testing.T) map[string][]leftOut {
	t.Helper()
	const event = `{"id":"0198f3c2-7a11-7cc3-98f0-0a1b2c3d4e5f","serial":"W31000010","stage":"final","started_at":"2031-05-12T11:00:00Z","finished_at":"2031-05-12T11:30:00Z","sets":[],
		"events":[{"at":1200,"what":"undone","characteristic":"dish","position":1,"value":"6.78"}]}`
	out := map[string][]leftOut{
		"POST /inspections": {{body: event}}, "POST /preview": {{body: event}}, "PUT /drafts/{id}": {{body: `{"version":0,"content":` + event + `}`}},
	}
	s.run(t, Row{Who: Owner, Path: api.Base + "/lots", Body: object{"code": "SP-0214", "material": "spokes", "quantity": 2000}, Status: http.StatusCreated})
	made := func(operation, path, body, of string) string {
		status, _, answer := s.Do(t, Row{Who: Owner, Path: api.Base + path, Body: body})
		if status != http.StatusCreated {
			t.Fatalf("%s: status %d: %s", operation, status, shortened(answer))
		}
		out[operation] = append(out[operation], leftOut{path, strings.Replace(body, "Other", "More", 1)})
		return Decode[object](t, answer)[of].(object)["id"].(string)
	}
	for kind, form := range map[string]string{
		models.KindWheel: `{"wheel":{"holes":36,"crossing":1}}`, models.KindPack: `{"pack":{"chemistry":"agm","cells":6,"strings":1,"blocks":3}}`,
		models.KindBlock: `{"block":{"supplier":"Akku","model":"A 12","chemistry":"agm","cells":6}}`, models.KindKit: `{"kit":{"lines":[{"part":"spanner","quantity":1}]}}`,
	} {
		family := made("POST /families", "/families", fmt.Sprintf(`{"kind":%q,"name":"Other %[1]ss","form":%s}`, kind, form), "family")
		product := made("POST /products", "/products", fmt.Sprintf(`{"family":%q,"name":"Other %s","form":%s}`, family, kind, form), "product")
		out["POST /products/{id}/revisions"] = append(out["POST /products/{id}/revisions"], leftOut{"/products/" + product + "/revisions", fmt.Sprintf(`{"from":1,"form":%s,"reason":"r"}`, form)})
	}
	return out
}

// What is needed of true, false and numbers has to be said: nothing said is not "no",
// nor naught. Each such field of each body is left out once and is named in the answer.
func TestWhatIsNeededIsNotTakenForNo(t *testing.T) {
	Each(t, func(t *testing.T, s *Shop) {
		fields, more := 0, s.leftOutBodies(t)
		for path, item := range describe(t).doc.Paths.Map() {
			for method, operation := range item.Operations() {
				if operation.RequestBody == nil || operation.RequestBody.Value.Content.Get("application/json") == nil {
					continue
				}
				media := operation.RequestBody.Value.Content.Get("application/json")
				example, err := json.Marshal(media.Example)
				if err != nil {
					t.Fatal(err)
				}
				bodies := append(more[method+" "+path], leftOut{body: string(example)})
				for _, needed := range plainNeeds(media.Schema.Value) {
					fields++
					s.leaveOut(t, method, path, bodies, needed)
				}
			}
		}
		if fields < 35 {
			t.Errorf("%d needed fields: the document is not what it was", fields)
		}
	})
}

// plainNeeds are the paths of what a schema needs of true, false and numbers; a list is
// its first entry.
func plainNeeds(s *openapi3.Schema) (paths [][]string) {
	add := func(name string, inner *openapi3.Schema) {
		for _, p := range plainNeeds(inner) {
			paths = append(paths, append([]string{name}, p...))
		}
	}
	for name, property := range s.Properties {
		kind := property.Value.Type
		if slices.Contains(s.Required, name) && (kind.Includes("boolean") || kind.Includes("integer") || kind.Includes("number")) {
			paths = append(paths, []string{name})
		}
		add(name, property.Value)
	}
	if s.Items != nil {
		add("[0]", s.Items.Value)
	}
	for _, list := range []openapi3.SchemaRefs{s.AllOf, s.AnyOf, s.OneOf} {
		for _, part := range list {
			paths = append(paths, plainNeeds(part.Value)...)
		}
	}
	return paths
}

// leaveOut sends the first of the bodies that has a field without it.
func (s *Shop) leaveOut(t *testing.T, method, path string, bodies []leftOut, needed []string) {
	t.Helper()
	field := strings.ReplaceAll(strings.Join(needed, "."), ".[", "[")
	for _, body := range bodies {
		var o any
		if err := json.Unmarshal([]byte(body.body), &o); err != nil {
			t.Fatalf("%s: %v", body.body, err)
		}
		if !without(o, needed) {
			continue
		}
		address := api.Base + cmp.Or(body.path, strings.NewReplacer("{number}", "1", "{code}", "SP-0214", "{list}", "a", "{n}", "1").Replace(path))
		status, _, answer := s.Do(t, Row{Who: Owner, Method: method, Path: address, Body: o})
		told := Decode[struct {
			Errors []struct{ Field string }
		}](t, answer)
		if status != http.StatusUnprocessableEntity || !slices.Contains(told.Errors, struct{ Field string }{field}) {
			t.Errorf("%s %s without %s: status %d: %s", method, path, field, status, shortened(answer))
		}
		return
	}
	t.Errorf("%s %s: no body has %s", method, path, field)
}

// without takes a field out, and says whether it was there.
func without(o any, path []string) bool {
	if list, ok := o.([]any); ok {
		return len(list) > 0 && without(list[0], path[1:])
	}
	inner, ok := o.(object)
	if !ok {
		return false
	}
	value, there := inner[path[0]]
	if len(path) > 1 {
		return there && without(value, path[1:])
	}
	delete(inner, path[0])
	return there
}
