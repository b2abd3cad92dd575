package sampling

// MaxDouble bounds both samples of a [Double] plan.
const MaxDouble = 10_000

// Double is a double sampling plan: of the first sample accept with FirstAccept
// or fewer nonconforming pieces, reject with FirstReject or more; in between
// take the second sample and accept with SecondAccept or fewer in both
// together.
type Double struct {
	FirstSize, FirstAccept, FirstReject int
	SecondSize, SecondAccept            int
}

// DoublePoint is one point of the operating characteristic of a double plan.
type DoublePoint struct {
	First  float64 // Probability of acceptance on the first sample.
	Second float64 // Probability of acceptance on the second.
	Accept float64 // Both.
	// Average is the average sample number (ASN), both samples always counted
	// whole.
	Average float64
}

// Check refuses a plan that cannot be; the arguments are named n1, c1, r1, n2
// and c2.
func (d Double) Check() error {
	for _, of := range []struct {
		name               string
		value, least, most int
	}{
		{"n1", d.FirstSize, 1, MaxDouble},
		{"n2", d.SecondSize, 1, MaxDouble},
		{"c1", d.FirstAccept, 0, d.FirstSize},
		{"r1", d.FirstReject, d.FirstAccept + 1, d.FirstSize + 1},
		{"c2", d.SecondAccept, d.FirstAccept, d.FirstSize + d.SecondSize},
	} {
		if err := checkWhole(of.name, of.value, of.least, of.most); err != nil {
			return err
		}
	}
	return nil
}

// Characteristic returns the point at a fraction p nonconforming, binomial:
//
//	Pa  = P(X1 <= c1) + sum P(X1 = d) P(X2 <= c2 - d), d = c1+1 .. r1-1,
//	ASN = n1 + n2 P(c1 < X1 < r1)
//
// (Montgomery, Statistical Quality Control, chapter on lot-by-lot acceptance
// sampling by attributes, without curtailment).
func (d Double) Characteristic(p float64) (DoublePoint, error) {
	if err := d.Check(); err != nil {
		return DoublePoint{}, err
	}
	if err := checkFraction("p", p); err != nil {
		return DoublePoint{}, err
	}
	first := below{n: d.FirstSize, p: p}
	second := below{n: d.SecondSize, p: p}
	point := DoublePoint{First: first.at(d.FirstAccept)}
	point.Average = float64(d.FirstSize) + float64(d.SecondSize)*(first.at(d.FirstReject-1)-point.First)
	last := point.First
	for found := d.FirstAccept + 1; found < d.FirstReject && found <= d.SecondAccept; found++ {
		here := first.at(found)
		if here > last { // Far out the terms are nothing, and cost the same.
			point.Second += (here - last) * second.at(d.SecondAccept-found)
		}
		last = here
	}
	if err := firstOf(first.err, second.err); err != nil {
		return DoublePoint{}, err
	}
	point.Accept = min(point.First+point.Second, 1)
	return point, nil
}
