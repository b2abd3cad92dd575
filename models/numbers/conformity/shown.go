package conformity

import "tracewright/models/numbers/measure"

// Shown returns a value as it is printed with the given number of decimals,
// and whether more of them were needed. Rounded half-even, 0.304 would stand
// beside its limit 0.30 as 0.30 and look like a pass; then as many decimals
// more are printed as it takes for the printed value to lie on the same side
// of each limit as the value itself. Where acceptance limits are printed too,
// they are given after the tolerance: rounding may not hide the guard band
// either.
func Shown(value measure.Decimal, decimals int, limits ...Limits) (text string, unrounded bool) {
	decimals = max(decimals, 0)
	for more := decimals; more < value.Decimals(); more++ {
		if rounded := value.RoundTo(more); sameSides(value, rounded, limits) {
			return rounded.String(), more > decimals
		}
	}
	if decimals >= value.Decimals() {
		return value.RoundTo(decimals).String(), false
	}
	return value.String(), true
}

// ShownText is [Shown] of what is stored as texts: what is no number, the answer to a
// tick, stays as it is, and an empty limit is none.
func ShownText(value string, decimals int, low, high string) string {
	d, err := measure.Parse(value)
	if err != nil {
		return value
	}
	text, _ := Shown(d, decimals, Limits{Low: limitOf(low), High: limitOf(high)})
	return text
}

func limitOf(text string) *measure.Decimal {
	if text == "" {
		return nil
	}
	d, err := measure.Parse(text)
	if err != nil {
		return nil
	}
	return &d
}

func sameSides(value, rounded measure.Decimal, limits []Limits) bool {
	for _, l := range limits {
		for _, limit := range []*measure.Decimal{l.Low, l.High} {
			if limit != nil && value.Cmp(*limit) != rounded.Cmp(*limit) {
				return false
			}
		}
	}
	return true
}
