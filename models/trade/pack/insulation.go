package pack

// Limits of the insulation of a pack to its case. The floor follows UN R100 for
// direct-current buses, the figure for a new dry pack one maker quoting European
// rules; both published, not the law of any place.
const (
	InsulationNewOhm     = 1e6 // new pack, dry, disconnected
	InsulationFloorOhmV  = 100 // ohm per volt, below which no pack leaves
	InsulationOK         = "ok"
	InsulationBelowNew   = "below_new_pack_minimum"
	InsulationBelowFloor = "below_floor"
)

// CaseVoltages are the readings of the known-resistor method: between a pole and
// a metal case, first alone, then with a known resistor across the same two
// points.
type CaseVoltages struct {
	PackV         float64 // pole to pole
	CaseV         float64 // the higher of the two pole-to-case voltages
	CaseVWithOhm  float64 // the same with the resistor across
	KnownResistor float64 // ohm
}

// Insulation is the resistance between pack and case.
type Insulation struct {
	Ohm     float64
	OhmPerV float64 // over the voltage of the pack
	Verdict string  // InsulationOK, InsulationBelowNew, InsulationBelowFloor
}

// Resistance gives the insulation of a pack to its case:
//
//	Ri = Ro Vb (1/V1' - 1/V1)
//
// Source: UN R100 and R136 annexes, quoted from memory. The first voltage cannot
// exceed that of the pack, and the second must be below the first: without a
// difference the insulation is beyond what the resistor can show, and a larger
// one is needed. A high-voltage insulation tester is never used on a pack with
// electronics unless its maker allows. The maker's data, local codes and
// licensed practice come first (Cautions); this verdict clears nobody to touch
// a live case.
func (c CaseVoltages) Resistance() (Insulation, error) {
	err := first(positive("Vb_V", c.PackV), positive("V1_V", c.CaseV), positive("V1_with_Ro_V", c.CaseVWithOhm), positive("Ro_ohm", c.KnownResistor))
	switch {
	case err != nil:
		return Insulation{}, err
	case c.CaseV > c.PackV+slack:
		return Insulation{}, fieldf("V1_V", "%g V to the case cannot exceed the %g V of the pack", c.CaseV, c.PackV)
	case c.CaseVWithOhm >= c.CaseV:
		return Insulation{}, fieldf("V1_with_Ro_V", "must be below V1_V; without a difference take a larger resistor")
	}
	out := Insulation{Verdict: InsulationOK}
	out.Ohm = c.KnownResistor * c.PackV * (1/c.CaseVWithOhm - 1/c.CaseV)
	out.OhmPerV = out.Ohm / c.PackV
	switch {
	case out.OhmPerV < InsulationFloorOhmV:
		out.Verdict = InsulationBelowFloor
	case out.Ohm < InsulationNewOhm:
		out.Verdict = InsulationBelowNew
	}
	return out, computed(out.Ohm, out.OhmPerV)
}
