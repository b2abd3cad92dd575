package trail

import (
	"cmp"
	"encoding"
	"encoding/json"
	"fmt"
	"reflect"
	"slices"
	"strconv"
	"strings"
	"sync"
	"time"
)

// maxWhole is the greatest whole number below which a binary64 holds every one
// (2^53 - 1, RFC 7493, 2.2).
const maxWhole = 1<<53 - 1

// Canonical returns the canonical form of a Go value: what is [Written], maps with string keys,
// slices, structs, pointers, strings, booleans, whole numbers up to 2^53 - 1,
// finite floats, json.RawMessage and types that marshal themselves as text
// (exact decimals). Struct fields take their name and omitempty from the json
// tag; a field without a json tag is an error, since a renamed field would
// change every hash unseen. A nil slice is [] and a nil pointer or map null.
//
// The errors are those of [CanonicalJSON], and [ErrNonFinite] and [ErrType].
func Canonical(v any) ([]byte, error) {
	return appendPlain(make([]byte, 0, 4096), v, 0)
}

var encodings = sync.Pool{New: func() any { return new([]byte) }}

// DigestOf is the Digest of a value's canonical form, which is not kept.
func DigestOf(v any) (string, error) {
	room := encodings.Get().(*[]byte)
	defer encodings.Put(room)
	raw, err := appendPlain((*room)[:0], v, 0)
	if err != nil {
		return "", err
	}
	*room = raw
	return Digest(raw), nil
}

// appendPlain writes what records encode themselves as straight away, without
// reflection and without a tree of nodes: an inspection holds a few hundred of
// these values and is encoded while somebody waits.
func appendPlain(out []byte, v any, depth int) ([]byte, error) {
	if depth > deepest {
		return nil, fmt.Errorf("nested more than %d deep: %w", deepest, ErrType)
	}
	switch v := v.(type) {
	case string:
		return appendString(out, v)
	case bool, float64:
		return appendNode(out, v)
	case int:
		return appendWhole(out, int64(v))
	case []any:
		out = append(out, '[')
		for i, x := range v {
			if i > 0 {
				out = append(out, ',')
			}
			var err error
			if out, err = appendPlain(out, x, depth+1); err != nil {
				return nil, fmt.Errorf("[%d]: %w", i, err)
			}
		}
		return append(out, ']'), nil
	case []string:
		return appendList(out, v, appendString)
	case []int64:
		return appendList(out, v, appendWhole)
	case map[string]any:
		if v != nil {
			return appendMap(out, v, func(out []byte, x any) ([]byte, error) { return appendPlain(out, x, depth+1) })
		}
	case map[string]string:
		if v != nil {
			return appendMap(out, v, appendString)
		}
	case Written:
		out, err := appendWritten(out, v, depth)
		if err != nil {
			return nil, err
		}
		return out, nil
	}
	value, err := toNode(reflect.ValueOf(v), depth)
	if err != nil {
		return nil, err
	}
	return appendNode(out, value)
}

func appendWhole(out []byte, v int64) ([]byte, error) {
	if v < -maxWhole || v > maxWhole {
		return nil, fmt.Errorf("%d: %w", v, ErrNumberRange)
	}
	return strconv.AppendInt(out, v, 10), nil
}

// appendList writes a list of one type.
func appendList[T any](out []byte, list []T, appendOne func([]byte, T) ([]byte, error)) ([]byte, error) {
	out = append(out, '[')
	for i, x := range list {
		if i > 0 {
			out = append(out, ',')
		}
		var err error
		if out, err = appendOne(out, x); err != nil {
			return nil, fmt.Errorf("[%d]: %w", i, err)
		}
	}
	return append(out, ']'), nil
}

// appendMap writes a map of one type.
func appendMap[T any](out []byte, v map[string]T, appendOne func([]byte, T) ([]byte, error)) ([]byte, error) {
	var few [16]string
	names := few[:0]
	for name := range v {
		names = append(names, name)
	}
	if slices.Sort(names); !ascending(names) {
		slices.SortFunc(names, compareUnits)
	}
	out = append(out, '{')
	for i, name := range names {
		if i > 0 {
			out = append(out, ',')
		}
		var err error
		if out, err = appendString(out, name); err != nil {
			return nil, err
		}
		if out, err = appendOne(append(out, ':'), v[name]); err != nil {
			return nil, fmt.Errorf("%s: %w", name, err)
		}
	}
	return append(out, '}'), nil
}

