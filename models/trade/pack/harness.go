package pack

// Limits of a harness. Common practice, no source: 1 % of the nominal voltage at
// rated current (2 % at peak), 0.5 milliohm a joint.
const (
	HarnessDropPct   = 1.0
	HarnessJointMohm = 0.5
)

// Reasons against a harness, in the order Drop gives them.
const (
	DropOverLimit  = "drop_over_limit"
	JointOverLimit = "joint_over_limit"
)

// Harness is the current path of a pack outside its blocks.
type Harness struct {
	CurrentA  float64
	WireM     float64 // both ways together
	AreaMM2   float64 // copper
	Joints    int
	JointMohm float64 // each
	NominalV  float64 // of the pack
}

// HarnessDrop is what the path costs at a current.
type HarnessDrop struct {
	ResistMohm float64
	DropV      float64
	DropPct    float64 // of the nominal voltage
	LossW      float64
	Reasons    []string
}

// Drop gives resistance, voltage drop and loss of a harness:
//
//	R = rho L / A + joints * each,  drop = R I,  loss = R I^2
//
// limitPct is the largest drop in % of the nominal voltage, HarnessDropPct at
// rated current. Equal to a limit passes. Source: resistance of copper, IEC
// 60028 quoted from memory; limits common practice, no source. On the bench
// pass 10 A and read each joint: mV / 10 is milliohm. A reversed connector is
// rejected whatever the drop.
func (h Harness) Drop(limitPct float64) (HarnessDrop, error) {
	err := first(positive("I_A", h.CurrentA), checkPath("total_wire_m", h.WireM, h.AreaMM2, "joints", h.Joints, "joint_mohm", h.JointMohm),
		positive("pack_nominal_V", h.NominalV), positive("limit_pct", limitPct))
	if err != nil {
		return HarnessDrop{}, err
	}
	out := HarnessDrop{Reasons: []string{}}
	out.ResistMohm = wireMohm(h.WireM, h.AreaMM2) + float64(h.Joints)*h.JointMohm
	out.DropV = out.ResistMohm / 1000 * h.CurrentA
	out.DropPct = 100 * out.DropV / h.NominalV
	out.LossW = out.DropV * h.CurrentA
	if out.DropPct > limitPct+slack {
		out.Reasons = append(out.Reasons, DropOverLimit)
	}
	if h.Joints > 0 && h.JointMohm > HarnessJointMohm+slack {
		out.Reasons = append(out.Reasons, JointOverLimit)
	}
	return out, computed(out.ResistMohm, out.DropV, out.DropPct, out.LossW)
}
