package gauge

import "math"

// CorrectedTIR is a total indicator reading freed of what noise added to it.
type CorrectedTIR struct {
	Read  float64 // Highest less lowest reading.
	Bias  float64 // What noise is estimated to have added, from 0 to d2(n) sigma.
	Value float64 // Read - Bias, not below 0: the value for a decision.
	U     float64 // Standard uncertainty of Value.
}

// CorrectTIR corrects the total of the readings at the points of a profile for
// their noise, a standard deviation in the same unit, and for nothing else; scale
// is the relative standard uncertainty of the gauge's scale.
//
//	Bias  = E(total of the readings with the noise added once more) - total read
//	Value = total read - Bias
//	U^2   = 2 noise^2 + (scale Value)^2
//
// Why a correction. Noise adds to a total on average and never takes from it
// ([NoisyTIR]), by an amount that depends on how many points come close to the
// extremes: nothing where two lone points stand out, d2(n) sigma where all are
// level. A guarded rule against a high limit that compares the reading as it is
// therefore guards twice, by U and by the bias. It is to compare Value, with
// k U as its expanded uncertainty.
//
// Why this one. The readings are taken for the profile and read once more by
// calculation; what that adds is what the noise is taken to have added before
// (the parametric bootstrap estimate of bias: Efron and Tibshirani, An
// Introduction to the Bootstrap, 1993, 10.2). The readings are rougher than the
// profile and their extremes stand out more, so that this finds about half of
// the true bias on a smooth rim and next to none where a joint stands out. It
// leaves some of the bias in rather than taking out too much; a bolder
// correction, from a rim fitted with a few harmonics, would pass a rim whose
// joint it has smoothed away. It needs no model of the rim and no seed.
//
// Why this U. A total is the difference of two readings; its standard deviation
// is sqrt(2) sigma at most and nearly that where two lone points stand out. On a
// smooth rim it is less, and this U errs to the safe side.
//
// Its limits. For one side only: Value + 1.96 U lies above the true total in
// 97.5 % of cases or more on level, smooth and once-jointed rims of 36 points,
// while Value - 1.96 U may lie above it too, for rims of a few sigma; do not
// hold it against a low limit. The worst known to us is a level rim with one
// lone point up and one down by about three sigma, where Value + 1.96 U falls
// short in one case of nine; a limit of six sigma asks more of the gauge than it
// has. Noise is taken as normal, independent from point to point and known: an
// offset of the whole round cancels, a drift along it does not and has to be
// taken out before. Two readings, highest and lowest, are a profile of two
// points and get next to no correction, which is right, for nothing is known of
// the points between.
func CorrectTIR(readings []float64, noise, scale float64) (CorrectedTIR, error) {
	if err := checkNotNegative("scale", scale); err != nil {
		return CorrectedTIR{}, err
	}
	e, err := newExtremes(readings, noise)
	if err != nil {
		return CorrectedTIR{}, err
	}
	c := CorrectedTIR{Read: e.total, Bias: e.bias()}
	c.Value = max(c.Read-c.Bias, 0)
	c.U = math.Hypot(math.Sqrt2*noise, scale*c.Value)
	return c, checkFinite("scale", c.U)
}
