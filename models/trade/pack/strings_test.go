package pack

import (
	"errors"
	"testing"

	"tracewright/models/numbers/measure"
)

// 50 mV for each 12 V of lead-acid, 20 mV for each lithium cell in series (common
// practice, no source).
func TestJoinStrings(t *testing.T) {
	for _, row := range []struct {
		name      string
		v         []string
		chemistry Chemistry
		cells     int
		limit     string
		ok        bool
	}{
		{"36 V of lead, 150 mV itself", []string{"38.60", "38.75"}, AGM, 18, "0.15", true},
		{"a millivolt more", []string{"38.600", "38.751"}, AGM, 18, "0.15", false},
		{"three strings, the outer two count", []string{"38.60", "38.68", "38.76"}, AGM, 18, "0.15", false},
		{"6 V of lead, 25 mV itself", []string{"6.400", "6.425"}, Gel, 3, "0.025", true},
		{"16 lithium cells, 320 mV itself", []string{"53.00", "53.32"}, LiFePO4, 16, "0.32", true},
		{"a string the wrong way round", []string{"38.60", "-38.60"}, AGM, 18, "0.15", false},
		{"a millivolt more", []string{"53.00", "53.321"}, LiFePO4, 16, "0.32", false},
	} {
		t.Run(row.name, func(t *testing.T) {
			j, err := JoinStrings(decs(t, row.v...), row.chemistry, row.cells)
			if err != nil {
				t.Fatal(err)
			}
			if j.OK != row.ok || !j.Limit.Equal(dec(t, row.limit)) {
				t.Errorf("got %+v, want limit %s, %v", j, row.limit, row.ok)
			}
		})
	}
	if _, err := JoinStrings(decs(t, "38.6"), AGM, 18); !errors.Is(err, ErrInput) {
		t.Errorf("one string: %v", err)
	}
	if _, err := JoinStrings([]measure.Decimal{dec(t, "38.6"), {}}, AGM, 18); !errors.Is(err, ErrInput) {
		t.Errorf("a string not read: %v", err)
	}
	if _, err := JoinStrings(decs(t, "38.6", "38.6"), AGM, 0); !errors.Is(err, ErrInput) {
		t.Errorf("no cells: %v", err)
	}
	if _, err := JoinStrings(decs(t, "38.6", "38.6"), "potato", 18); !errors.Is(err, ErrInput) {
		t.Errorf("unknown chemistry: %v", err)
	}
}

// A 48 V lead string reaches 58 to 59 V on charge and stays under 60 V; a 60 V one
// does not. A lithium string of 14 cells charges to 58.8 V, of 15 to 63.
func TestChargingVoltage(t *testing.T) {
	for _, row := range []struct {
		chemistry Chemistry
		cells     int
		volts     float64
		above     bool
	}{
		{AGM, 24, 58.8, false}, {AGM, 30, 73.5, true}, {LiIon, 14, 58.8, false}, {LiIon, 15, 63, true}, {LiFePO4, 16, 58.4, false}, {Gel, 25, 60, false},
	} {
		v, above, err := ChargingVoltage(row.chemistry, row.cells)
		if err != nil || above != row.above {
			t.Errorf("%d cells of %s: %g V, above %v, %v", row.cells, row.chemistry, v, above, err)
		}
		near(t, "charging voltage", v, row.volts, 1e-9)
	}
	if _, _, err := ChargingVoltage(AGM, 0); !errors.Is(err, ErrInput) {
		t.Errorf("no cells: %v", err)
	}
	if _, _, err := ChargingVoltage("potato", 6); !errors.Is(err, ErrInput) {
		t.Errorf("unknown chemistry: %v", err)
	}
}
