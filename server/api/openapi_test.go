package api

import (
	"bytes"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/getkin/kin-openapi/openapi3"

	"tracewright/server/httpx"
)

// document loads what is sent, and checks that it is the parts of openapi/ as they are now
// and OpenAPI 3.1 as the standard writes it, examples and all.
func document(t *testing.T) *openapi3.T {
	t.Helper()
	sent, err := Document.Plain()
	if err != nil || !bytes.Equal(joined(t), sent) {
		t.Fatalf("what is sent is not the parts of openapi/ as they are now (%v): run go generate ./server/api", err)
	}
	doc, err := openapi3.NewLoader().LoadFromData(sent)
	if err != nil {
		t.Fatalf("load the document: %v", err)
	}
	if err := doc.Validate(t.Context(), openapi3.EnableExamplesValidation()); err != nil {
		t.Fatal(err)
	}
	if !doc.IsOpenAPI31OrLater() {
		t.Fatalf("the document is of version %s, not 3.1", doc.OpenAPI)
	}
	return doc
}

// joined is the parts, in their order.
func joined(t *testing.T) (whole []byte) {
	t.Helper()
	for _, of := range []string{"head.yaml", "paths/*.yaml", "components.yaml", "examples.yaml", "schemas/*.yaml"} {
		parts, err := filepath.Glob(filepath.Join("openapi", of))
		if err != nil || len(parts) == 0 {
			t.Fatalf("no part %s (%v)", of, err)
		}
		for _, part := range parts {
			text, err := os.ReadFile(part)
			if err != nil {
				t.Fatal(err)
			}
			whole = append(whole, text...)
		}
	}
	return whole
}

// Whoever looks for an operation looks under its tag.
func TestEachPathStandsInTheFileOfItsTag(t *testing.T) {
	for path, item := range document(t).Paths.Map() {
		for method, operation := range item.Operations() {
			part := filepath.Join("openapi", "paths", strings.ReplaceAll(operation.Tags[0], " ", "_")+".yaml")
			text, err := os.ReadFile(part)
			if err != nil || !bytes.Contains(text, []byte("\n  "+path+":\n")) && !bytes.HasPrefix(text, []byte("  "+path+":\n")) {
				t.Errorf("%s %s does not stand in %s (%v)", method, path, part, err)
			}
		}
	}
}

// Each route stands in the document and each operation of the document is a
// route.
func TestRoutesAndDocumentAgree(t *testing.T) {
	var described, routed []string
	for path, item := range document(t).Paths.Map() {
		for method := range item.Operations() {
			described = append(described, method+" "+Base+path)
		}
	}
	for _, r := range Routes(httpx.Services{}) {
		routed = append(routed, r.Method+" "+braced(r.Path))
	}
	for _, r := range routed {
		if !slices.Contains(described, r) {
			t.Errorf("route %s is not in the document", r)
		}
	}
	for _, d := range described {
		if !slices.Contains(routed, d) {
			t.Errorf("the document describes %s, which is no route", d)
		}
	}
}

// What may stand in a query is what the document says of it: nothing else is taken.
func TestQueriesAndDocumentAgree(t *testing.T) {
	names := 0
	doc := document(t)
	for _, r := range Routes(httpx.Services{}) {
		item := doc.Paths.Value(strings.TrimPrefix(braced(r.Path), Base))
		var described []string
		for _, p := range append(slices.Clone(item.Parameters), item.Operations()[r.Method].Parameters...) {
			if p.Value.In == "query" {
				described = append(described, p.Value.Name)
			}
		}
		known := slices.Clone(r.Asked)
		slices.Sort(described)
		slices.Sort(known)
		if r.Asked == nil || !slices.Equal(described, known) {
			t.Errorf("%s %s takes %q, and the document says %q", r.Method, r.Path, known, described)
		}
		names += len(known)
	}
	if names < 80 {
		t.Errorf("%d names in queries: the table is not what it was", names)
	}
}

