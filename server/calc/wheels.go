package calc

import (
	"fmt"
	"slices"

	"tracewright/models/numbers/measure"
	"tracewright/models/trade/wheel"
)

// wheelKinds are the calculations on wheels.
var wheelKinds = slices.Concat(wheelReadingKinds, wheelTensionKinds, wheelModelKinds)

// wheelReadingKinds need no model of the wheel.
var wheelReadingKinds = []Kind{
	{
		Name:    "runout",
		Does:    "run-out of one turn: full indicator reading, mean, waves 1 to 4, high and low spot; drift removed by a repeat of station 0",
		Source:  "ISO 4210-7 cl. 4.1 for the full indicator reading; Fourier sums, textbook; closure limit 0.05 mm common practice, no source",
		Example: `{"what":"lateral","stations":12,"readings":[0.10,0.14,0.15,0.12,0.05,-0.02,-0.08,-0.11,-0.12,-0.08,-0.02,0.05],"station_0_reread":0.11}`,
		Run:     of(runOut),
	},
	{
		Name:    "joint_local",
		Does:    "hop or flat at the rim joint, against the rim's own shape fitted outside a window",
		Source:  "least squares, textbook; window of 25 degrees either side common practice, no source",
		Example: `{"readings":[0.05,0.04,0.02,0,-0.02,-0.04,0.25,-0.04,-0.02,0,0.02,0.04],"joint_deg":180,"half_window_deg":25,"max_harmonic":3}`,
		Run:     of(jointLocal),
	},
	{
		Name:    "dish",
		Does:    "offset of the rim toward side A from two shoulder distances",
		Source:  "geometry: (d_B - d_A)/2, exact",
		Example: `{"shoulder_distance_A":12.40,"shoulder_distance_B":11.20}`,
		Run:     of(dish),
	},
	{
		Name:    "tension_statistics",
		Does:    "mean, spread, largest deviation and neighbour difference of each side, and the ratio of the sides",
		Source:  "sample mean and n-1 standard deviation; side comparison common practice, no source",
		Example: `{"tensions":[1035,820,1010,800,985,835,1020,790]}`,
		Run:     of(tensionStatistics),
	},
	{
		Name:    "spoke_geometry",
		Does:    "length, angles and stiffness of the first spoke of each side, and the expected ratio of tensions",
		Source:  "geometry, statics and springs in series, textbook; cut length common practice, no source",
		Example: `{"spokes":36,"rim_radius":197,"nipple_inset":7,"flange_radius_A":62,"flange_radius_B":62,"flange_offset_A":23,"flange_offset_B":23,"cross_A":1,"cross_B":1,"spoke_E":200000,"spoke_profile":[[null,2.3]],"flange_hole_diameter":2.6}`,
		Run:     of(spokeGeometry),
	},
	{
		Name:    "entry_plausibility",
		Does:    "doubts about mean tensions: sides swapped, or typed in another unit",
		Source:  "common practice, no source: ratio within 10 % of the inverse; mean outside 300 to 2000 N",
		Example: `{"expected_ratio_A_over_B":1.52,"mean_A":724,"mean_B":1100,"declared_unit":"N"}`,
		Run:     of(entryPlausibility),
	},
	{
		Name:    "grade_verdict",
		Does:    "best grade of a wheel, plainly and with the uncertainty added, and what fails each grade",
		Source:  "grade table: common practice, no source; equal to the limit passes",
		Example: `{"values":{"lateral_tir":0.24,"radial_tir":0.42,"dish_abs":0.4,"side_tension_dev_pct":12.5,"adjacent_diff_pct":17},"expanded_uncertainty":{"lateral_tir":0.03,"radial_tir":0.04,"dish_abs":0.1,"side_tension_dev_pct":3,"adjacent_diff_pct":4}}`,
		Run:     of(gradeVerdict),
	},
}

type runOutInput struct {
	What     string    `json:"what,omitempty"`
	Stations int       `json:"stations"`
	Readings []float64 `json:"readings"`
	Reread   *float64  `json:"station_0_reread,omitempty"`
	// Stations that are not the rim's shape.
	Masked []maskInput `json:"masked,omitempty"`
}

type maskInput struct {
	Station int    `json:"station"`
	Reason  string `json:"reason"`
}

type harmonicAnswer struct {
	K         int     `json:"k"`
	Amplitude float64 `json:"amplitude"`
	PhaseDeg  float64 `json:"phase_deg"`
}

