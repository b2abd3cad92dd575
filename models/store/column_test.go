package store

import (
	"bytes"
	"errors"
	"math"
	"strings"
	"testing"
	"time"

	"github.com/jackc/pgx/v5/pgtype"

	"tracewright/models"
)

// A column is written from its rows as pgx writes the same list.
func TestAColumnIsWrittenAsAList(t *testing.T) {
	text, whole, long, far, yes := "0,12 mm \u2013 \"a\"", 36, int64(math.MinInt64), -1.0/3, true
	at := time.Date(1999, 12, 31, 23, 59, 59, 123456000, time.FixedZone("", 7200))
	json, key := `{"at":"7"}`, "01900000-0000-7000-8000-0000000000ff"
	own, plain := pgtype.NewMap(), pgtype.NewMap()
	takeColumns(own)
	for kind, c := range map[string]struct{ column, list any }{
		"text":             {[]any{text, "", &text, (*string)(nil), nil}, []*string{&text, new(string), &text, nil, nil}},
		"json":             {[]any{json, &json, (*string)(nil)}, []*string{&json, &json, nil}},
		"uuid":             {[]any{key, &key, (*string)(nil)}, []*string{&key, &key, nil}},
		"integer":          {[]any{whole, &whole, (*int)(nil)}, []*int{&whole, &whole, nil}},
		"bigint":           {[]any{long, &long, (*int64)(nil)}, []*int64{&long, &long, nil}},
		"boolean":          {[]any{yes, false, nil}, []*bool{&yes, new(bool), nil}},
		"double precision": {[]any{far, &far, (*float64)(nil)}, []*float64{&far, &far, nil}},
		"timestamptz":      {[]any{at, &at, (*time.Time)(nil)}, []*time.Time{&at, &at, nil}},
	} {
		var rows [][]any
		for _, v := range c.column.([]any) {
			rows = append(rows, []any{"another column", v})
		}
		got, err := own.Encode(columnTypes[kind].array, pgtype.BinaryFormatCode, columnValues{rows, 1}, nil)
		if err != nil {
			t.Errorf("%s: %v", kind, err)
			continue
		}
		list := c.list
		if kind == "uuid" {
			var id pgtype.UUID
			if err := id.Scan(key); err != nil {
				t.Fatal(err)
			}
			list = []pgtype.UUID{id, id, {}}
		}
		want, err := plain.Encode(columnTypes[kind].array, pgtype.BinaryFormatCode, list, nil)
		if err != nil {
			t.Fatal(err)
		}
		if !bytes.Equal(got, want) {
			t.Errorf("%s: %x, want %x", kind, got, want)
		}
		// Lists are taken as before.
		if again, err := own.Encode(columnTypes[kind].array, pgtype.BinaryFormatCode, list, nil); err != nil || !bytes.Equal(again, want) {
			t.Errorf("%s as a list: %x, %v", kind, again, err)
		}
	}
}

// What is of another type is refused and written as nothing else.
func TestAColumnRefusesWhatItIsNot(t *testing.T) {
	m := pgtype.NewMap()
	takeColumns(m)
	for kind, v := range map[string]any{"text": 1, "json": 1.5, "uuid": "no key", "integer": math.MaxInt32 + 1, "bigint": "1", "boolean": "yes", "double precision": 1, "timestamptz": "2031-01-01"} {
		if out, err := m.Encode(columnTypes[kind].array, pgtype.BinaryFormatCode, columnValues{[][]any{{v}}, 0}, nil); err == nil {
			t.Errorf("%v as %s: %x", v, kind, out)
		} else if !errors.Is(err, map[bool]error{true: models.ErrNotFound, false: errColumn}[kind == "uuid"]) || strings.Contains(err.Error(), "interface") {
			t.Errorf("%v as %s: %v", v, kind, err)
		}
	}
	for _, key := range []string{"", "01900000x0000x7000x8000x0000000000ff", "{01900000-0000-7000-8000-0000000000ff}", "01900000-0000-7000-8000-0000000000fg", "0190000000007000800000000000000000ff"} {
		if out, err := putUUID(nil, key); !errors.Is(err, models.ErrNotFound) {
			t.Errorf("%q: %x, %v", key, out, err)
		}
	}
}
