package cases

import (
	"encoding/json"
	"testing"
)

// The comparison itself has to be able to say no.
func TestDifferences(t *testing.T) {
	left := []LeftOut{{Kind: "k", Field: "gone", Reason: "test"}}
	tests := []struct {
		name      string
		kind      string
		tolerance Tolerance
		want, got string
		agree     bool
	}{
		{"equal", "k", Tolerance{}, `{"a":1}`, `{"a":1.0}`, true},
		{"more fields are fine", "k", Tolerance{}, `{"a":1}`, `{"a":1,"b":2}`, true},
		{"missing field", "k", Tolerance{}, `{"a":1,"b":2}`, `{"a":1}`, false},
		{"missing field that is left out", "k", Tolerance{}, `{"a":1,"gone":2}`, `{"a":1}`, true},
		{"left out for another kind", "other", Tolerance{}, `{"a":1,"gone":2}`, `{"a":1}`, false},
		{"within 1e-12 without tolerance", "k", Tolerance{}, `{"a":1}`, `{"a":1.0000000000005}`, true},
		{"beyond 1e-12 without tolerance", "k", Tolerance{}, `{"a":1}`, `{"a":1.000000000005}`, false},
		{"zero without tolerance is exact", "k", Tolerance{}, `{"a":0}`, `{"a":1e-15}`, false},
		{"within abs", "k", Tolerance{Abs: 0.01}, `{"a":5}`, `{"a":5.01}`, true},
		{"beyond abs", "k", Tolerance{Abs: 0.01}, `{"a":5}`, `{"a":5.011}`, false},
		{"within rel", "k", Tolerance{Rel: 0.01}, `{"a":500}`, `{"a":505}`, true},
		{"beyond rel", "k", Tolerance{Rel: 0.01}, `{"a":500}`, `{"a":505.1}`, false},
		{"nine digits printed, the same in nine", "k", Tolerance{Rel: 1e-9}, `{"a":1021.11111}`, `{"a":1021.1111111111111}`, true},
		{"nine digits printed, another ninth", "k", Tolerance{Rel: 1e-9}, `{"a":1021.11111}`, `{"a":1021.111116}`, false},
		{"nine digits printed, no relative tolerance", "k", Tolerance{Abs: 1e-9}, `{"a":1021.11111}`, `{"a":1021.1111111111111}`, false},
		{"eight digits printed", "k", Tolerance{Rel: 1e-9}, `{"a":1021.1111}`, `{"a":1021.1111111111111}`, false},
		{"field limit reaches into arrays", "k", Tolerance{Fields: map[string]float64{"a": 0.15}}, `{"b":{"a":[1,2]}}`, `{"b":{"a":[1.1,1.9]}}`, true},
		{"field limit holds for its field only", "k", Tolerance{Fields: map[string]float64{"a": 0.1}}, `{"b":1}`, `{"b":1.1}`, false},
		{"array order", "k", Tolerance{}, `{"a":[1,2]}`, `{"a":[2,1]}`, false},
		{"array length", "k", Tolerance{}, `{"a":[1,2]}`, `{"a":[1,2,3]}`, false},
		{"null is not zero", "k", Tolerance{}, `{"a":null}`, `{"a":0}`, false},
		{"text exactly", "k", Tolerance{}, `{"a":"pass"}`, `{"a":"Pass"}`, false},
		{"number is not text", "k", Tolerance{}, `{"a":1}`, `{"a":"1"}`, false},
		{"influence against the largest of the array", "influence", Tolerance{}, `{"a":[1000,0.5]}`, `{"a":[1000,0.5009]}`, true},
		{"influence beyond", "influence", Tolerance{}, `{"a":[1000,0.5]}`, `{"a":[1000,0.502]}`, false},
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			c := Case{Kind: test.kind, Expected: json.RawMessage(test.want), Tolerance: test.tolerance}
			found := Differences(c, []byte(test.got), left)
			if agree := len(found) == 0; agree != test.agree {
				t.Errorf("%s against %s: agree %t, want %t (%v)", test.got, test.want, agree, test.agree, found)
			}
		})
	}
}

func TestLeftOutFieldsExist(t *testing.T) {
	all := All(t)
	for _, left := range NotOffered(t) {
		if left.Reason == "" {
			t.Errorf("%s.%s is left out without a reason", left.Kind, left.Field)
		}
		found := false
		for _, c := range all {
			found = found || c.Kind == left.Kind && json.Valid(c.Expected) && holdsField(c.Expected, left.Field)
		}
		if !found {
			t.Errorf("%s.%s is left out but no case expects it", left.Kind, left.Field)
		}
	}
}

func holdsField(raw json.RawMessage, field string) bool {
	var object map[string]json.RawMessage
	if json.Unmarshal(raw, &object) == nil {
		for name, inner := range object {
			if name == field || holdsField(inner, field) {
				return true
			}
		}
		return false
	}
	var array []json.RawMessage
	if json.Unmarshal(raw, &array) == nil {
		for _, inner := range array {
			if holdsField(inner, field) {
				return true
			}
		}
	}
	return false
}
