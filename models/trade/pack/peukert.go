package pack

import (
	"fmt"
	"math"
)

const (
	minPeukertRates = 3   // discharges at different currents
	minPeukertSpan  = 4.0 // largest current over smallest
	maxPeukertReach = 2.0 // how far beyond the measured currents may be asked
	maxPeukertRates = 1000
)

// Peukert is the law t = Cp / I^k of discharge time against current.
type Peukert struct {
	K           float64 // exponent, above 1
	Cp          float64 // hours at 1 A
	fromA, toA  float64 // currents it was fitted to
	RMSLogHours float64 // root mean square of what the fit leaves of ln t
}

// FitPeukert fits the law to discharges by least squares of ln t on ln I: k is
// minus the slope, Cp the exponential of the intercept. Source: Peukert 1897, in
// every textbook; fit and limits common practice, no source: at least three
// currents spanning four times, k above 1 (1.1 to 1.25 for absorbed glass mat
// and gel, 1.2 to 1.5 flooded). A cut-off that falls with the rate, as on many
// sheets, flatters k. It is not for lithium.
func FitPeukert(currentsA, hours []float64) (Peukert, error) {
	if err := checkPeukert(currentsA, hours); err != nil {
		return Peukert{}, err
	}
	n := float64(len(currentsA))
	var meanX, meanY float64
	out := Peukert{fromA: currentsA[0], toA: currentsA[0]}
	for i, current := range currentsA {
		meanX += math.Log(current) / n
		meanY += math.Log(hours[i]) / n
		out.fromA, out.toA = math.Min(out.fromA, current), math.Max(out.toA, current)
	}
	if out.toA/out.fromA < minPeukertSpan*(1-slack) {
		return Peukert{}, fieldf("I_A", "the currents span %.3g times, at least %g needed", out.toA/out.fromA, minPeukertSpan)
	}
	var sxx, sxy float64
	for i, current := range currentsA {
		x := math.Log(current) - meanX
		sxx += x * x
		sxy += x * (math.Log(hours[i]) - meanY)
	}
	slope := sxy / sxx
	out.K, out.Cp = -slope, math.Exp(meanY-slope*meanX)
	if out.K <= 1 {
		return Peukert{}, fieldf("hours", "the exponent is %.4g, and must be above 1: a larger current never gives more charge", out.K)
	}
	var squares float64
	for i, current := range currentsA {
		left := math.Log(hours[i]) - meanY - slope*(math.Log(current)-meanX)
		squares += left * left
	}
	out.RMSLogHours = math.Sqrt(squares / n)
	return out, computed(out.K, out.Cp, out.RMSLogHours)
}

// Predict gives the hours and the charge, Ah, at a current: t = Cp I^-k and
// Cp I^(1-k). A current more than twice outside those of the fit is refused.
func (p Peukert) Predict(currentA float64) (hours, ah float64, err error) {
	if err := positive("predict_I_A", currentA); err != nil {
		return 0, 0, err
	}
	if currentA < p.fromA/maxPeukertReach || currentA > p.toA*maxPeukertReach {
		return 0, 0, fieldf("predict_I_A", "%g A is more than %g times outside the currents of the fit, %g to %g A", currentA, maxPeukertReach, p.fromA, p.toA)
	}
	hours = math.Exp(math.Log(p.Cp) - p.K*math.Log(currentA))
	return hours, hours * currentA, computed(hours, hours*currentA)
}

// checkPeukert refuses what cannot be fitted.
func checkPeukert(currentsA, hours []float64) error {
	switch {
	case len(currentsA) != len(hours):
		return fieldf("hours", "%d times for %d currents", len(hours), len(currentsA))
	case len(currentsA) < minPeukertRates || len(currentsA) > maxPeukertRates:
		return fieldf("I_A", "%d discharges, %d to %d needed", len(currentsA), minPeukertRates, maxPeukertRates)
	}
	distinct := map[float64]bool{}
	for i, current := range currentsA {
		err := first(positive(fmt.Sprintf("I_A[%d]", i), current), positive(fmt.Sprintf("hours[%d]", i), hours[i]))
		if err != nil {
			return err
		}
		distinct[current] = true
	}
	if len(distinct) < minPeukertRates {
		return fieldf("I_A", "%d different currents, at least %d needed", len(distinct), minPeukertRates)
	}
	return nil
}
