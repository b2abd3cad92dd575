package pack

import (
	"errors"
	"testing"

	"tracewright/models/numbers/measure"
)

// Lowest voltage for A, B and quarantine per 12 V block, all common practice, no
// source; each limit on both sides.
func TestReadyLimits(t *testing.T) {
	for _, c := range []struct {
		chemistry             Chemistry
		aIs, aUnder           string
		bIs, bUnder           string
		suspectIs, suspectFew string
	}{
		{AGM, "12.80", "12.7999", "12.70", "12.6999", "12.60", "12.5999"},
		{AGMSmall, "12.90", "12.8999", "12.80", "12.7999", "12.70", "12.6999"},
		{Gel, "12.85", "12.8499", "12.75", "12.7499", "12.65", "12.6499"},
		{Flooded, "12.65", "12.6499", "12.55", "12.5499", "12.45", "12.4499"},
	} {
		for _, row := range []struct{ name, v, grade string }{
			{"limit of A itself", c.aIs, GradeA}, {"just under A", c.aUnder, GradeB},
			{"limit of B itself", c.bIs, GradeB}, {"just under B", c.bUnder, Rework},
			{"limit of suspicion itself", c.suspectIs, Rework}, {"just under it", c.suspectFew, Quarantine},
		} {
			t.Run(string(c.chemistry)+" "+row.name, func(t *testing.T) {
				limits, err := DefaultReadyLimits(c.chemistry)
				if err != nil {
					t.Fatal(err)
				}
				v := dec(t, row.v)
				got, err := ReadyToShip([]measure.Decimal{v, v, v}, 6, limits)
				if err != nil || got.Grade != row.grade {
					t.Errorf("12 V blocks at %s V: got %+v, %v, want %s", row.v, got, err, row.grade)
				}
				half, err := v.MulExact(dec(t, "0.5"))
				if err != nil {
					t.Fatal(err)
				}
				got, err = ReadyToShip([]measure.Decimal{half, half}, 3, limits)
				if err != nil || got.Grade != row.grade {
					t.Errorf("6 V blocks at %s V: got %+v, %v, want %s", half, got, err, row.grade)
				}
			})
		}
	}
}

func TestReadyRange(t *testing.T) {
	for _, row := range []struct {
		name  string
		v     []string
		cells int
		grade string
	}{
		{"50 mV itself, 12.91 - 12.86", []string{"12.86", "12.91"}, 6, GradeA},
		{"a tenth of a millivolt more", []string{"12.86", "12.9101"}, 6, GradeB},
		{"100 mV itself", []string{"12.81", "12.91"}, 6, GradeB},
		{"a tenth of a millivolt more than that", []string{"12.81", "12.9101"}, 6, Rework},
		{"6 V: 25 mV itself", []string{"6.42", "6.445"}, 3, GradeA},
		{"6 V: 25.1 mV", []string{"6.42", "6.4451"}, 3, GradeB},
		{"a suspect block outranks the range", []string{"12.59", "12.91"}, 6, Quarantine},
		{"one block has no range", []string{"12.85"}, 6, GradeA},
	} {
		t.Run(row.name, func(t *testing.T) {
			limits, err := DefaultReadyLimits(AGM)
			if err != nil {
				t.Fatal(err)
			}
			got, err := ReadyToShip(decs(t, row.v...), row.cells, limits)
			if err != nil || got.Grade != row.grade {
				t.Errorf("%v: got %+v, %v, want %s", row.v, got, err, row.grade)
			}
		})
	}
}

func TestReadyRefuses(t *testing.T) {
	for _, chemistry := range []Chemistry{LiFePO4, LiIon} {
		if _, err := DefaultReadyLimits(chemistry); !errors.Is(err, ErrNoTable) {
			t.Errorf("%s: got %v, want ErrNoTable", chemistry, err)
		}
	}
	if _, err := DefaultReadyLimits("potato"); !errors.Is(err, ErrInput) {
		t.Errorf("unknown chemistry: %v", err)
	}
	limits, err := DefaultReadyLimits(AGM)
	if err != nil {
		t.Fatal(err)
	}
	for name, v := range map[string][]measure.Decimal{"no block": nil, "not given": {{}}, "zero": decs(t, "0"), "reversed": decs(t, "-12.8")} {
		if _, err := ReadyToShip(v, 6, limits); !errors.Is(err, ErrInput) {
			t.Errorf("%s: got %v, want ErrInput", name, err)
		}
	}
	if _, err := ReadyToShip(decs(t, "12.8"), 0, limits); !errors.Is(err, ErrInput) {
		t.Errorf("no cells: %v", err)
	}
}
