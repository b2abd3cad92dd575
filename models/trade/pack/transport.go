package pack

import "slices"

// UN numbers of packs.
const (
	UNWetSpillable    = "UN2794" // wet, filled with acid
	UNNonSpillable    = "UN2800" // wet, non-spillable
	UNVehicle         = "UN3171" // battery-powered vehicle or equipment
	UNLithium         = "UN3480" // lithium-ion alone
	UNLithiumWith     = "UN3481" // lithium-ion packed with or in equipment
	UNLithiumVehicle  = "UN3556" // vehicle with a lithium-ion battery
	lithiumFullWh     = 100.0    // above it no relief for small batteries
	lithiumAirSoCPct  = 30.0
	maxTransportVolts = 1500.0
	maxTransportAh    = 100_000.0
)

// Status of a pack for transport.
const (
	RegulatedClass8        = "regulated_class_8"
	BlockUntilShortCircuit = "block_until_short_circuit_protected"
	BlockUntilMarked       = "block_until_marked"
	ExceptedNonSpillable   = "excepted_A67_173.159a"
	TransportBlock         = "block"
	RegulatedClass9        = "regulated_class_9"
	Class9SmallBattery     = "class_9_small_battery_provisions"
)

// Reasons of TransportBlock, in the order they are given.
const (
	NoTestSummary = "no_un38_3_summary"
	SoCOver30Air  = "soc_over_30_air"
)

// Modes of transport.
const (
	ByAir  = "air"
	ByRoad = "road"
	ByRail = "rail"
	BySea  = "sea"
)

// Transport is what a pack may be shipped as.
type Transport struct {
	UN       string
	Status   string
	EnergyWh float64  // lithium; 0 for lead-acid
	Reasons  []string // of TransportBlock
}

// LeadTransport is what must be known of a lead-acid pack. The two tests are a
// property of the type, stated by the supplier.
type LeadTransport struct {
	PassesTests           bool // vibration and pressure difference, no leak
	NoFreeLiquid55C       bool // no free liquid, no flow from a cracked case at 55 degrees
	Marked                bool // NONSPILLABLE on battery and outer package
	ShortCircuitProtected bool
	InVehicle             bool
}

// Class gives UN number and status of a lead-acid pack. Not passing the tests
// it is UN2794, passing without the rule at 55 degrees UN2800, both class 8.
// Otherwise it is blocked until protected against short circuit, then until
// marked, and then excepted. In a vehicle it is UN3171, class 9 (class from
// memory), blocked until protected against short circuit.
//
// Source: 49 CFR 173.159 and 173.159a, IATA special provision A67 and packing
// instruction 872, published, paraphrased. Rules change every year: this is a
// reminder of facts and no legal advice; the maker's data, local codes,
// licensed practice and the carrier come first (TransportCautions).
func (l LeadTransport) Class() Transport {
	out := Transport{UN: UNNonSpillable, Reasons: []string{}}
	switch {
	case l.InVehicle:
		out.UN, out.Status = UNVehicle, RegulatedClass9
		if !l.ShortCircuitProtected {
			out.Status = BlockUntilShortCircuit
		}
	case !l.PassesTests:
		out.UN, out.Status = UNWetSpillable, RegulatedClass8
	case !l.NoFreeLiquid55C:
		out.Status = RegulatedClass8
	case !l.ShortCircuitProtected:
		out.Status = BlockUntilShortCircuit
	case !l.Marked:
		out.Status = BlockUntilMarked
	default:
		out.Status = ExceptedNonSpillable
	}
	return out
}

// LithiumTransport is what must be known of a lithium pack.
type LithiumTransport struct {
	NominalV, CapacityAh float64
	SoCPct               float64
	Mode                 string // ByAir, ByRoad, ByRail, BySea
	TestSummary          bool   // of this pack design: tested cells do not replace it
	InVehicle            bool
	WithEquipment        bool
}

// Class gives UN number and status of a lithium pack. It is blocked without a
// test summary of its own design, and by air above 30 % charge (a vehicle only
// above 100 Wh); otherwise class 9, with the provisions for small batteries at
// or below 100 Wh outside a vehicle (from memory). Alone it travels on cargo
// aircraft only; damaged or defective it does not travel by air at all.
//
// Source: UN Model Regulations, UN 38.3, IATA rules for 2026, published,
// paraphrased. Rules change every year: this is a reminder of facts and no legal
// advice; the maker's data, local codes, licensed practice and the carrier come
// first (TransportCautions).
func (l LithiumTransport) Class() (Transport, error) {
	err := first(positive("nominal_V", l.NominalV), positive("capacity_Ah", l.CapacityAh), percent("soc_pct", l.SoCPct))
	switch {
	case err != nil:
		return Transport{}, err
	case l.NominalV > maxTransportVolts:
		return Transport{}, fieldf("nominal_V", "%g V is no pack of a workshop", l.NominalV)
	case l.CapacityAh > maxTransportAh:
		return Transport{}, fieldf("capacity_Ah", "%g Ah is no pack of a workshop", l.CapacityAh)
	case !slices.Contains([]string{ByAir, ByRoad, ByRail, BySea}, l.Mode):
		return Transport{}, fieldf("mode", "%.40q is none of air, road, rail, sea", l.Mode)
	}
	out := Transport{UN: UNLithium, EnergyWh: l.NominalV * l.CapacityAh, Reasons: []string{}}
	switch {
	case l.InVehicle:
		out.UN = UNLithiumVehicle
	case l.WithEquipment:
		out.UN = UNLithiumWith
	}
	full := out.EnergyWh > lithiumFullWh+slack
	if !l.TestSummary {
		out.Reasons = append(out.Reasons, NoTestSummary)
	}
	if l.Mode == ByAir && l.SoCPct > lithiumAirSoCPct && (full || !l.InVehicle) {
		out.Reasons = append(out.Reasons, SoCOver30Air)
	}
	switch {
	case len(out.Reasons) > 0:
		out.Status = TransportBlock
	case full || l.InVehicle:
		out.Status = RegulatedClass9
	default:
		out.Status = Class9SmallBattery
	}
	return out, nil
}
