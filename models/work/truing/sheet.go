package truing

import (
	"time"

	"tracewright/models"
)

// State says what a sheet has to show.
type State string

// States of a sheet.
const (
	Ready   State = "ready"   // a list
	Nothing State = "nothing" // nothing is worth turning
	Missing State = "missing" // no list, and what it needs
	Slack   State = "slack"   // spokes too slack for the model
	Stopped State = "stop"    // the readings contradict the list before
	Unmade  State = "unmade"  // a list can be made: the stop before it is settled
)

// Sheet is the turn list of one inspection with all that is known about it.
type Sheet struct {
	Inspection models.Inspection
	Item       models.Item
	Product    models.Product
	Holes      int
	State      State

	Missing  []models.Remark    // with Missing: what and why
	Slack    []int              // with Slack: the spokes
	Measured *Readings          // by spoke, as the results use them; nil without every hole
	Plan     *Plan              // with Ready and Nothing
	Stop     *Stop              // with Stopped
	Answered *models.TurnAnswer // what a person said at the stop
	After    *Round             // what these readings said about the list before
	Begun    string             // which list was begun: models.TurnsShort, TurnsAll, or ""
	Done     []Done             // turns that stand
	Closed   bool               // the list takes no more: the wheel was read again, or it was made again
	People   map[string]string  // names by id
	crossing int
}

// Done is a turn that was made and not taken back.
type Done struct {
	List string
	N    int
	By   string
	At   time.Time
}

// Readings are one value for each spoke hole and spoke, in the order of the
// spokes: mm, mm, N.
type Readings struct {
	Lateral []float64 `json:"lateral"`
	Radial  []float64 `json:"radial"`
	Tension []float64 `json:"tension"`
}

// Condition is a wheel as read or as predicted.
type Condition struct {
	LateralTIR  float64 `json:"lateral_tir"`  // mm
	LateralMean float64 `json:"lateral_mean"` // mm toward side A, from the dish where it was read
	RadialTIR   float64 `json:"radial_tir"`
	DeviationA  float64 `json:"deviation_pct_a"` // largest deviation from the side's mean
	DeviationB  float64 `json:"deviation_pct_b"`
	CVA         float64 `json:"cv_pct_a"` // spread
	CVB         float64 `json:"cv_pct_b"`
	MeanA       float64 `json:"mean_a"` // N
	MeanB       float64 `json:"mean_b"`
	Highest     float64 `json:"highest"`
	Lowest      float64 `json:"lowest"`
}

// Plan is what a list is frozen with. Its JSON form is stored: version 1, a
// later form gets another number and this one stays readable.
type Plan struct {
	Version         int       `json:"version"`
	ProductRevision int       `json:"product_revision"` // of the form that the model was built from
	ModelTension    float64   `json:"model_tension"`    // N on side A, at which it was built
	TargetA         float64   `json:"target_a"`
	TargetB         float64   `json:"target_b"`
	Learned         Learned   `json:"learned"`
	Step            float64   `json:"step"`         // of a turn
	LargestTurn     float64   `json:"largest_turn"` // of this round
	Limits          Limits    `json:"limits"`
	Before          Condition `json:"before"`
	Short           List      `json:"short"`
	All             List      `json:"all"`
	TakeTensionOut  bool      `json:"take_tension_out"` // some tension is above the ceiling: loosen only, first
	WorstExcess     float64   `json:"worst_excess"`     // N that the list still leaves beyond limits
	TargetsLowered  bool      `json:"targets_lowered"`  // what was wanted lies above the ceiling
	RimNotBuilder   []string  `json:"rim_not_builder"`  // results that turning cannot bring within their limit
	Rim             RimFault  `json:"rim"`
	Worth           bool      `json:"worth"` // false: nothing is worth turning
}

// Learned is by how much this type of rim and spoke moves more or less than
// the model says.
type Learned struct {
	Rounds  int     `json:"rounds"` // 0: nothing is known yet
	Lateral float64 `json:"lateral"`
	Radial  float64 `json:"radial"`
	Tension float64 `json:"tension"`
}

// Limits are what the wheel is to come within. A limit of 0 is none.
type Limits struct {
	LateralTIR       float64 `json:"lateral_tir"`
	RadialTIR        float64 `json:"radial_tir"`
	DishAbs          float64 `json:"dish_abs"`
	SideDeviationPct float64 `json:"side_deviation_pct"`
	TensionMin       float64 `json:"tension_min"`
	TensionMax       float64 `json:"tension_max"` // the rim maker's
	GaugeUncertainty float64 `json:"gauge_uncertainty"`
	Ceiling          float64 `json:"ceiling"`
}

// List is turns in the order of work with what they are predicted to do.
type List struct {
	Turns        []Turn    `json:"turns"`
	Nipples      int       `json:"nipples"`
	Predicted    Readings  `json:"predicted"` // values after the list
	After        Condition `json:"after"`
	Highest      float64   `json:"highest"` // N anywhere on the way
	HighestAt    int       `json:"highest_at"`
	HighestAfter int       `json:"highest_after"` // turn, 0 at the start
	Halved       []int     `json:"halved"`
	Dropped      []int     `json:"dropped"`
	Lift         float64   `json:"lift,omitempty"` // N by which the highest tension rises on the way: no order of a first stage spares it
}

// Turn is one instruction.
type Turn struct {
	Spoke     int     `json:"spoke"`
	Turns     float64 `json:"turns"`   // plus is tighten
	Highest   float64 `json:"highest"` // N of any spoke once it is done
	HighestAt int     `json:"highest_at"`
}

// RimFault is what turning cannot mend. An empty Code is nothing worth saying.
type RimFault struct {
	Code      string  `json:"code,omitempty"` // joint, joint_over, lateral_waves, radial_waves, beyond_turning
	Kind      string  `json:"kind,omitempty"` // of a joint: hop or flat
	Value     float64 `json:"value,omitempty"`
	Limit     float64 `json:"limit,omitempty"`
	At        int     `json:"at"`
	JointFrom int     `json:"joint_from"`
	JointTo   int     `json:"joint_to"`
}

// Lean says which way a spoke leaves its flange, or that it is radial. On each
// side every second spoke has its flange hole further on than its nipple, in
// the direction in which spokes are counted, beginning with the first: leading;
// the others are trailing. Which of them drives depends on which side of the
// wheel side A is, and this does not say.
func (s Sheet) Lean(spoke int) string {
	switch {
	case s.crossing == 0:
		return "radial"
	case spoke/2%2 == 0:
		return "leading"
	}
	return "trailing"
}
