package wheel

import (
	"errors"
	"math"
	"slices"
	"testing"

	"tracewright/models/numbers/measure"
)

// Both sides of every limit: 300 and 2000 N, and 10 % as a logarithm, e^0.1 =
// 1.10517 (common practice, no source).
func TestPlausible(t *testing.T) {
	for _, row := range []struct {
		name     string
		a, b     float64
		unit     measure.Unit
		expected float64
		flags    []string
		units    []measure.Unit
	}{
		{"as the geometry says", 1100, 724, "N", 1.52, nil, nil},
		{"inverse of the geometry", 724, 1100, "N", 1.52, []string{SideSwap}, nil},
		{"geometry not known", 724, 1100, "N", 0, nil, nil},
		{"sides nearly alike say nothing", 950, 1000, "N", 1.10, nil, nil},
		{"sides just unlike enough", 900, 1000, "N", 1.106, []string{SideSwap}, nil},
		{"measured just within 10 % of the inverse", 1000 * 1.105 / 1.5, 1000, "N", 1.5, []string{SideSwap}, nil},
		{"measured just beyond", 1000 * 1.1053 / 1.5, 1000, "N", 1.5, nil, nil},
		{"300 N is plausible", 300, 300, "N", 1, nil, nil},
		{"below 300 N, as kgf too much", 299.9, 299.9, "N", 1, []string{UnitSuspect}, []measure.Unit{"lbf"}},
		{"2000 N is plausible", 2000, 2000, "N", 1, nil, nil},
		{"kgf typed as N", 103, 103, "N", 1, []string{UnitSuspect}, []measure.Unit{"kgf", "lbf"}},
		{"N typed as kgf", 1000, 1000, "kgf", 1, []string{UnitSuspect}, []measure.Unit{"N"}},
		{"kgf as kgf", 103, 103, "kgf", 1, nil, nil},
		{"N typed as lbf", 1000, 1000, "lbf", 1, []string{UnitSuspect}, []measure.Unit{"N"}},
		{"plausible in no unit", 20, 20, "N", 1, nil, nil},
		{"swapped and in kgf", 72.4, 110, "N", 1.52, []string{SideSwap, UnitSuspect}, []measure.Unit{"kgf", "lbf"}},
	} {
		t.Run(row.name, func(t *testing.T) {
			p, err := Plausible(row.a, row.b, row.unit, row.expected)
			if err != nil {
				t.Fatal(err)
			}
			if !slices.Equal(p.Flags, row.flags) || !slices.Equal(p.Units, row.units) {
				t.Errorf("A %g, B %g %s, expected %g: got %v %v, want %v %v", row.a, row.b, row.unit, row.expected, p.Flags, p.Units, row.flags, row.units)
			}
		})
	}
}

func TestPlausibleRefuses(t *testing.T) {
	for _, row := range []struct {
		name           string
		a, b, expected float64
		unit           measure.Unit
	}{
		{"no tension on A", 0, 1000, 1, "N"},
		{"negative on B", 1000, -5, 1, "N"},
		{"not a number", math.NaN(), 1000, 1, "N"},
		{"negative ratio", 1000, 1000, -1, "N"},
		{"no unit of force", 1000, 1000, 1, "mm"},
		{"unknown unit", 1000, 1000, 1, "stone"},
	} {
		t.Run(row.name, func(t *testing.T) {
			if _, err := Plausible(row.a, row.b, row.unit, row.expected); !errors.Is(err, ErrInput) {
				t.Errorf("got %v, want ErrInput", err)
			}
		})
	}
}
