package calc

import "tracewright/models/trade/pack"

// packSafetyKinds are the calculations on hydrogen and on transport. Each
// answers with the cautions that come before it.
var packSafetyKinds = []Kind{
	{
		Name:    "ventilation",
		Does:    "air flow and free opening of a place where lead-acid is charged; the maker's data and local codes come first",
		Source:  "EN 62485-2 and EN 62485-3, seen in secondary sources",
		Example: `{"cells":18,"Igas_mA_per_Ah":8,"C_Ah":12}`,
		Run:     of(ventilation),
	},
	{
		Name:    "transport_class",
		Does:    "UN number of a pack and what stands against shipping it; the carrier and the rules of the year come first",
		Source:  "49 CFR 173.159a, IATA A67, UN Model Regulations and UN 38.3, paraphrased; no legal advice",
		Example: `{"chemistry":"agm","passes_vibration_and_pressure_test":true,"no_free_liquid_55C":true,"marked_nonspillable":true,"short_circuit_protected":true,"installed_in_vehicle":false}`,
		Run:     of(transportClass),
	},
}

type ventilationInput struct {
	Cells    int     `json:"cells"`
	Gassing  float64 `json:"Igas_mA_per_Ah"`
	Capacity float64 `json:"C_Ah"`
}

type ventilationAnswer struct {
	Q        float64  `json:"Q_m3_h"`
	Opening  float64  `json:"natural_opening_cm2"`
	Cautions []string `json:"cautions"`
}

func ventilation(in ventilationInput) (ventilationAnswer, error) {
	a, err := pack.Ventilation(in.Cells, in.Gassing, in.Capacity)
	return ventilationAnswer{a.M3PerHour, a.OpeningCM2, pack.Cautions()}, blame("input", err)
}

// transportInput is one form for both families; the fields of the other one may
// be left out.
type transportInput struct {
	Chemistry   pack.Chemistry `json:"chemistry"`
	InVehicle   bool           `json:"installed_in_vehicle"`
	Passes      *bool          `json:"passes_vibration_and_pressure_test,omitempty"`
	NoFree      *bool          `json:"no_free_liquid_55C,omitempty"`
	Marked      *bool          `json:"marked_nonspillable,omitempty"`
	Protected   *bool          `json:"short_circuit_protected,omitempty"`
	NominalV    *float64       `json:"nominal_V,omitempty"`
	CapacityAh  *float64       `json:"capacity_Ah,omitempty"`
	SoC         *float64       `json:"soc_pct,omitempty"`
	Mode        *string        `json:"mode,omitempty"`
	TestSummary *bool          `json:"un38_3_summary,omitempty"`
	With        *bool          `json:"with_equipment,omitempty"`
}

type transportAnswer struct {
	UN       string   `json:"un"`
	Status   string   `json:"status"`
	EnergyWh *float64 `json:"energy_Wh,omitempty"` // lithium
	Reasons  []string `json:"reasons"`
	Cautions []string `json:"cautions"`
}

func transportClass(in transportInput) (transportAnswer, error) {
	if !in.Chemistry.Known() {
		return transportAnswer{}, &Failure{Field: "chemistry", Problem: "must be one of flooded, agm, agm_small, gel, lifepo4, li_ion"}
	}
	answer := transportAnswer{Cautions: pack.TransportCautions()}
	var class pack.Transport
	if in.Chemistry.LeadAcid() {
		if err := given("lead-acid", map[string]bool{
			"passes_vibration_and_pressure_test": in.Passes != nil, "no_free_liquid_55C": in.NoFree != nil,
			"marked_nonspillable": in.Marked != nil, "short_circuit_protected": in.Protected != nil,
		}); err != nil {
			return transportAnswer{}, err
		}
		class = pack.LeadTransport{
			PassesTests: *in.Passes, NoFreeLiquid55C: *in.NoFree, Marked: *in.Marked,
			ShortCircuitProtected: *in.Protected, InVehicle: in.InVehicle,
		}.Class()
	} else {
		if err := given("lithium", map[string]bool{
			"nominal_V": in.NominalV != nil, "capacity_Ah": in.CapacityAh != nil, "soc_pct": in.SoC != nil,
			"mode": in.Mode != nil, "un38_3_summary": in.TestSummary != nil, "with_equipment": in.With != nil,
		}); err != nil {
			return transportAnswer{}, err
		}
		var err error
		class, err = pack.LithiumTransport{
			NominalV: *in.NominalV, CapacityAh: *in.CapacityAh, SoCPct: *in.SoC, Mode: *in.Mode,
			TestSummary: *in.TestSummary, InVehicle: in.InVehicle, WithEquipment: *in.With,
		}.Class()
		if err != nil {
			return transportAnswer{}, blame("input", err)
		}
		answer.EnergyWh = &class.EnergyWh
	}
	answer.UN, answer.Status, answer.Reasons = class.UN, class.Status, class.Reasons
	return answer, nil
}

// given names the first field, by name, that a family needs and that is missing.
func given(family string, fields map[string]bool) error {
	missing := ""
	for name, there := range fields {
		if !there && (missing == "" || name < missing) {
			missing = name
		}
	}
	if missing == "" {
		return nil
	}
	return &Failure{Field: missing, Problem: "is missing, and needed for " + family}
}
