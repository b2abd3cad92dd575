package calc

import (
	"encoding/json"
	"errors"
	"slices"
	"strings"
	"testing"

	"tracewright/testdata/cases"
)

// TestCases runs every worked case whose kind is in the table; sources and
// tolerances stand in the cases.
func TestCases(t *testing.T) {
	list := cases.All(t)
	inPlace, all := cases.InPlace(t)
	list = append(list, inPlace...)
	if !all {
		t.Log("TRACEWRIGHT_CASES is not set: the cases that may only be read in place are left out")
	}
	leftOut := cases.NotOffered(t)
	ran := map[string]int{}
	for _, c := range list {
		if !offered(c.Kind) {
			continue
		}
		ran[c.Kind]++
		t.Run(c.Kind+"/"+c.ID, func(t *testing.T) { check(t, c, leftOut) })
	}
	for _, k := range List() {
		t.Logf("%-24s %3d cases", k.Name, ran[k.Name])
		if ran[k.Name] == 0 && all {
			t.Errorf("%s: no case checks it", k.Name)
		}
	}
}

func check(t *testing.T, c cases.Case, leftOut []cases.LeftOut) {
	got, err := Run(c.Kind, c.Input)
	expected := cases.Decode[map[string]any](t, c.Expected)
	if code, refused := expected["error"].(string); refused {
		var failure *Failure
		if !errors.As(err, &failure) || failure.Code != code || !strings.HasPrefix(err.Error(), code) {
			t.Errorf("input %s: got %s, %v; want the refusal %s", c.Input, got, err, code)
		}
		return
	}
	if err != nil {
		t.Fatalf("input %.300s: %v", c.Input, err)
	}
	for _, difference := range cases.Differences(c, got, leftOut) {
		t.Errorf("input %.300s\n%s (%s)", c.Input, difference, c.Source)
	}
}

// testedElsewhere are the kinds that are no calculations of the command line: they
// are tested in the packages of trail, ident, kinds, work and web, or belong to what
// is not built yet.
var testedElsewhere = strings.Fields(`
	certificate_verify chain_entry_hash chain_verify consistency_proof contrast decide_no_round digital_link
	digital_link_parse ed25519 ed25519_verify epcis_schema_valid genealogy_dataset gs1_parse idempotent_replay
	inclusion_proof jcs jcs_number jcs_reject merkle_root nc_sequence nc_transition_table parse_reading release_gate
	sha256 unit_code`)

// Every case is run here or stands in that list: a calculation that falls out of
// the table is missed.
func TestNoCaseIsLeftOut(t *testing.T) {
	for _, c := range cases.All(t) {
		if !offered(c.Kind) && !slices.Contains(testedElsewhere, c.Kind) {
			t.Errorf("%s, case %s: neither in the table nor tested elsewhere", c.Kind, c.ID)
		}
	}
	for _, kind := range testedElsewhere {
		if offered(kind) {
			t.Errorf("%s is in the table and in the list of what is not", kind)
		}
	}
}

func offered(kind string) bool {
	for _, k := range List() {
		if k.Name == kind {
			return true
		}
	}
	return false
}

// What holds for every kind in the table.
func TestEveryKind(t *testing.T) {
	for _, k := range List() {
		t.Run(k.Name, func(t *testing.T) {
			if k.Does == "" || k.Source == "" || strings.Contains(k.Does+k.Source, "\n") {
				t.Error("what it does and its source are one line each")
			}
			if _, err := Run(k.Name, []byte(k.Example)); err != nil {
				t.Errorf("its example %s: %v", k.Example, err)
			}
			inner := strings.TrimSuffix(strings.TrimSpace(k.Example), "}")
			if _, err := Run(k.Name, []byte(inner+`,"note":"n","legend":["l"],"attack":1,"case":null}`)); err != nil {
				t.Errorf("with remarks: %v", err)
			}
			refused(t, k.Name, inner+`,"surplus":1}`, "surplus")
			refused(t, k.Name, k.Example+`{}`, "input")
			refused(t, k.Name, inner, "")
			refused(t, k.Name, `[]`, "input")
			refused(t, k.Name, ``, "input")
			refused(t, k.Name, `null`, "input")
			var members map[string]json.RawMessage
			if err := json.Unmarshal([]byte(k.Example), &members); err != nil {
				t.Fatal(err)
			}
			for name, value := range members {
				refused(t, k.Name, inner+`,"`+name+`":`+string(value)+`}`, name)
				refused(t, k.Name, strings.Replace(k.Example, `"`+name+`":`, `"`+name+`":[{"x":{}}],"note":`, 1), "")
			}
		})
	}
}

// refused checks that an input is the input's fault and, when a field is named
// here, that the line begins with it.
func refused(t *testing.T, kind, input, field string) {
	t.Helper()
	got, err := Run(kind, []byte(input))
	var failure *Failure
	if !errors.As(err, &failure) {
		t.Errorf("%s: got %s, %v; want a failure", input, got, err)
		return
	}
	if field != "" && failure.Field != field {
		t.Errorf("%s: failure names %q, want %q (%v)", input, failure.Field, field, err)
	}
	if strings.ContainsAny(err.Error(), "\r\n") || failure.Problem == "" {
		t.Errorf("%s: want one line that says what is wrong, got %q", input, err)
	}
}

func TestUnknownKind(t *testing.T) {
	refused(t, "horoscope", `{}`, "kind")
}

func TestRunRequest(t *testing.T) {
	got, err := RunRequest([]byte(`{"kind":"summary","input":{"x":[1,3]}}`))
	if err != nil || !strings.Contains(string(got), `"mean":2`) {
		t.Errorf("got %s, %v", got, err)
	}
	var failure *Failure
	if _, err := RunRequest([]byte(`{"kind":"summary"}`)); !errors.As(err, &failure) || failure.Field != "input" {
		t.Errorf("without input: %v", err)
	}
}
