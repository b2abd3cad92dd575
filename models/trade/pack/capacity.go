package pack

// Temperatures, degrees, within which the correction of capacity is good, and
// its coefficients per K at slow (3 hours and longer) and fast rates. IEC
// 60896-21 cl. 6.11, quoted from memory; one maker draws the border between slow
// and fast elsewhere, so the coefficient is stored with the test.
const (
	CapacityFromC    = 15.0
	CapacityToC      = 35.0
	CapacityCoefSlow = 0.006
	CapacityCoefFast = 0.01
)

// Discharge is a constant-current discharge from full to the cut-off of the
// first block that reaches it.
type Discharge struct {
	CurrentA   float64
	Hours      float64
	TempC      float64 // at the start
	CoefPerK   float64 // lambda
	ReferenceC float64 // 20 or 25, as on the label
	RatedAh    float64
}

// Capacity is what a discharge gives.
type Capacity struct {
	MeasuredAh  float64
	CorrectedAh float64 // at the reference temperature
	PctOfRated  float64
	InRange     bool // the start lay where the correction is good, 15 to 35 degrees
}

// Corrected gives the capacity at the reference temperature:
//
//	C = I t, Ca = C / (1 + lambda (T - Tref))
//
// Source: IEC 60896-21 cl. 6.11 and IEC 60896-11 cl. 14, quoted from memory.
// Lithium has no coefficient: it is tested at 25 degrees.
func (d Discharge) Corrected() (Capacity, error) {
	err := first(positive("I_A", d.CurrentA), positive("hours", d.Hours), checkTemperature("temp_C", d.TempC),
		finite("lambda_per_K", d.CoefPerK), checkTemperature("T_ref_C", d.ReferenceC), positive("C_rated_Ah", d.RatedAh))
	if err == nil && d.CoefPerK < 0 {
		err = fieldf("lambda_per_K", "cannot be negative: capacity rises with temperature")
	}
	if err != nil {
		return Capacity{}, err
	}
	divisor := 1 + d.CoefPerK*(d.TempC-d.ReferenceC)
	if divisor <= 0 {
		return Capacity{}, fieldf("lambda_per_K", "with %g per K there is no correction at %g degrees", d.CoefPerK, d.TempC)
	}
	out := Capacity{MeasuredAh: d.CurrentA * d.Hours, InRange: d.TempC >= CapacityFromC && d.TempC <= CapacityToC}
	out.CorrectedAh = out.MeasuredAh / divisor
	out.PctOfRated = 100 * out.CorrectedAh / d.RatedAh
	return out, computed(out.MeasuredAh, out.CorrectedAh, out.PctOfRated)
}