type runOutAnswer struct {
	TIR             float64          `json:"tir_stations"`
	Mean            float64          `json:"mean"`
	Harmonics       []harmonicAnswer `json:"harmonics"`
	TIRInterpolated float64          `json:"tir_interpolated"`
	HighSpotDeg     float64          `json:"high_spot_deg"`
	LowSpotDeg      float64          `json:"low_spot_deg"`
	Residual        float64          `json:"residual_rms_above_k3"`
	Closure         *float64         `json:"closure,omitempty"`
	Corrected       bool             `json:"corrected_for_drift"`
}

func runOut(in runOutInput) (runOutAnswer, error) {
	if in.What != "" && in.What != "lateral" && in.What != "radial" {
		return runOutAnswer{}, &Failure{Field: "what", Problem: "must be lateral or radial"}
	}
	if in.Stations != len(in.Readings) {
		return runOutAnswer{}, &Failure{Field: "readings", Problem: fmt.Sprintf("%d values for %d stations", len(in.Readings), in.Stations)}
	}
	var masks []wheel.Mask
	for _, m := range in.Masked {
		masks = append(masks, wheel.Mask(m))
	}
	r, err := wheel.AnalyseMasked(in.Readings, in.Reread, masks)
	if err != nil {
		return runOutAnswer{}, blame("readings", err)
	}
	answer := runOutAnswer{
		TIR: r.TIR, Mean: r.Mean, TIRInterpolated: r.TIRInterpolated, HighSpotDeg: r.HighSpotDeg, LowSpotDeg: r.LowSpotDeg,
		Residual: r.ResidualRMSAboveK3, Closure: r.Closure, Corrected: r.Corrected,
	}
	for _, h := range r.Harmonics {
		answer.Harmonics = append(answer.Harmonics, harmonicAnswer(h))
	}
	return answer, nil
}

type jointInput struct {
	Readings      []float64 `json:"readings"`
	JointDeg      float64   `json:"joint_deg"`
	HalfWindowDeg float64   `json:"half_window_deg"`
	MaxHarmonic   int       `json:"max_harmonic"`
}

type jointAnswer struct {
	LocalDeviation float64 `json:"local_deviation"`
	Station        int     `json:"station"`
	Kind           string  `json:"kind"`
	RMSOutside     float64 `json:"rms_outside"`
}

func jointLocal(in jointInput) (jointAnswer, error) {
	j, err := wheel.JointLocal(in.Readings, in.JointDeg, in.HalfWindowDeg, in.MaxHarmonic)
	if err != nil {
		return jointAnswer{}, blame("readings", err)
	}
	return jointAnswer(j), nil
}

type dishInput struct {
	A exact `json:"shoulder_distance_A"`
	B exact `json:"shoulder_distance_B"`
}

type dishAnswer struct {
	Offset exact `json:"rim_offset_toward_A"`
	Abs    exact `json:"dish_abs"`
}

func dish(in dishInput) (dishAnswer, error) {
	offset, err := wheel.Dish(in.A.Decimal, in.B.Decimal)
	if err != nil {
		return dishAnswer{}, blame("shoulder_distance_A", err)
	}
	return dishAnswer{Offset: exact{offset}, Abs: exact{offset.Abs()}}, nil
}

// evenIsA is the only assignment of spokes to sides that we keep; an input may
// spell it out.
const evenIsA = "even index A, odd index B"

type tensionInput struct {
	Tensions []float64 `json:"tensions"`
	Sides    string    `json:"sides,omitempty"`
}

type sideAnswer struct {
	N           int     `json:"n"`
	Mean        float64 `json:"mean"`
	SD          float64 `json:"sd"`
	CVPct       float64 `json:"cv_pct"`
	Min         float64 `json:"min"`
	Max         float64 `json:"max"`
	MinMaxRatio float64 `json:"min_max_ratio"`
	MaxDevPct   float64 `json:"max_dev_pct"`
	MaxDevSpoke int     `json:"max_dev_spoke"`
	Lowest      int     `json:"lowest_spoke"`
	MaxAdjacent float64 `json:"max_adjacent_same_side"`
	AdjacentPct float64 `json:"max_adjacent_pct"`
	AdjacentAt  int     `json:"max_adjacent_at"`
}

type tensionAnswer struct {
	A     sideAnswer `json:"A"`
	B     sideAnswer `json:"B"`
	Ratio float64    `json:"ratio_A_over_B"`
}

