package calc

import (
	"encoding/json"
	"errors"
	"testing"

	"tracewright/models/numbers/measure"
)

type shape struct {
	Name   string           `json:"name"`
	N      int              `json:"n"`
	X      float64          `json:"x"`
	Exact  measure.Decimal  `json:"exact"`
	On     bool             `json:"on"`
	Limit  *measure.Decimal `json:"limit"`
	Pair   [2]float64       `json:"pair"`
	Rows   []row            `json:"rows"`
	Factor float64          `json:"factor,omitempty"`
	By     map[string]row   `json:"by,omitempty"`
	Open   []*float64       `json:"open,omitempty"`
	shared
}

type shared struct {
	Unit string `json:"unit,omitempty"`
}

type row struct {
	ID string  `json:"id"`
	V  float64 `json:"v,omitempty"`
}

const whole = `{"name":"a","n":3,"x":1.5,"exact":12.860,"on":true,"limit":null,"pair":[1,2],"rows":[{"id":"r1"}]}`

func TestDecode(t *testing.T) {
	got, err := decode[shape]([]byte(whole))
	if err != nil {
		t.Fatal(err)
	}
	if got.Name != "a" || got.N != 3 || got.X != 1.5 || got.Exact.String() != "12.860" || !got.On || got.Limit != nil ||
		got.Pair != [2]float64{1, 2} || len(got.Rows) != 1 || got.Rows[0].ID != "r1" {
		t.Errorf("got %+v", got)
	}
	got, err = decode[shape]([]byte(whole[:len(whole)-1] + `,"unit":"mm","by":{"A":{"id":"x","v":2,"note":"remark"}},"open":[null,2],"note":[1]}`))
	if err != nil || got.Unit != "mm" || got.By["A"].V != 2 || len(got.Open) != 2 || got.Open[0] != nil || *got.Open[1] != 2 {
		t.Errorf("got %+v, %v", got, err)
	}
}

// Each row changes one member of the whole and names the field that is told.
func TestDecodeNamesTheField(t *testing.T) {
	tests := []struct{ name, member, value, field string }{
		{"text for a number", "x", `"1.5"`, "x"},
		{"number out of the range of a double", "x", `1e999`, "x"},
		{"null for a number", "x", `null`, "x"},
		{"fraction for a whole number", "n", `3.5`, "n"},
		{"number for text", "name", `3`, "name"},
		{"number for a truth value", "on", `1`, "on"},
		{"decimal that is none", "exact", `"12,86"`, "exact"},
		{"decimal of too many digits", "exact", `12345678901234567890`, "exact"},
		{"decimal null", "exact", `null`, "exact"},
		{"limit that is none", "limit", `"none"`, "limit"},
		{"pair of three", "pair", `[1,2,3]`, "pair"},
		{"pair of one", "pair", `[1]`, "pair"},
		{"null inside an array", "pair", `[1,null]`, "pair[1]"},
		{"text inside an array", "pair", `[1,"2"]`, "pair[1]"},
		{"object for an array", "rows", `{}`, "rows"},
		{"null for an array", "rows", `null`, "rows"},
		{"number for an object", "rows", `[7]`, "rows[0]"},
		{"unknown field inside", "rows", `[{"id":"a"},{"id":"b","w":1}]`, "rows[1].w"},
		{"missing field inside", "rows", `[{"id":"a"},{"v":1}]`, "rows[1].id"},
		{"field given twice inside", "rows", `[{"id":"a","id":"b"}]`, "rows[0].id"},
		{"name in other letters inside", "rows", `[{"ID":"a"}]`, "rows[0].ID"},
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			var members map[string]json.RawMessage
			if err := json.Unmarshal([]byte(whole), &members); err != nil {
				t.Fatal(err)
			}
			members[test.member] = json.RawMessage(test.value)
			raw, err := json.Marshal(members)
			if err != nil {
				t.Fatal(err)
			}
			_, err = decode[shape](raw)
			var failure *Failure
			if !errors.As(err, &failure) || failure.Field != test.field || failure.Problem == "" {
				t.Errorf("%s: %v; want a failure of %s", raw, err, test.field)
			}
		})
	}
	for _, test := range []struct{ name, raw, field string }{
		{"missing field", `{"name":"a"}`, "exact"},
		{"name in other letters", `{"Name":"a"}`, "Name"},
		{"unknown field of an embedded struct", whole[:len(whole)-1] + `,"shared":{}}`, "shared"},
		{"null for text of an embedded struct", whole[:len(whole)-1] + `,"unit":null}`, "unit"},
		{"member of a map", whole[:len(whole)-1] + `,"by":{"A":{"id":3}}}`, "by.A.id"},
		{"cut off", whole[:40], "input"},
		{"cut off behind a member", whole[:len(whole)-1], "input"},
		{"not JSON", `{name:1}`, "input"},
	} {
		_, err := decode[shape]([]byte(test.raw))
		var failure *Failure
		if !errors.As(err, &failure) || failure.Field != test.field {
			t.Errorf("%s: %v; want a failure of %s", test.name, err, test.field)
		}
	}
}

