package wheel

import (
	"encoding/json"
	"errors"
	"os"
	"slices"
	"testing"

	"tracewright/models/numbers/measure"
)

// Common-practice tolerances, kept outside this package.
const conventions = "../../../testdata/cases/wheel-conventions.json"

// publishedGrades reads the grades of the conventions as decimals.
func publishedGrades(t *testing.T) []map[string]json.RawMessage {
	t.Helper()
	raw, err := os.ReadFile(conventions)
	if err != nil {
		t.Fatal(err)
	}
	var file struct {
		Grades []map[string]json.RawMessage `json:"grades"`
	}
	if err := json.Unmarshal(raw, &file); err != nil {
		t.Fatal(err)
	}
	if len(file.Grades) == 0 {
		t.Fatal("no grades in the conventions")
	}
	return file.Grades
}

func TestGradesAreThoseOfCommonPractice(t *testing.T) {
	published := publishedGrades(t)
	ours := Grades()
	if len(ours) != len(published) {
		t.Fatalf("%d grades, want %d", len(ours), len(published))
	}
	for i, want := range published {
		var name string
		if err := json.Unmarshal(want["name"], &name); err != nil {
			t.Fatal(err)
		}
		if ours[i].Name != name {
			t.Fatalf("grade %d is %s, want %s", i, ours[i].Name, name)
		}
		for _, code := range GradedCodes() {
			limit, err := measure.ParseJSONNumber(string(want[code]))
			if err != nil {
				t.Fatalf("%s %s: %v", name, code, err)
			}
			text, ok := ours[i].Limit(code)
			if !ok || !dec(t, text).Equal(limit) {
				t.Errorf("%s %s: got %s, want %s", name, code, text, limit)
			}
		}
	}
}

// within gives results that are fine in everything.
func within(t *testing.T) map[string]measure.Decimal {
	values := map[string]measure.Decimal{}
	for _, code := range GradedCodes() {
		values[code] = dec(t, "0")
	}
	return values
}

// Each limit of each grade, on both sides (source: common-practice tolerances).
func TestBothSidesOfEveryLimit(t *testing.T) {
	step := dec(t, "0.0001")
	published := publishedGrades(t)
	for i, grade := range published {
		var name string
		if err := json.Unmarshal(grade["name"], &name); err != nil {
			t.Fatal(err)
		}
		for _, code := range GradedCodes() {
			limit, err := measure.ParseJSONNumber(string(grade[code]))
			if err != nil {
				t.Fatal(err)
			}
			over, err := limit.Add(step)
			if err != nil {
				t.Fatal(err)
			}
			under, err := limit.Sub(step)
			if err != nil {
				t.Fatal(err)
			}
			for _, row := range []struct {
				name   string
				value  measure.Decimal
				failed bool
			}{
				{"just inside", under, false}, {"limit itself is accepted", limit, false}, {"just outside", over, true},
			} {
				t.Run(name+" "+code+" "+row.name, func(t *testing.T) {
					values := within(t)
					values[code] = row.value
					v, err := GradeOf(values, nil)
					if err != nil {
						t.Fatal(err)
					}
					if got := slices.Contains(v.FailedLimits[name], code); got != row.failed {
						t.Errorf("%s %s at %s: failed %v, want %v", name, code, row.value, got, row.failed)
					}
					if last := i == len(published)-1; last && (v.Grade == "") != row.failed {
						t.Errorf("%s at %s: grade %q", code, row.value, v.Grade)
					}
				})
			}
		}
	}
}

// 0.17 + 0.03 is 0.20 in decimals and reaches fine; in binary it is a hair over.
func TestGuardBandIsDecimal(t *testing.T) {
	values, u := within(t), within(t)
	values[LateralTIR], u[LateralTIR] = dec(t, "0.17"), dec(t, "0.03")
	v, err := GradeOf(values, u)
	if err != nil {
		t.Fatal(err)
	}
	if !v.Guarded || v.GradeWithGuard != "fine" {
		t.Errorf("value + U on the limit: %+v", v)
	}
	u[LateralTIR] = dec(t, "0.0301")
	if v, err = GradeOf(values, u); err != nil || v.Grade != "fine" || v.GradeWithGuard != "standard" {
		t.Errorf("value + U over the limit: %+v, %v", v, err)
	}
}

func TestGradeOfNeedsEveryValue(t *testing.T) {
	for _, code := range GradedCodes() {
		values := within(t)
		delete(values, code)
		var field *FieldError
		if _, err := GradeOf(values, nil); !errors.As(err, &field) || field.Field != "values."+code {
			t.Errorf("without %s: %v", code, err)
		}
		if _, err := GradeOf(within(t), values); !errors.As(err, &field) || field.Field != "expanded_uncertainty."+code {
			t.Errorf("without U of %s: %v", code, err)
		}
		values[code] = dec(t, "-0.1")
		if _, err := GradeOf(values, nil); !errors.Is(err, ErrInput) {
			t.Errorf("negative %s: %v", code, err)
		}
	}
}

func TestGradeNamed(t *testing.T) {
	for _, g := range Grades() {
		if got, ok := GradeNamed(g.Name); !ok || got != g {
			t.Errorf("%s: %+v, %v", g.Name, got, ok)
		}
	}
	if _, ok := GradeNamed("superb"); ok {
		t.Error("an unknown grade was found")
	}
}