func tensionStatistics(in tensionInput) (tensionAnswer, error) {
	if in.Sides != "" && in.Sides != evenIsA {
		return tensionAnswer{}, &Failure{Field: "sides", Problem: "must be left out or read: " + evenIsA}
	}
	var answer tensionAnswer
	for first, into := range []*sideAnswer{&answer.A, &answer.B} {
		var spokes []int
		var tension []float64
		for j := first; j < len(in.Tensions); j += 2 {
			spokes, tension = append(spokes, j), append(tension, in.Tensions[j])
		}
		s, err := wheel.SideStatistics(spokes, tension, len(in.Tensions))
		if err != nil {
			return tensionAnswer{}, blame("tensions", err)
		}
		*into = sideAnswer{
			N: s.N, Mean: s.Mean, SD: s.SD, CVPct: s.CVPct, Min: s.Min, Max: s.Max, MinMaxRatio: s.MinMaxRatio,
			MaxDevPct: s.MaxDevPct, MaxDevSpoke: s.MaxDevSpoke, Lowest: s.LowestSpoke,
			MaxAdjacent: s.MaxAdjacent, AdjacentPct: s.MaxAdjacentPct, AdjacentAt: s.AdjacentAt,
		}
	}
	answer.Ratio = answer.A.Mean / answer.B.Mean
	return answer, nil
}

type plausibilityInput struct {
	Expected *float64 `json:"expected_ratio_A_over_B,omitempty"`
	MeanA    float64  `json:"mean_A"`
	MeanB    float64  `json:"mean_B"`
	Unit     string   `json:"declared_unit"`
}

type plausibilityAnswer struct {
	Flags []string       `json:"flags"`
	Units []measure.Unit `json:"plausible_units,omitempty"`
}

func entryPlausibility(in plausibilityInput) (plausibilityAnswer, error) {
	expected := 0.0 // Not known.
	if in.Expected != nil {
		if expected = *in.Expected; expected <= 0 {
			return plausibilityAnswer{}, &Failure{Field: "expected_ratio_A_over_B", Problem: "must be above zero"}
		}
	}
	p, err := wheel.Plausible(in.MeanA, in.MeanB, measure.Unit(in.Unit), expected)
	if err != nil {
		return plausibilityAnswer{}, blame("mean_A", err)
	}
	return plausibilityAnswer(p), nil
}

// gradedInput holds one decimal for each result that a grade limits.
type gradedInput struct {
	LateralTIR measure.Decimal `json:"lateral_tir"`
	RadialTIR  measure.Decimal `json:"radial_tir"`
	DishAbs    measure.Decimal `json:"dish_abs"`
	SideDevPct measure.Decimal `json:"side_tension_dev_pct"`
	AdjacentPc measure.Decimal `json:"adjacent_diff_pct"`
}

func (g gradedInput) byCode() map[string]measure.Decimal {
	return map[string]measure.Decimal{
		wheel.LateralTIR: g.LateralTIR, wheel.RadialTIR: g.RadialTIR, wheel.DishAbsolute: g.DishAbs,
		wheel.SideDeviationPct: g.SideDevPct, wheel.AdjacentPct: g.AdjacentPc,
	}
}

type gradeInput struct {
	Values   gradedInput  `json:"values"`
	Expanded *gradedInput `json:"expanded_uncertainty,omitempty"`
}

type gradeAnswer struct {
	Grade     *string             `json:"grade"` // null: no grade, hold the wheel.
	WithGuard *string             `json:"grade_with_guard_band"`
	Failed    map[string][]string `json:"failed_limits"`
	Version   string              `json:"grades_version"`
}

func gradeVerdict(in gradeInput) (gradeAnswer, error) {
	var expanded map[string]measure.Decimal
	if in.Expanded != nil {
		expanded = in.Expanded.byCode()
	}
	v, err := wheel.GradeOf(in.Values.byCode(), expanded)
	if err != nil {
		return gradeAnswer{}, blame("values", err)
	}
	return gradeAnswer{
		Grade: textOrNull(v.Grade), WithGuard: textOrNull(v.GradeWithGuard),
		Failed: v.FailedLimits, Version: wheel.GradesVersion,
	}, nil
}

// textOrNull gives null for an empty text.
func textOrNull(text string) *string {
	if text == "" {
		return nil
	}
	return &text
}
