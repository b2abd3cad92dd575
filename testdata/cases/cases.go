// Package cases holds worked calculations with their expected answers, against
// which the packages are tested. The files beside it carry them, each case with
// its source and its tolerance; nothing outside tests imports the package.
//
// A case is never changed to fit what the code answers. Fields of an expected
// answer that are not offered stand in left_out.json with the reason.
package cases

import (
	"embed"
	"encoding/json"
	"os"
	"path/filepath"
	"slices"
	"testing"
)

//go:embed wheels.json packs.json records.json statistics.json left_out.json
var files embed.FS

// Case is one worked calculation.
type Case struct {
	ID         string          `json:"id"`
	Kind       string          `json:"kind"`
	Source     string          `json:"source"`
	Provenance string          `json:"provenance"`
	Input      json.RawMessage `json:"input"`
	Expected   json.RawMessage `json:"expected"`
	Tolerance  Tolerance       `json:"tolerance"`
}

// LeftOut names one field of an expected answer that is not offered.
type LeftOut struct {
	Kind   string `json:"kind"`
	Field  string `json:"field"`
	Reason string `json:"reason"`
}

// All returns every case.
func All(t testing.TB) []Case {
	t.Helper()
	var all []Case
	for _, name := range []string{"wheels.json", "packs.json", "records.json", "statistics.json"} {
		raw, err := files.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		all = append(all, read(t, name, raw)...)
	}
	return all
}

// OfKind returns the cases of a kind; having none fails the test, which would
// otherwise check nothing.
func OfKind(t testing.TB, kind string) []Case {
	t.Helper()
	of := slices.DeleteFunc(All(t), func(c Case) bool { return c.Kind != kind })
	if len(of) == 0 {
		t.Fatalf("no case of kind %q", kind)
	}
	return of
}

// InPlace returns the cases whose data may be read but not carried along, from
// the folder that TRACEWRIGHT_CASES names. It reports false when that is unset.
func InPlace(t testing.TB) ([]Case, bool) {
	t.Helper()
	folder := os.Getenv("TRACEWRIGHT_CASES")
	if folder == "" {
		return nil, false
	}
	const name = "statistics-in-place.json"
	raw, err := os.ReadFile(filepath.Join(folder, name))
	if err != nil {
		t.Fatal(err)
	}
	return read(t, name, raw), true
}

// NotOffered returns the list of fields that are left out.
func NotOffered(t testing.TB) []LeftOut {
	t.Helper()
	raw, err := files.ReadFile("left_out.json")
	if err != nil {
		t.Fatal(err)
	}
	var list []LeftOut
	if err := json.Unmarshal(raw, &list); err != nil {
		t.Fatalf("left_out.json: %v", err)
	}
	return list
}

// Decode reads a part of a case into a value; what the value has no field for is
// passed over.
func Decode[T any](t testing.TB, raw json.RawMessage) T {
	t.Helper()
	var value T
	if err := json.Unmarshal(raw, &value); err != nil {
		t.Fatalf("read %s: %v", raw, err)
	}
	return value
}

func read(t testing.TB, name string, raw []byte) []Case {
	t.Helper()
	var list []Case
	if err := json.Unmarshal(raw, &list); err != nil {
		t.Fatalf("%s: %v", name, err)
	}
	return list
}