var (
	rawMessage    = reflect.TypeFor[json.RawMessage]()
	jsonNumber    = reflect.TypeFor[json.Number]()
	textMarshaler = reflect.TypeFor[encoding.TextMarshaler]()
	moment        = reflect.TypeFor[time.Time]()
)

func toNode(v reflect.Value, depth int) (node, error) {
	if !v.IsValid() {
		return nil, nil
	}
	if depth > deepest {
		return nil, fmt.Errorf("nested more than %d deep: %w", deepest, ErrType)
	}
	switch v.Type() {
	case rawMessage:
		return parse(v.Bytes())
	case jsonNumber:
		return parse([]byte(v.String()))
	case moment:
		// Its text depends on the zone and drops zeros.
		return nil, fmt.Errorf("time.Time, moments go in by Timestamp: %w", ErrType)
	}
	if v.Kind() != reflect.Pointer && v.Type().Implements(textMarshaler) {
		text, err := v.Interface().(encoding.TextMarshaler).MarshalText()
		return string(text), err
	}
	switch v.Kind() {
	case reflect.Bool:
		return v.Bool(), nil
	case reflect.String:
		return v.String(), nil
	case reflect.Float64:
		return v.Float(), nil
	case reflect.Int, reflect.Int8, reflect.Int16, reflect.Int32, reflect.Int64:
		if n := v.Int(); n >= -maxWhole && n <= maxWhole {
			return float64(n), nil
		}
		return nil, fmt.Errorf("%d: %w", v.Int(), ErrNumberRange)
	case reflect.Pointer, reflect.Interface:
		if v.IsNil() {
			return nil, nil
		}
		return toNode(v.Elem(), depth+1)
	case reflect.Slice, reflect.Array:
		return sliceNode(v, depth)
	case reflect.Map:
		return mapNode(v, depth)
	case reflect.Struct:
		return structNode(v, depth)
	}
	return nil, fmt.Errorf("%s: %w", v.Type(), ErrType)
}

func sliceNode(v reflect.Value, depth int) (node, error) {
	if v.Type().Elem().Kind() == reflect.Uint8 {
		return nil, fmt.Errorf("%s, bytes go in as hex or base64 text: %w", v.Type(), ErrType)
	}
	elements := make([]node, v.Len())
	for i := range elements {
		var err error
		if elements[i], err = toNode(v.Index(i), depth+1); err != nil {
			return nil, fmt.Errorf("[%d]: %w", i, err)
		}
	}
	return elements, nil
}

func mapNode(v reflect.Value, depth int) (node, error) {
	if v.Type().Key().Kind() != reflect.String {
		return nil, fmt.Errorf("%s: %w", v.Type(), ErrType)
	}
	if v.IsNil() {
		return nil, nil
	}
	keys := v.MapKeys()
	// The order decides which of several errors is told.
	slices.SortFunc(keys, func(a, b reflect.Value) int { return cmp.Compare(a.String(), b.String()) })
	o := &object{}
	for _, key := range keys {
		member, err := toNode(v.MapIndex(key), depth+1)
		if err != nil {
			return nil, fmt.Errorf("%s: %w", key, err)
		}
		o.names, o.values = append(o.names, key.String()), append(o.values, member)
	}
	return o, nil
}

func structNode(v reflect.Value, depth int) (node, error) {
	o := &object{}
	for i := range v.NumField() {
		field := v.Type().Field(i)
		name, options, _ := strings.Cut(field.Tag.Get("json"), ",")
		if name == "-" {
			continue
		}
		if name == "" || !field.IsExported() || options != "" && options != "omitempty" {
			return nil, fmt.Errorf("%s.%s needs a json name, and omitempty at most: %w", v.Type(), field.Name, ErrType)
		}
		if options == "omitempty" && empty(v.Field(i)) {
			continue
		}
		member, err := toNode(v.Field(i), depth+1)
		if err != nil {
			return nil, fmt.Errorf("%s: %w", name, err)
		}
		o.names, o.values = append(o.names, name), append(o.values, member)
	}
	return o, nil
}

// empty is what omitempty of encoding/json leaves out.
func empty(v reflect.Value) bool {
	switch v.Kind() {
	case reflect.Slice, reflect.Map, reflect.Array, reflect.String:
		return v.Len() == 0
	case reflect.Struct:
		return false
	}
	return v.IsZero()
}
