package wheel

// samplePerSide is how many spokes a sample reads on each side. Three, evenly
// spread, show a slack or overtight side; they show no single bad spoke.
const samplePerSide = 3

// DefaultSample gives the data indices of the spokes that a sample reads when
// the specification names none: three a side, evenly spread, side B half way
// between those of side A. Of the n = N/2 spokes of a side, A takes the spokes
// nearest 0, n/3 and 2n/3, B those nearest n/6, n/2 and 5n/6, half rounding up.
// For 36 spokes: 0, 12, 24 on side A and 7, 19, 31 on side B. Common practice,
// no source. An odd count, or fewer than 12, is ErrInput.
func DefaultSample(spokesOnWheel int) (a, b []int, err error) {
	if spokesOnWheel < 12 || spokesOnWheel%2 != 0 {
		return nil, nil, fieldf("spokes", "a sample needs an even number of spokes, at least 12, not %d", spokesOnWheel)
	}
	n := spokesOnWheel / 2
	for place := range samplePerSide {
		a = append(a, 2*nearest(n*place, samplePerSide))
		b = append(b, 2*nearest(n*(2*place+1), 2*samplePerSide)+1)
	}
	return a, b, nil
}

// nearest divides and rounds to the nearest whole number, half up.
func nearest(dividend, divisor int) int { return (2*dividend + divisor) / (2 * divisor) }