// braced turns gin's ":name" into the document's "{name}".
func braced(path string) string {
	parts := strings.Split(path, "/")
	for i, p := range parts {
		if name, ok := strings.CutPrefix(p, ":"); ok {
			parts[i] = "{" + name + "}"
		}
	}
	return strings.Join(parts, "/")
}

func TestEveryOperationIsDescribed(t *testing.T) {
	seen := map[string]bool{}
	for path, item := range document(t).Paths.Map() {
		for method, operation := range item.Operations() {
			switch {
			case operation.OperationID == "" || seen[operation.OperationID]:
				t.Errorf("%s %s has no operationId of its own", method, path)
			case operation.Summary == "" || len(operation.Tags) != 1:
				t.Errorf("%s %s has no summary or not one tag", method, path)
			}
			seen[operation.OperationID] = true
			if body := operation.RequestBody; body != nil && body.Value.Content.Get("application/json").Example == nil {
				t.Errorf("%s %s has no example of its body", method, path)
			}
		}
	}
}

// Whoever calls it finds an example of each good answer.
func TestEveryAnswerHasAnExample(t *testing.T) {
	answers := 0
	for path, item := range document(t).Paths.Map() {
		for method, operation := range item.Operations() {
			for status, response := range operation.Responses.Map() {
				media := response.Value.Content.Get("application/json")
				if !strings.HasPrefix(status, "2") || media == nil {
					continue
				}
				if answers++; media.Example == nil && len(media.Examples) == 0 {
					t.Errorf("%s %s has no example of its answer %s", method, path, status)
				}
			}
		}
	}
	if answers < 60 {
		t.Errorf("the document describes %d answers, want those of every operation", answers)
	}
}

// What is said has one shape wherever it is said: a code with its values, and the
// words under "message"; a finding names its question beside that.
func TestWhatIsSaidHasOneShape(t *testing.T) {
	findings := 0
	walk(document(t), func(at string, s *openapi3.Schema) {
		if _, ok := s.Properties["says"]; ok {
			t.Errorf("%s has its words under says", at)
		}
		if _, ok := s.Properties["values"]; ok && s.Properties["code"] != nil && s.Properties["message"] == nil {
			t.Errorf("%s is said by a code, without its words under message", at)
		}
		if list, ok := s.Properties["sentences"]; ok {
			if findings++; list.Value.Items == nil || list.Value.Items.Ref != "#/components/schemas/Sentence" {
				t.Errorf("%s has sentences of a shape of their own", at)
			}
		}
	})
	if findings < 5 {
		t.Errorf("%d schemas have findings, want those of the overview, a result, the returns, the failures and a review", findings)
	}
}

// walk visits every schema of answers and of components, each by where it stands.
func walk(doc *openapi3.T, visit func(at string, s *openapi3.Schema)) {
	var into func(at string, ref *openapi3.SchemaRef)
	into = func(at string, ref *openapi3.SchemaRef) {
		if ref == nil || ref.Value == nil {
			return
		}
		s := ref.Value
		visit(at, s)
		inner := map[string]*openapi3.SchemaRef{"[]": s.Items}
		for name, p := range s.Properties {
			inner[name] = p
		}
		for _, list := range []openapi3.SchemaRefs{s.OneOf, s.AnyOf, s.AllOf} {
			for i, p := range list {
				inner["choice "+strconv.Itoa(i)] = p
			}
		}
		for name, p := range inner {
			if p != nil && p.Ref == "" { // What is referred to is visited by its name.
				into(at+"."+name, p)
			}
		}
	}
	for name, s := range doc.Components.Schemas {
		into(name, s)
	}
	for path, item := range doc.Paths.Map() {
		for method, operation := range item.Operations() {
			for status, response := range operation.Responses.Map() {
				if media := response.Value.Content.Get("application/json"); media != nil && media.Schema.Ref == "" {
					into(method+" "+path+" "+status, media.Schema)
				}
			}
		}
	}
}
