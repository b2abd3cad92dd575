package pack

import "tracewright/models/numbers/measure"

// Levels of a resistance against its baseline, best first.
const (
	RatioOK          = "ok"
	RatioWatch       = "watch"
	RatioInvestigate = "investigate"
	RatioReject      = "reject"
)

// RatioLimits are the ratios, as exact decimals in text, from which a level is
// reached.
type RatioLimits struct{ Watch, Investigate, Reject string }

// DefaultRatioLimits are 1.20, 1.30 and 1.50. A rise of 30 to 50 % is where IEEE
// 1188 asks for action, quoted from memory; 20 % is common practice, no source.
func DefaultRatioLimits() RatioLimits { return RatioLimits{"1.20", "1.30", "1.50"} }

// ResistanceRatio compares a resistance at 25 degrees with its baseline: the
// same unit, the same method, after conditioning, or else the median of at
// least thirty of the model. A limit itself is reached: ratio >= limit, compared
// as R >= limit * baseline in exact decimals, without a division.
func ResistanceRatio(r25, baseline measure.Decimal, limits RatioLimits) (ratio float64, level string, err error) {
	for _, given := range []struct {
		field string
		value measure.Decimal
	}{{"R25_mohm", r25}, {"baseline_mohm", baseline}} {
		if !given.value.Given() || given.value.Sign() <= 0 {
			return 0, "", fieldf(given.field, "must be above zero")
		}
	}
	ratio = r25.Float() / baseline.Float()
	if err := computed(ratio); err != nil {
		return 0, "", err
	}
	for _, l := range []struct{ level, limit string }{
		{RatioReject, limits.Reject}, {RatioInvestigate, limits.Investigate}, {RatioWatch, limits.Watch},
	} {
		compared, err := compareScaled(r25, measure.FromInt(1), l.limit, baseline)
		if err != nil {
			return 0, "", err
		}
		if compared >= 0 {
			return ratio, l.level, nil
		}
	}
	return ratio, RatioOK, nil
}