func TestFailureIsOneLine(t *testing.T) {
	f := &Failure{Code: "OUT_OF_CALIBRATED_RANGE", Field: "reading", Problem: "is\n beyond\tthe table"}
	if want := "OUT_OF_CALIBRATED_RANGE reading: is beyond the table"; f.Error() != want {
		t.Errorf("got %q; want %q", f.Error(), want)
	}
}

// Decimals come from the text of the numbers: in binary 0.30 + 0.04 lies under
// 0.34, and the answer would be fail.
func TestDecideReadsText(t *testing.T) {
	got, err := Run("decide", []byte(`{"rule":"nonbinary","y":0.34,"U":0.04,"tu":0.30}`))
	if err != nil {
		t.Fatal(err)
	}
	const want = `{"outcome":"conditional_fail","al":null,"au":0.26,"reason":"above_high"}`
	if string(got) != want {
		t.Errorf("got %s; want %s", got, want)
	}
}

func TestDecideNamesTheField(t *testing.T) {
	refused(t, "decide", `{"rule":"guarded","y":0.34,"tu":0.30}`, "U")
	refused(t, "decide", `{"rule":"by eye","y":0.34,"tu":0.30}`, "rule")
	refused(t, "decide", `{"rule":"guarded","y":0.34,"U":-0.1,"tu":0.30}`, "U")
	refused(t, "decide", `{"rule":"nonbinary","y":0.34,"U":0.1,"r":-1,"tu":0.30}`, "r")
	refused(t, "decide", `{"rule":"simple","y":0.34}`, "tl, tu")
	refused(t, "decide", `{"rule":"simple","y":0.34,"tl":2,"tu":1}`, "tl, tu")
	refused(t, "decide", `{"rule":"simple","tu":1}`, "y")
}

func TestNumberKindsNameTheField(t *testing.T) {
	refused(t, "chart_constants", `{"n":1}`, "n")
	refused(t, "chart_constants", `{"n":101}`, "n")
	refused(t, "individuals_chart", `{"x":[1]}`, "x")
	refused(t, "summary", `{"x":[]}`, "x")
	refused(t, "summary", `{"x":[1,null]}`, "x[1]")
	refused(t, "units", `{"kgf":1,"lbf":1,"turns":1,"tpi":0}`, "tpi")
	refused(t, "units", `{"kgf":9999999999999999999,"lbf":1,"turns":1,"tpi":56}`, "kgf")
}

type wholeInput struct {
	N int `json:"n"`
}

// 5.0 and 5e0 are the number 5 (RFC 8259, 6); 5.5 is no whole number.
func TestAWholeNumberHoweverItIsWritten(t *testing.T) {
	for _, text := range []string{"5", "5.0", "5e0", "50e-1"} {
		n, err := decode[wholeInput]([]byte(`{"n":` + text + `}`))
		if err != nil || n.N != 5 {
			t.Errorf("%s: %d, %v", text, n.N, err)
		}
	}
	for _, text := range []string{"5.5", "1e300", "9007199254740993.5", `"5"`} {
		n, err := decode[wholeInput]([]byte(`{"n":` + text + `}`))
		if err == nil {
			t.Errorf("%s is taken for %d", text, n.N)
		}
	}
}
