package conformity

import "tracewright/models/numbers/measure"

// Shown returns a value as it is printed with the given number of decimals,
// and whether more of them were needed. Rounded half-even, 0.304 would stand
// beside its limit 0.30 as 0.30 and look like a pass; then as many decimals
// more are printed as it takes for the printed value to lie on the same side
// of each limit as the value itself.
func Shown(value measure.Decimal, decimals int, limits Limits) (text string, unrounded bool) {
	decimals = max(decimals, 0)
	for more := decimals; more < value.Decimals(); more++ {
		rounded := value.RoundTo(more)
		if sameSide(value, rounded, limits.Low) && sameSide(value, rounded, limits.High) {
			return rounded.String(), more > decimals
		}
	}
	if decimals >= value.Decimals() {
		return value.RoundTo(decimals).String(), false
	}
	return value.String(), true
}

func sameSide(value, rounded measure.Decimal, limit *measure.Decimal) bool {
	return limit == nil || value.Cmp(*limit) == rounded.Cmp(*limit)
}
