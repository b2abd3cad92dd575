package calc

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"reflect"
	"strings"
)

// Kind is one calculation.
type Kind struct {
	Name    string
	Does    string // One line for the list.
	Source  string // Where the formula comes from.
	Example string // An input that works, one JSON object.
	Run     func(input json.RawMessage) (any, error)
}

// Failure says why an input cannot be used: a code where the calculation has a
// name for it, the field, and what is wrong with it.
type Failure struct {
	Code    string
	Field   string
	Problem string
}

// Error returns one line, the code first when there is one.
func (f *Failure) Error() string {
	var line strings.Builder
	if f.Code != "" {
		line.WriteString(f.Code + " ")
	}
	line.WriteString(f.Field + ": " + f.Problem)
	return strings.Join(strings.Fields(line.String()), " ")
}

// refuse makes a failure of an error met while computing with a field.
func refuse(field string, err error) error {
	return &Failure{Field: field, Problem: err.Error()}
}

// ErrNoAnswer is returned when a calculation answers with something that is not
// JSON, which is a fault of ours and not of the input.
var ErrNoAnswer = errors.New("no answer that can be written as JSON")

// Run carries out the calculation of that name on one JSON object and returns
// one JSON object. An error that the input is to blame for is a [*Failure].
func Run(kind string, input []byte) ([]byte, error) {
	for _, k := range kinds() {
		if k.Name == kind {
			return run(k, input)
		}
	}
	return nil, &Failure{Field: "kind", Problem: fmt.Sprintf("%.60q is not a calculation, --list names them all", kind)}
}

// RunRequest does the same for an object that names its kind:
// {"kind": "...", "input": {...}}.
func RunRequest(request []byte) ([]byte, error) {
	type named struct {
		Kind  string          `json:"kind"`
		Input json.RawMessage `json:"input"`
	}
	r, err := decode[named](request)
	if err != nil {
		return nil, err
	}
	return Run(r.Kind, r.Input)
}

// List returns every kind in the order of the table.
func List() []Kind { return kinds() }

func run(k Kind, input []byte) ([]byte, error) {
	answer, err := k.Run(input)
	if err != nil {
		var failure *Failure
		if errors.As(err, &failure) {
			return nil, failure
		}
		return nil, refuse("input", err)
	}
	var out bytes.Buffer
	encoder := json.NewEncoder(&out)
	encoder.SetEscapeHTML(false)
	if err := encoder.Encode(answer); err != nil {
		var value *json.UnsupportedValueError
		if errors.As(err, &value) && strings.HasSuffix(value.Str, "Inf") {
			return nil, &Failure{Field: "input", Problem: "leads to a figure larger than a double can hold"}
		}
		return nil, fmt.Errorf("%s: %w: %w", k.Name, ErrNoAnswer, err)
	}
	return bytes.TrimSpace(out.Bytes()), nil
}

// of makes the function of a kind from one that takes and gives structs.
func of[In, Out any](compute func(In) (Out, error)) func(json.RawMessage) (any, error) {
	return func(raw json.RawMessage) (any, error) {
		var input In
		if err := decodeInto(reflect.ValueOf(&input).Elem(), raw, ""); err != nil {
			return nil, err
		}
		return compute(input)
	}
}
