package calc

import "tracewright/models/trade/pack"

// packWiringKinds are the calculations on leads, harness and insulation.
var packWiringKinds = []Kind{
	{
		Name:    "two_wire_error",
		Does:    "what leads and contacts add to a two-wire resistance, and what is left",
		Source:  "resistance of copper, IEC 60028 quoted from memory",
		Example: `{"R_two_wire_mohm":18.9,"lead_one_way_m":0.5,"area_mm2":2.5,"contacts":2,"contact_mohm":0.15}`,
		Run:     of(twoWireError),
	},
	{
		Name:    "harness_drop",
		Does:    "resistance, voltage drop and loss of a harness, and every reason against it",
		Source:  "resistance of copper, IEC 60028 quoted from memory; limits 1 % and 0.5 mohm a joint common practice, no source",
		Example: `{"I_A":20,"total_wire_m":1.2,"area_mm2":4,"joints":6,"joint_mohm":0.2,"pack_nominal_V":36}`,
		Run:     of(harnessDrop),
	},
	{
		Name:    "insulation",
		Does:    "resistance between pack and case by a known resistor; the maker's data and local codes come first",
		Source:  "UN R100 and R136 annexes, quoted from memory; floor 100 ohm/V UN R100, 1 Mohm one maker",
		Example: `{"Vb_V":38.6,"V1_V":20.1,"V1_with_Ro_V":9.4,"Ro_ohm":50000}`,
		Run:     of(insulation),
	},
}

type twoWireInput struct {
	R           float64 `json:"R_two_wire_mohm"`
	OneWayM     float64 `json:"lead_one_way_m"`
	AreaMM2     float64 `json:"area_mm2"`
	Contacts    int     `json:"contacts"`
	ContactMohm float64 `json:"contact_mohm"`
}

type twoWireAnswer struct {
	Lead  float64 `json:"lead_mohm"`
	Added float64 `json:"added_mohm"`
	True  float64 `json:"true_mohm"`
}

func twoWireError(in twoWireInput) (twoWireAnswer, error) {
	e, err := pack.TwoWireError(in.R, pack.Leads{OneWayM: in.OneWayM, AreaMM2: in.AreaMM2, Contacts: in.Contacts, ContactMohm: in.ContactMohm})
	return twoWireAnswer{e.LeadMohm, e.AddedMohm, e.TrueMohm}, blame("R_two_wire_mohm", err)
}

type harnessInput struct {
	Current   float64  `json:"I_A"`
	WireM     float64  `json:"total_wire_m"`
	AreaMM2   float64  `json:"area_mm2"`
	Joints    int      `json:"joints"`
	JointMohm float64  `json:"joint_mohm"`
	NominalV  float64  `json:"pack_nominal_V"`
	LimitPct  *float64 `json:"limit_pct,omitempty"` // 1 % when left out; 2 % at peak current.
}

type harnessAnswer struct {
	Resist  float64  `json:"R_mohm"`
	Drop    float64  `json:"drop_V"`
	Pct     float64  `json:"drop_pct"`
	Loss    float64  `json:"loss_W"`
	Reasons []string `json:"reasons"`
}

func harnessDrop(in harnessInput) (harnessAnswer, error) {
	limit := pack.HarnessDropPct
	if in.LimitPct != nil {
		limit = *in.LimitPct
	}
	d, err := pack.Harness{
		CurrentA: in.Current, WireM: in.WireM, AreaMM2: in.AreaMM2,
		Joints: in.Joints, JointMohm: in.JointMohm, NominalV: in.NominalV,
	}.Drop(limit)
	return harnessAnswer{d.ResistMohm, d.DropV, d.DropPct, d.LossW, d.Reasons}, blame("input", err)
}

type insulationInput struct {
	PackV  float64 `json:"Vb_V"`
	CaseV  float64 `json:"V1_V"`
	WithRo float64 `json:"V1_with_Ro_V"`
	Ro     float64 `json:"Ro_ohm"`
}

type insulationAnswer struct {
	Ohm      float64  `json:"Ri_ohm"`
	OhmPerV  float64  `json:"ohm_per_V"`
	Verdict  string   `json:"verdict"`
	Cautions []string `json:"cautions"`
}

func insulation(in insulationInput) (insulationAnswer, error) {
	r, err := pack.CaseVoltages{PackV: in.PackV, CaseV: in.CaseV, CaseVWithOhm: in.WithRo, KnownResistor: in.Ro}.Resistance()
	return insulationAnswer{r.Ohm, r.OhmPerV, r.Verdict, pack.Cautions()}, blame("input", err)
}
