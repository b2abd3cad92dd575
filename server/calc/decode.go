package calc

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math"
	"reflect"
	"slices"
	"strconv"
	"strings"
)

// remarks are fields of an input that are read by people only.
var remarks = []string{"note", "legend", "attack", "case"}

// decode reads one JSON object into a struct, strictly: names are matched
// letter by letter, unknown and repeated fields and text behind the object are
// refused, every field without omitempty must be there, and null stands only
// where the Go field is a pointer or left open. The error is a [*Failure] that
// names the place, such as blocks[3].ocv_mV.
func decode[T any](input json.RawMessage) (T, error) {
	var value T
	err := decodeInto(reflect.ValueOf(&value).Elem(), input, "")
	return value, err
}

// member is one field of an object as it came.
type member struct {
	name string
	raw  json.RawMessage
}

// decodeInto walks structs, slices and maps itself and leaves single values to
// encoding/json.
func decodeInto(v reflect.Value, raw json.RawMessage, path string) error {
	raw = bytes.TrimSpace(raw)
	null := string(raw) == "null"
	_, ownReader := v.Addr().Interface().(json.Unmarshaler)
	switch {
	case v.Kind() == reflect.Pointer && !null:
		v.Set(reflect.New(v.Type().Elem()))
		return decodeInto(v.Elem(), raw, path)
	case v.Kind() == reflect.Pointer || v.Kind() == reflect.Interface && null:
		return nil
	case v.Type() == reflect.TypeFor[json.RawMessage]():
		v.SetBytes(slices.Clone(raw))
		return nil
	case null:
		return &Failure{Field: place(path), Problem: "must not be null"}
	case ownReader:
		return decodeLeaf(v, raw, path)
	}
	switch v.Kind() {
	case reflect.Struct:
		return decodeStruct(v, raw, path)
	case reflect.Slice, reflect.Array:
		return decodeList(v, raw, path)
	case reflect.Map:
		return decodeMap(v, raw, path)
	}
	return decodeLeaf(v, raw, path)
}

func decodeStruct(v reflect.Value, raw json.RawMessage, path string) error {
	members, err := readObject(raw, path)
	if err != nil {
		return err
	}
	fields := fieldsOf(v)
	for _, m := range members {
		field, known := fields[m.name]
		switch {
		case known:
			if err := decodeInto(field.value, m.raw, join(path, m.name)); err != nil {
				return err
			}
		case !slices.Contains(remarks, m.name):
			return &Failure{Field: join(path, m.name), Problem: "is not a field of this calculation"}
		}
	}
	for _, name := range sortedNames(fields) {
		given := slices.ContainsFunc(members, func(m member) bool { return m.name == name })
		if !given && !fields[name].optional {
			return &Failure{Field: join(path, name), Problem: "is missing"}
		}
	}
	return nil
}

type structField struct {
	value    reflect.Value
	optional bool
}

// fieldsOf returns the fields of a struct by their json names, those of
// embedded structs with them.
func fieldsOf(v reflect.Value) map[string]structField {
	fields := map[string]structField{}
	for i := range v.NumField() {
		field := v.Type().Field(i)
		name, options, _ := strings.Cut(field.Tag.Get("json"), ",")
		switch {
		case field.Anonymous && name == "" && field.Type.Kind() == reflect.Struct:
			for inner, f := range fieldsOf(v.Field(i)) {
				fields[inner] = f
			}
		case name != "" && name != "-" && field.IsExported():
			fields[name] = structField{v.Field(i), strings.Contains(options, "omit")}
		}
	}
	return fields
}

func sortedNames(fields map[string]structField) []string {
	names := make([]string, 0, len(fields))
	for name := range fields {
		names = append(names, name)
	}
	slices.Sort(names)
	return names
}

func decodeList(v reflect.Value, raw json.RawMessage, path string) error {
	var elements []json.RawMessage
	if err := json.Unmarshal(raw, &elements); err != nil {
		return &Failure{Field: place(path), Problem: wrongType(raw, "an array")}
	}
	if v.Kind() == reflect.Array {
		if len(elements) != v.Len() {
			return &Failure{Field: place(path), Problem: fmt.Sprintf("must have %d values, not %d", v.Len(), len(elements))}
		}
	} else {
		v.Set(reflect.MakeSlice(v.Type(), len(elements), len(elements)))
	}
	for i, element := range elements {
		if err := decodeInto(v.Index(i), element, fmt.Sprintf("%s[%d]", path, i)); err != nil {
			return err
		}
	}
	return nil
}

