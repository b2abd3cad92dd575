package gauge

import (
	"math"

	"tracewright/models/numbers/stats"
)

// GaugeInterval returns the interval, with a confidence, of the variance of the
// gauge with the people who use it; pooled says whether the interaction was taken for
// noise. That variance is a sum of mean squares with weights above 0,
//
//	MSo/(p r) + MSpo (1/r)(1 - 1/p) + MSe (1 - 1/r)
//	MSo/(p r) + MSpool (1 - 1/(p r)), pooled,
//
// for which Graybill and Wang (Journal of the American Statistical Association 75,
// 1980; the modified large sample method of Burdick, Borror and Montgomery, Journal
// of Quality Technology 35, 2003) have
//
//	low  = sum - sqrt(sum over parts of (G part)^2),  G = 1 - df/chi-square(1 - alpha/2, df)
//	high = sum + sqrt(sum over parts of (H part)^2),  H = df/chi-square(alpha/2, df) - 1.
//
// With few persons the interval is wide, as it should be: two of them tell little of
// how persons differ.
func (s Study) GaugeInterval(pooled bool, confidence float64) (low, high float64, err error) {
	if err := checkBetween("confidence", confidence, 0, 1); err != nil {
		return 0, 0, err
	}
	p, r := float64(s.Parts), float64(s.Trials)
	parts := []Row{
		{MS: s.Operator.MS / (p * r), DF: s.Operator.DF},
		{MS: s.Interaction.MS / r * (1 - 1/p), DF: s.Interaction.DF},
		{MS: s.Repeatability.MS * (1 - 1/r), DF: s.Repeatability.DF},
	}
	if pooled {
		df := s.Interaction.DF + s.Repeatability.DF
		parts = append(parts[:1], Row{MS: (s.Interaction.SS + s.Repeatability.SS) / float64(df) * (1 - 1/(p*r)), DF: df})
	}
	var sum, below, above float64
	for _, part := range parts {
		df := float64(part.DF)
		large, err := stats.ChiSquareQuantile((1+confidence)/2, df)
		if err != nil {
			return 0, 0, err
		}
		small, err := stats.ChiSquareQuantile((1-confidence)/2, df)
		if err != nil {
			return 0, 0, err
		}
		sum += part.MS
		below += square((1 - df/large) * part.MS)
		above += square((df/small - 1) * part.MS)
	}
	low, high = max(0, sum-math.Sqrt(below)), sum+math.Sqrt(above)
	return low, high, checkAll(checkFinite("confidence", low), checkFinite("confidence", high))
}
