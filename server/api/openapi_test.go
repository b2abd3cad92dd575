package api

import (
	"slices"
	"strings"
	"testing"

	"github.com/getkin/kin-openapi/openapi3"

	"tracewright/server/httpx"
)

// document loads openapi.yaml and checks that it is OpenAPI 3.1 as the standard
// writes it, examples and all.
func document(t *testing.T) *openapi3.T {
	t.Helper()
	doc, err := openapi3.NewLoader().LoadFromData(Document)
	if err != nil {
		t.Fatalf("load openapi.yaml: %v", err)
	}
	if err := doc.Validate(t.Context(), openapi3.EnableExamplesValidation()); err != nil {
		t.Fatalf("openapi.yaml: %v", err)
	}
	if !doc.IsOpenAPI31OrLater() {
		t.Fatalf("openapi.yaml is of version %s, not 3.1", doc.OpenAPI)
	}
	return doc
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
			t.Errorf("route %s is not in openapi.yaml", r)
		}
	}
	for _, d := range described {
		if !slices.Contains(routed, d) {
			t.Errorf("openapi.yaml describes %s, which is no route", d)
		}
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
