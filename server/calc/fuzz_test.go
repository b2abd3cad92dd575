package calc

import (
	"bytes"
	"encoding/json"
	"errors"
	"os"
	"slices"
	"strings"
	"testing"
	"time"

	"tracewright/testdata/cases"
)

// longest is how long one small input may take; it is far above what any does,
// and a processor shared with other workers is no reason to fail.
const longest = 8 * time.Second

// largestSeed keeps long data sets out of the corpus: what is learned from ten
// values is not learned faster from five thousand.
const largestSeed = 4000

// FuzzCalc gives every calculation inputs near those that work: numbers made
// extreme, values left out, doubled or of another type. Whatever comes, the
// answer is JSON without NaN or infinity, or a failure that names a field.
// TRACEWRIGHT_FUZZ_KIND keeps to one kind.
func FuzzCalc(f *testing.F) {
	only := os.Getenv("TRACEWRIGHT_FUZZ_KIND")
	seed := func(kind, input string) {
		if len(input) > largestSeed || only != "" && kind != only {
			return
		}
		f.Add(kind, input, []byte{})
		for _, edits := range [][]byte{{0, 0, 0}, {1, 1, 0}, {2, 2, 0, 1, 3, 0}, {3, 4, 0}, {0, 5, 0, 4, 6, 0}} {
			f.Add(kind, input, edits)
		}
	}
	for _, k := range List() {
		seed(k.Name, k.Example)
	}
	for _, c := range cases.All(f) {
		if offered(c.Kind) {
			seed(c.Kind, string(c.Input))
		}
	}
	f.Fuzz(func(t *testing.T, kind, input string, edits []byte) {
		if only != "" {
			kind = only
		}
		input = edited(input, edits)
		answer, err := inTime(t, kind, input)
		var failure *Failure
		switch {
		case err == nil && !json.Valid(answer):
			t.Errorf("%s %.500s: answered %.200q", kind, input, answer)
		case err != nil && !errors.As(err, &failure):
			t.Errorf("%s %.500s: %v", kind, input, err)
		case err != nil && (failure.Field == "" || failure.Problem == "" || strings.ContainsAny(err.Error(), "\r\n")):
			t.Errorf("%s %.500s: a failure that does not say enough: %q", kind, input, err)
		}
	})
}

// inTime runs a calculation and fails the test when there is no answer soon.
func inTime(t *testing.T, kind, input string) ([]byte, error) {
	var (
		answer []byte
		err    error
	)
	done := make(chan struct{})
	go func() {
		defer close(done)
		answer, err = Run(kind, []byte(input))
	}()
	select {
	case <-done:
	case <-time.After(longest):
		t.Fatalf("%s %.500s: no answer after %v", kind, input, longest)
	}
	return answer, err
}

// extremes are what numbers are replaced by.
var extremes = []string{"0", "-1", "1", "2", "0.5", "-0.0", "1e308", "-1e308", "5e-324", "1e-12", "100", "1000000000", "9007199254740993", "-3.7", "0.999999999999", "1e18"}

// edited changes an input by groups of three bytes: which value, how, and with
// what. Text that is no JSON stays as it is.
func edited(input string, edits []byte) string {
	for len(edits) >= 3 {
		d := json.NewDecoder(strings.NewReader(input))
		d.UseNumber()
		var tree any
		if d.Decode(&tree) != nil {
			return input
		}
		at := int(edits[0])
		tree = edit(tree, &at, edits[1], edits[2])
		var out bytes.Buffer
		e := json.NewEncoder(&out)
		e.SetEscapeHTML(false)
		if e.Encode(tree) != nil {
			return input
		}
		input = strings.TrimSpace(out.String())
		edits = edits[3:]
	}
	return input
}

// edit changes the value that is reached when at has counted down, in the
// order of the members' names.
func edit(v any, at *int, how, with byte) any {
	*at--
	if *at < 0 {
		*at = 1 << 30 // only one
		return replaced(v, how, with)
	}
	switch v := v.(type) {
	case []any:
		for i := range v {
			v[i] = edit(v[i], at, how, with)
		}
	case map[string]any:
		names := make([]string, 0, len(v))
		for name := range v {
			names = append(names, name)
		}
		slices.Sort(names)
		for _, name := range names {
			v[name] = edit(v[name], at, how, with)
		}
	}
	return v
}

func replaced(v any, how, with byte) any {
	switch v := v.(type) {
	case []any:
		switch n := int(with); {
		case how%5 == 0 || len(v) == 0:
			return []any{}
		case how%5 == 1:
			return v[:n%len(v)]
		case how%5 == 2: // all equal
			for i := range v {
				v[i] = v[n%len(v)]
			}
			return v
		case how%5 == 3:
			return append(v, v[n%len(v)])
		default:
			return append(slices.Clone(v), v...)
		}
	case map[string]any:
		names := make([]string, 0, len(v))
		for name := range v {
			names = append(names, name)
		}
		slices.Sort(names)
		if len(names) > 0 {
			delete(v, names[int(with)%len(names)])
		}
		return v
	}
	switch how % 8 {
	case 0:
		return nil
	case 1:
		return "0"
	case 2:
		return []any{v}
	}
	return json.Number(extremes[int(how/8+with)%len(extremes)])
}
