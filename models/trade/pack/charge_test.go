package pack

import (
	"errors"
	"testing"

	"pgregory.net/rapid"
)

// The widely printed table for flooded blocks: specific gravity at 25 degrees,
// charge, voltage. Gravity + 0.845 must come near the printed voltage.
func TestFloodedTableAgainstItsGravities(t *testing.T) {
	for _, row := range []struct{ sg, soc, volts float64 }{
		{1.265, 100, 12.65}, {1.225, 75, 12.45}, {1.190, 50, 12.24}, {1.155, 25, 12.06}, {1.120, 0, 11.89},
	} {
		soc, err := SoC(Flooded, row.volts, 6)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "charge at the printed voltage", soc, row.soc, 1e-9)
		_, block, err := SGToOCV(row.sg, 0.845, 6)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "voltage from gravity", block, row.volts, 0.1) // The rule reads up to 14 mV a cell low (Bode 1977).
	}
}

func TestSoCIsClampedAndScaled(t *testing.T) {
	for _, row := range []struct {
		name      string
		chemistry Chemistry
		v         float64
		cells     int
		want      float64
	}{
		{"above the table", AGM, 13.2, 6, 100},
		{"top row", AGM, 12.80, 6, 100},
		{"bottom row", AGM, 11.80, 6, 0},
		{"below the table", AGM, 9, 6, 0},
		{"half way between rows", Gel, 12.50, 6, 62.5},
		{"6 V block", AGMSmall, 6.20, 3, 50},
		{"one cell", AGM, 2.1, 1, 75},
	} {
		t.Run(row.name, func(t *testing.T) {
			got, err := SoC(row.chemistry, row.v, row.cells)
			if err != nil {
				t.Fatal(err)
			}
			near(t, "charge", got, row.want, 1e-9)
		})
	}
}

func TestSoCRisesWithVoltage(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		chemistry := rapid.SampledFrom([]Chemistry{Flooded, AGM, AGMSmall, Gel}).Draw(t, "chemistry")
		low := rapid.IntRange(11000, 13500).Draw(t, "millivolts")
		high := low + rapid.IntRange(0, 500).Draw(t, "more")
		a, errA := SoC(chemistry, float64(low)/1000, 6)
		b, errB := SoC(chemistry, float64(high)/1000, 6)
		if errA != nil || errB != nil || a > b || a < 0 || b > 100 {
			t.Fatalf("%s: %d mV %g %%, %d mV %g %% (%v, %v)", chemistry, low, a, high, b, errA, errB)
		}
	})
}

func TestSoCRefuses(t *testing.T) {
	for _, chemistry := range []Chemistry{LiFePO4, LiIon} {
		if _, err := SoC(chemistry, 3.3, 1); !errors.Is(err, ErrNoTable) {
			t.Errorf("%s: got %v, want ErrNoTable", chemistry, err)
		}
	}
	for name, err := range map[string]error{
		"unknown chemistry": second(SoC("potato", 12, 6)),
		"no voltage":        second(SoC(AGM, 0, 6)),
		"no cells":          second(SoC(AGM, 12, 0)),
		"gravity of water":  third(SGToOCV(0.99, 0.84, 6)),
		"gravity too high":  third(SGToOCV(1.41, 0.84, 6)),
		"another constant":  third(SGToOCV(1.28, 0.48, 6)),
	} {
		if !errors.Is(err, ErrInput) {
			t.Errorf("%s: got %v, want ErrInput", name, err)
		}
	}
}

func second[T any](_ T, err error) error { return err }

func third(_, _ float64, err error) error { return err }
