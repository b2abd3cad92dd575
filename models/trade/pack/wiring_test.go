package pack

import (
	"errors"
	"math"
	"slices"
	"testing"
)

// 100 m of 1 mm2 copper are 1.724 ohm at 20 degrees (IEC 60028, quoted from
// memory).
func TestHarnessByHand(t *testing.T) {
	h := Harness{CurrentA: 10, WireM: 1, AreaMM2: 1.724, Joints: 4, JointMohm: 0.5, NominalV: 12} // 10 + 2 mohm
	for _, row := range []struct {
		name    string
		limit   float64
		change  func(*Harness)
		reasons []string
	}{
		{"a drop of the limit itself", 1, func(*Harness) {}, nil},
		{"above it", 0.99, func(*Harness) {}, []string{DropOverLimit}},
		{"a joint above half a milliohm", 2, func(h *Harness) { h.JointMohm = 0.51 }, []string{JointOverLimit}},
		{"no joints, whatever one would be", 1, func(h *Harness) { h.Joints, h.JointMohm = 0, 5 }, nil},
		{"both, in order", 1, func(h *Harness) { h.JointMohm = 2 }, []string{DropOverLimit, JointOverLimit}},
	} {
		t.Run(row.name, func(t *testing.T) {
			changed := h
			row.change(&changed)
			d, err := changed.Drop(row.limit)
			if err != nil || !slices.Equal(d.Reasons, row.reasons) {
				t.Errorf("got %+v, %v, want %v", d, err, row.reasons)
			}
		})
	}
	d, err := h.Drop(1)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "milliohm", d.ResistMohm, 12, 1e-9)
	near(t, "volts", d.DropV, 0.12, 1e-12)
	near(t, "percent", d.DropPct, 1, 1e-9)
	near(t, "watts", d.LossW, 1.2, 1e-9)
}

// Two leads of 0.5 m and 2.5 mm2 add 6.9 mohm, half of a 12 Ah block.
func TestTwoWireRefusesWhatLeavesNothing(t *testing.T) {
	leads := Leads{OneWayM: 0.5, AreaMM2: 2.5, Contacts: 2, ContactMohm: 0.1}
	e, err := TwoWireError(14, leads)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "leads", e.LeadMohm, 6.9, 0.01)
	near(t, "left and added", e.TrueMohm+e.AddedMohm, 14, 1e-12)
	if _, err := TwoWireError(7, leads); !errors.Is(err, ErrNotMeasurable) {
		t.Errorf("a reading below the leads: got %v, want ErrNotMeasurable", err)
	}
}

// A leak between one pole and the case: a voltmeter between the other pole and
// the case reads what Ohm's law says, and the method gives the leak back.
func TestInsulationGivesBackALeak(t *testing.T) {
	const packV, known = 48.0, 50_000.0
	for _, row := range []struct {
		ohm     float64
		verdict string
	}{{2_000_000, InsulationOK}, {1_000_001, InsulationOK}, {999_999, InsulationBelowNew}, {4_801, InsulationBelowNew}, {4_799, InsulationBelowFloor}, {500, InsulationBelowFloor}} {
		// Without the known resistor the whole voltage of the pack stands there,
		// with it leak and resistor divide it.
		c := CaseVoltages{PackV: packV, CaseV: packV, CaseVWithOhm: packV * known / (known + row.ohm), KnownResistor: known}
		r, err := c.Resistance()
		if err != nil {
			t.Fatal(err)
		}
		near(t, "ohm", r.Ohm, row.ohm, 1e-6*row.ohm)
		if r.Verdict != row.verdict {
			t.Errorf("%g ohm at %g V: got %s, want %s", row.ohm, packV, r.Verdict, row.verdict)
		}
	}
}

func TestWiringRefuses(t *testing.T) {
	nan := math.NaN()
	harness := Harness{CurrentA: 20, WireM: 1, AreaMM2: 4, Joints: 6, JointMohm: 0.2, NominalV: 36}
	drop := func(limit float64, change func(*Harness)) error {
		h := harness
		change(&h)
		return second(h.Drop(limit))
	}
	for name, err := range map[string]error{
		"no current":              drop(1, func(h *Harness) { h.CurrentA = 0 }),
		"negative length":         drop(1, func(h *Harness) { h.WireM = -1 }),
		"wire of no area":         drop(1, func(h *Harness) { h.AreaMM2 = 0 }),
		"negative joints":         drop(1, func(h *Harness) { h.Joints = -1 }),
		"a million joints":        drop(1, func(h *Harness) { h.Joints = 1_000_000 }),
		"joint not a number":      drop(1, func(h *Harness) { h.JointMohm = nan }),
		"no nominal voltage":      drop(1, func(h *Harness) { h.NominalV = 0 }),
		"no limit":                drop(0, func(*Harness) {}),
		"beyond a double":         drop(1, func(h *Harness) { h.CurrentA = 1e200 }),
		"two-wire reading of 0":   second(TwoWireError(0, Leads{1, 1, 1, 1})),
		"lead of no area":         second(TwoWireError(10, Leads{1, 0, 1, 1})),
		"negative contact":        second(TwoWireError(10, Leads{1, 1, 1, -1})),
		"no pack voltage":         second(CaseVoltages{0, 20, 9, 50000}.Resistance()),
		"case above the pack":     second(CaseVoltages{38, 39, 9, 50000}.Resistance()),
		"no difference":           second(CaseVoltages{38, 20, 20, 50000}.Resistance()),
		"voltage that rises":      second(CaseVoltages{38, 20, 21, 50000}.Resistance()),
		"no resistor":             second(CaseVoltages{38, 20, 9, 0}.Resistance()),
		"nothing left at the end": second(CaseVoltages{38, 20, 0, 50000}.Resistance()),
	} {
		if !errors.Is(err, ErrInput) {
			t.Errorf("%s: got %v, want ErrInput", name, err)
		}
	}
}
