package httpx

import (
	"bytes"
	"encoding/json"
	"fmt"
	"reflect"
	"strings"

	"github.com/go-json-experiment/json/jsontext"

	"tracewright/models"
)

const (
	maxProblems = 50 // more help nobody
	maxNameLen  = 64 // of an unknown field, as it is repeated to the sender
)

var unmarshaler = reflect.TypeFor[json.Unmarshaler]()

// checkShape compares a JSON value with the Go type it is meant for, and notes
// each difference under its path: sets[1].values[7].
func checkShape(problems *models.InvalidError, path string, raw json.RawMessage, t reflect.Type) {
	if len(problems.Problems) >= maxProblems {
		return
	}
	raw = bytes.TrimSpace(raw)
	if string(raw) == "null" {
		switch t.Kind() {
		case reflect.Pointer, reflect.Slice, reflect.Map, reflect.Interface:
		default:
			wrongType(problems, path, t)
		}
		return
	}
	if reflect.PointerTo(t).Implements(unmarshaler) {
		if json.Unmarshal(raw, reflect.New(t).Interface()) != nil {
			wrongType(problems, path, t)
		}
		return
	}
	switch t.Kind() {
	case reflect.Pointer:
		checkShape(problems, path, raw, t.Elem())
	case reflect.Struct:
		checkObject(problems, path, raw, t)
	case reflect.Map:
		checkMap(problems, path, raw, t)
	case reflect.Slice, reflect.Array:
		checkArray(problems, path, raw, t)
	case reflect.Interface:
	case reflect.String:
		checkText(problems, path, raw, t)
	default:
		if json.Unmarshal(raw, reflect.New(t).Interface()) != nil {
			wrongType(problems, path, t)
		}
	}
}

// checkText refuses what is no text: half a character, for which encoding/json puts
// another in, and the zero byte, for which PostgreSQL has no place.
func checkText(problems *models.InvalidError, path string, raw json.RawMessage, t reflect.Type) {
	var text string
	switch {
	case json.Unmarshal(raw, &text) != nil:
		wrongType(problems, path, t)
	case !jsontext.Value(raw).IsValid() || !isText(text):
		problems.Add(path, "not_text")
	}
}

// checkMap looks at an object whose names anybody may choose.
func checkMap(problems *models.InvalidError, path string, raw json.RawMessage, t reflect.Type) {
	before, seen := len(problems.Problems), map[string]bool{}
	eachField(problems, path, raw, t, func(name string, value json.RawMessage) {
		switch {
		case !isText(name):
			problems.Add(path, "not_text")
		case seen[name]:
			problems.Add(join(path, name), "twice")
		default:
			checkShape(problems, join(path, name), value, t.Elem())
		}
		seen[name] = true
	})
	if len(problems.Problems) == before && !jsontext.Value(raw).IsValid() { // Then it is a name.
		problems.Add(path, "not_text")
	}
}

func checkObject(problems *models.InvalidError, path string, raw json.RawMessage, t reflect.Type) {
	known := fieldTypes(t)
	seen := map[string]bool{}
	eachField(problems, path, raw, t, func(name string, value json.RawMessage) {
		field, ok := known[name]
		switch {
		case len(problems.Problems) >= maxProblems:
		case !ok:
			problems.Add(join(path, name), "unknown_field", "name", shortened(name))
		case seen[name]:
			problems.Add(join(path, name), "twice")
		default:
			checkShape(problems, join(path, name), value, field)
		}
		seen[name] = true
	})
	for _, f := range reflect.VisibleFields(t) {
		if name := nameOf(f); isNeeded(f) && !seen[name] && len(problems.Problems) < maxProblems {
			problems.Add(join(path, name), "missing")
		}
	}
}

func checkArray(problems *models.InvalidError, path string, raw json.RawMessage, t reflect.Type) {
	dec := json.NewDecoder(bytes.NewReader(raw))
	if token, err := dec.Token(); err != nil || token != json.Delim('[') {
		wrongType(problems, path, t)
		return
	}
	for i := 0; dec.More(); i++ {
		var value json.RawMessage
		if dec.Decode(&value) != nil {
			return
		}
		checkShape(problems, fmt.Sprintf("%s[%d]", path, i), value, t.Elem())
	}
}

// eachField visits the members of an object in their order.
func eachField(problems *models.InvalidError, path string, raw json.RawMessage, t reflect.Type, visit func(name string, value json.RawMessage)) {
	dec := json.NewDecoder(bytes.NewReader(raw))
	if token, err := dec.Token(); err != nil || token != json.Delim('{') {
		wrongType(problems, path, t)
		return
	}
	for dec.More() {
		name, err := dec.Token()
		if err != nil {
			return
		}
		var value json.RawMessage
		if dec.Decode(&value) != nil {
			return
		}
		visit(name.(string), value)
	}
}

// fieldTypes are the JSON names of a struct and what each holds; embedded
// structs lend theirs.
func fieldTypes(t reflect.Type) map[string]reflect.Type {
	out := map[string]reflect.Type{}
	for _, f := range reflect.VisibleFields(t) {
		tag := nameOf(f)
		switch {
		case !f.IsExported() || tag == "-" || f.Anonymous && tag == "":
		case tag != "":
			out[tag] = f.Type
		default:
			out[f.Name] = f.Type
		}
	}
	return out
}

func wrongType(problems *models.InvalidError, path string, t reflect.Type) {
	problems.Add(path, "json_type", "want", typeWord(t))
}

// typeWord names a type the way a sender of JSON would.
func typeWord(t reflect.Type) string {
	switch t {
	case reflect.TypeFor[models.Position]():
		return "spoke_or_block"
	}
	switch t.Kind() {
	case reflect.Pointer:
		return typeWord(t.Elem())
	case reflect.String:
		return "text"
	case reflect.Bool:
		return "true_or_false"
	case reflect.Slice, reflect.Array:
		return "list"
	case reflect.Map:
		return "object"
	case reflect.Struct:
		if reflect.PointerTo(t).Implements(unmarshaler) {
			return "time"
		}
		return "object"
	case reflect.Int, reflect.Int8, reflect.Int16, reflect.Int32, reflect.Int64, reflect.Uint, reflect.Uint8, reflect.Uint16, reflect.Uint32, reflect.Uint64:
		return "whole_number"
	}
	return "number"
}

func join(path, name string) string {
	if path == "" {
		return shortened(name)
	}
	return path + "." + shortened(name)
}

// shortened keeps a sender's own name from filling the answer.
func shortened(name string) string {
	if len(name) > maxNameLen {
		return strings.ToValidUTF8(name[:maxNameLen], "") + "…"
	}
	return name
}
