package pack

import (
	"errors"
	"math"
	"slices"
	"testing"
)

// Every step towards an excepted lead-acid pack (49 CFR 173.159a, IATA A67).
func TestLeadTransport(t *testing.T) {
	done := LeadTransport{PassesTests: true, NoFreeLiquid55C: true, Marked: true, ShortCircuitProtected: true}
	for _, row := range []struct {
		name       string
		change     func(*LeadTransport)
		un, status string
	}{
		{"all there", func(*LeadTransport) {}, "UN2800", ExceptedNonSpillable},
		{"not marked", func(l *LeadTransport) { l.Marked = false }, "UN2800", BlockUntilMarked},
		{"neither protected nor marked", func(l *LeadTransport) { l.ShortCircuitProtected, l.Marked = false, false }, "UN2800", BlockUntilShortCircuit},
		{"free liquid at 55 degrees", func(l *LeadTransport) { l.NoFreeLiquid55C = false }, "UN2800", RegulatedClass8},
		{"free liquid, not protected", func(l *LeadTransport) { l.NoFreeLiquid55C, l.ShortCircuitProtected = false, false }, "UN2800", RegulatedClass8},
		{"leaks in the tests", func(l *LeadTransport) { l.PassesTests = false }, "UN2794", RegulatedClass8},
		{"in a vehicle", func(l *LeadTransport) { l.InVehicle = true }, "UN3171", RegulatedClass9},
		{"in a vehicle, not protected", func(l *LeadTransport) { l.InVehicle, l.ShortCircuitProtected = true, false }, "UN3171", BlockUntilShortCircuit},
	} {
		t.Run(row.name, func(t *testing.T) {
			l := done
			row.change(&l)
			if got := l.Class(); got.UN != row.un || got.Status != row.status || len(got.Reasons) != 0 {
				t.Errorf("got %+v, want %s %s", got, row.un, row.status)
			}
		})
	}
}

// UN numbers, 100 Wh and 30 % of the rules for 2026.
func TestLithiumTransport(t *testing.T) {
	bike := LithiumTransport{NominalV: 36, CapacityAh: 10, SoCPct: 30, Mode: ByAir, TestSummary: true} // 360 Wh
	for _, row := range []struct {
		name       string
		change     func(*LithiumTransport)
		un, status string
		reasons    []string
	}{
		{"30 % itself by air", func(*LithiumTransport) {}, "UN3480", RegulatedClass9, nil},
		{"31 % by air", func(l *LithiumTransport) { l.SoCPct = 31 }, "UN3480", TransportBlock, []string{SoCOver30Air}},
		{"full by road", func(l *LithiumTransport) { l.SoCPct, l.Mode = 100, ByRoad }, "UN3480", RegulatedClass9, nil},
		{"no summary of the design", func(l *LithiumTransport) { l.TestSummary = false }, "UN3480", TransportBlock, []string{NoTestSummary}},
		{"both, in order", func(l *LithiumTransport) { l.TestSummary, l.SoCPct = false, 100 }, "UN3480", TransportBlock, []string{NoTestSummary, SoCOver30Air}},
		{"with equipment, full", func(l *LithiumTransport) { l.WithEquipment, l.SoCPct = true, 100 }, "UN3481", TransportBlock, []string{SoCOver30Air}},
		{"in a vehicle, full", func(l *LithiumTransport) { l.InVehicle, l.SoCPct = true, 100 }, "UN3556", TransportBlock, []string{SoCOver30Air}},
		{"small one in a vehicle, full", func(l *LithiumTransport) { l.InVehicle, l.SoCPct, l.CapacityAh = true, 100, 2.7 }, "UN3556", RegulatedClass9, nil},
		{"100 Wh itself", func(l *LithiumTransport) { l.NominalV, l.CapacityAh = 10, 10 }, "UN3480", Class9SmallBattery, nil},
		{"a little above", func(l *LithiumTransport) { l.NominalV, l.CapacityAh = 10, 10.01 }, "UN3480", RegulatedClass9, nil},
	} {
		t.Run(row.name, func(t *testing.T) {
			l := bike
			row.change(&l)
			got, err := l.Class()
			if err != nil || got.UN != row.un || got.Status != row.status || !slices.Equal(got.Reasons, row.reasons) {
				t.Errorf("got %+v, %v, want %s %s %v", got, err, row.un, row.status, row.reasons)
			}
		})
	}
	for name, change := range map[string]func(*LithiumTransport){
		"no voltage":         func(l *LithiumTransport) { l.NominalV = 0 },
		"a kilovolt or two":  func(l *LithiumTransport) { l.NominalV = 2000 },
		"no capacity":        func(l *LithiumTransport) { l.CapacityAh = -1 },
		"a power station":    func(l *LithiumTransport) { l.CapacityAh = 1e9 },
		"charge of 101 %":    func(l *LithiumTransport) { l.SoCPct = 101 },
		"charge no number":   func(l *LithiumTransport) { l.SoCPct = math.NaN() },
		"by an unknown mode": func(l *LithiumTransport) { l.Mode = "balloon" },
		"by no mode":         func(l *LithiumTransport) { l.Mode = "" },
	} {
		l := bike
		change(&l)
		if _, err := l.Class(); !errors.Is(err, ErrInput) {
			t.Errorf("%s: got %v, want ErrInput", name, err)
		}
	}
}

// 1 A of gassing needs 0.05 m3/h a cell (EN 62485-2), and 28 cm2 for each m3/h.
func TestVentilationByHand(t *testing.T) {
	a, err := Ventilation(20, 10, 100) // 1 A in each of 20 cells
	if err != nil {
		t.Fatal(err)
	}
	near(t, "m3/h", a.M3PerHour, 1, 1e-12)
	near(t, "cm2", a.OpeningCM2, 28, 1e-9)
	for name, err := range map[string]error{
		"no cells":              second(Ventilation(0, 1, 12)),
		"cells beyond any room": second(Ventilation(1_000_000, 1, 12)),
		"no gassing":            second(Ventilation(18, 0, 12)),
		"negative capacity":     second(Ventilation(18, 1, -12)),
		"beyond a double":       second(Ventilation(18, 1e300, 1e300)),
	} {
		if !errors.Is(err, ErrInput) {
			t.Errorf("%s: got %v, want ErrInput", name, err)
		}
	}
}

// What stands on every answer about safety, and the carrier on transport too;
// asking for one list does not change the other.
func TestCautions(t *testing.T) {
	want := []string{MakerDataFirst, LocalCodesFirst, LicensedPracticeFirst}
	if got := TransportCautions(); !slices.Equal(got, append(slices.Clone(want), CarrierConfirmsFirst)) {
		t.Errorf("transport: got %v", got)
	}
	if got := Cautions(); !slices.Equal(got, want) {
		t.Errorf("got %v, want %v", got, want)
	}
}
