package store

import (
	"database/sql"
	"fmt"
	"reflect"
	"slices"
	"strings"
)

// written writes out what stands short in a condition: "IN ?" for a list, and
// @name for a [sql.NamedArg]. A list is one value for PostgreSQL, so that those of
// all lengths are one statement, planned once; SQLite has a placeholder for each.
func written(dialect, text string, args []any) (string, []any) {
	if !slices.ContainsFunc(args, func(arg any) bool { return isNamed(arg) || isList(arg) }) {
		return text, args
	}
	named, next := map[string]any{}, make([]any, 0, len(args))
	for _, arg := range args {
		if n, ok := arg.(sql.NamedArg); ok {
			named[n.Name] = n.Value
		} else {
			next = append(next, arg)
		}
	}
	out, values := make([]byte, 0, len(text)+16), make([]any, 0, len(args)+4)
	for i := 0; i < len(text); i++ {
		switch {
		case text[i] == '?' && len(next) > 0:
			out, values = placeholder(dialect, out, values, next[0])
			next = next[1:]
		case text[i] == '@':
			end := i + 1
			for end < len(text) && (text[end] == '_' || 'a' <= text[end] && text[end] <= 'z') {
				end++
			}
			value, known := named[text[i+1:end]]
			if !known { // A sign of the text itself.
				out = append(out, text[i])
				continue
			}
			out, values = placeholder(dialect, out, values, value)
			i = end - 1
		default:
			out = append(out, text[i])
		}
	}
	return string(out), values
}

func isNamed(arg any) bool {
	_, ok := arg.(sql.NamedArg)
	return ok
}

func isList(arg any) bool {
	switch arg.(type) {
	case []string:
		return true
	case []byte, string, nil:
		return false
	}
	return reflect.TypeOf(arg).Kind() == reflect.Slice
}

// placeholder writes the placeholder of a value, and of a list behind its IN.
func placeholder(dialect string, out []byte, values []any, value any) ([]byte, []any) {
	if !isList(value) {
		return append(out, '?'), append(values, value)
	}
	list := elements(value)
	if dialect == Postgres && len(list) != 1 {
		before := strings.TrimSuffix(string(out), "IN ")
		return append(out[:len(before)], "= ANY(?)"...), append(values, array(list))
	}
	out = append(out, '(')
	if len(list) == 0 {
		out = append(out, "NULL"...)
	}
	for i := range list {
		if i > 0 {
			out = append(out, ',')
		}
		out = append(out, '?')
	}
	return append(out, ')'), append(values, list...)
}

func elements(list any) []any {
	of := reflect.ValueOf(list)
	all := make([]any, of.Len())
	for i := range all {
		all[i] = of.Index(i).Interface()
	}
	return all
}

// array is a list as PostgreSQL writes one, of whatever type its column is.
func array(list []any) string {
	out := []byte{'{'}
	for i, x := range list {
		if i > 0 {
			out = append(out, ',')
		}
		out = append(out, '"')
		for _, c := range []byte(fmt.Sprint(x)) {
			if c == '"' || c == '\\' {
				out = append(out, '\\')
			}
			out = append(out, c)
		}
		out = append(out, '"')
	}
	return string(append(out, '}'))
}
