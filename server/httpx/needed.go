package httpx

import (
	"reflect"
	"strings"
	"sync"
)

// isNeeded says whether a field of a body has to be said.
func isNeeded(f reflect.StructField) bool { return f.Tag.Get("needed") == "yes" }

// nameOf is what the tag of a field calls it in JSON.
func nameOf(f reflect.StructField) string {
	name, _, _ := strings.Cut(f.Tag.Get("json"), ",")
	return name
}

// unsaid says whether a needed field of what was decoded is as it would be had nothing
// been said of it. Whether something was, only the body can tell.
func unsaid(v reflect.Value) bool {
	if !hasNeeded(v.Type()) {
		return false
	}
	switch v.Kind() {
	case reflect.Pointer:
		return !v.IsNil() && unsaid(v.Elem())
	case reflect.Slice:
		for i := range v.Len() {
			if unsaid(v.Index(i)) {
				return true
			}
		}
	case reflect.Struct:
		for i := range v.NumField() {
			if isNeeded(v.Type().Field(i)) && v.Field(i).IsZero() || unsaid(v.Field(i)) {
				return true
			}
		}
	}
	return false
}

// needy remembers of a type whether there is a needed field in it: most have none, and
// readings come by the hundred. No body holds its own type.
var needy sync.Map

func hasNeeded(t reflect.Type) bool {
	switch t.Kind() {
	case reflect.Pointer, reflect.Slice:
		return hasNeeded(t.Elem())
	case reflect.Struct:
	default:
		return false
	}
	if known, ok := needy.Load(t); ok {
		return known.(bool)
	}
	found := false
	for i := range t.NumField() {
		f := t.Field(i)
		found = found || isNeeded(f) || f.IsExported() && hasNeeded(f.Type)
	}
	needy.Store(t, found)
	return found
}