func decodeMap(v reflect.Value, raw json.RawMessage, path string) error {
	members, err := readObject(raw, path)
	if err != nil {
		return err
	}
	if v.Type().Key().Kind() != reflect.String {
		return decodeLeaf(v, raw, path)
	}
	v.Set(reflect.MakeMap(v.Type()))
	for _, m := range members {
		value := reflect.New(v.Type().Elem()).Elem()
		if err := decodeInto(value, m.raw, join(path, m.name)); err != nil {
			return err
		}
		v.SetMapIndex(reflect.ValueOf(m.name).Convert(v.Type().Key()), value)
	}
	return nil
}

// decodeLeaf reads a single value and words what is wrong with it.
func decodeLeaf(v reflect.Value, raw json.RawMessage, path string) error {
	err := json.Unmarshal(raw, v.Addr().Interface())
	if err == nil {
		return nil
	}
	var wrong *json.UnmarshalTypeError
	if !errors.As(err, &wrong) {
		return &Failure{Field: place(path), Problem: err.Error()}
	}
	switch v.Kind() {
	case reflect.Float64:
		return &Failure{Field: place(path), Problem: wrongType(raw, "a number in the range of a double")}
	case reflect.Int, reflect.Int64:
		// In JSON 5.0 and 5e0 are the number 5, and several programs write it so.
		if f, err := strconv.ParseFloat(string(bytes.TrimSpace(raw)), 64); err == nil && f == math.Trunc(f) && math.Abs(f) <= 1<<53 {
			v.SetInt(int64(f))
			return nil
		}
		return &Failure{Field: place(path), Problem: wrongType(raw, "a whole number")}
	case reflect.Bool:
		return &Failure{Field: place(path), Problem: wrongType(raw, "true or false")}
	case reflect.String:
		return &Failure{Field: place(path), Problem: wrongType(raw, "text")}
	}
	return &Failure{Field: place(path), Problem: wrongType(raw, "a "+v.Kind().String())}
}

// readObject splits a JSON object into its members.
func readObject(raw json.RawMessage, path string) ([]member, error) {
	d := json.NewDecoder(bytes.NewReader(raw))
	open, err := d.Token()
	if err != nil {
		return nil, &Failure{Field: place(path), Problem: "is not JSON: " + plainEnd(err)}
	}
	if open != json.Delim('{') {
		return nil, &Failure{Field: place(path), Problem: wrongType(raw, "an object")}
	}
	var members []member
	for d.More() {
		name, err := d.Token()
		if err != nil {
			return nil, &Failure{Field: place(path), Problem: "is not JSON: " + plainEnd(err)}
		}
		m := member{name: name.(string)} // Inside an object a token before a value is a name.
		if slices.ContainsFunc(members, func(other member) bool { return other.name == m.name }) {
			return nil, &Failure{Field: join(path, m.name), Problem: "is given twice"}
		}
		if err := d.Decode(&m.raw); err != nil {
			return nil, &Failure{Field: join(path, m.name), Problem: "is not JSON: " + plainEnd(err)}
		}
		members = append(members, m)
	}
	if _, err := d.Token(); err != nil {
		return nil, &Failure{Field: place(path), Problem: "is not JSON: " + plainEnd(err)}
	}
	if _, err := d.Token(); !errors.Is(err, io.EOF) {
		return nil, &Failure{Field: place(path), Problem: "has text behind the object"}
	}
	return members, nil
}

// plainEnd words the error of a text that stops too early.
func plainEnd(err error) string {
	if errors.Is(err, io.EOF) || errors.Is(err, io.ErrUnexpectedEOF) {
		return "it ends too early"
	}
	return err.Error()
}

func wrongType(raw json.RawMessage, wanted string) string {
	return fmt.Sprintf("must be %s, not %.40s", wanted, raw)
}

// join names a member of what stands at path; one without a name is shown as
// two quotes.
func join(path, name string) string {
	if name == "" {
		name = `""`
	}
	if path == "" {
		return name
	}
	return path + "." + name
}

// place names the input itself where there is no field.
func place(path string) string {
	if path == "" {
		return "input"
	}
	return path
}
