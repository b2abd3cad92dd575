package sampling

import (
	"fmt"
	"math"

	"tracewright/models/numbers/stats"
)

// MaxMeasured bounds the size of a sample for a plan by variables.
const MaxMeasured = 10_000

// Limits are the specification limits of a measured characteristic; one of them
// may be missing.
type Limits struct {
	Low, High *float64
}

func (l Limits) check() error {
	for _, limit := range []struct {
		name  string
		value *float64
	}{{"lsl", l.Low}, {"usl", l.High}} {
		if limit.value != nil {
			if err := checkFinite(limit.name, *limit.value); err != nil {
				return err
			}
		}
	}
	switch {
	case l.Low == nil && l.High == nil:
		return refuse("lsl, usl", "none", "must be given, one of them at least")
	case l.Low != nil && l.High != nil && *l.Low >= *l.High:
		return refuse("lsl", *l.Low, "must be below usl")
	}
	return nil
}

// Quality is how far a sample stays inside its limits, in standard deviations
// of its own (sigma unknown, n-1):
//
//	Q_L = (mean - low)/s,   Q_U = (high - mean)/s.
type Quality struct {
	N         int
	Mean, SD  float64
	Low, High *float64 // Q_L and Q_U; nil where there is no limit.
}

// QualityOf returns the quality of at least least values. Values that are all
// equal have none: [stats.ErrNoSpread].
func QualityOf(x []float64, limits Limits, least int) (Quality, error) {
	if len(x) > MaxMeasured {
		return Quality{}, refuse("x", len(x), fmt.Sprintf("values must be %d or fewer", MaxMeasured))
	}
	if err := stats.Check(x, least); err != nil {
		return Quality{}, &stats.ArgumentError{Argument: "x", Err: err}
	}
	if err := limits.check(); err != nil {
		return Quality{}, err
	}
	q := Quality{N: len(x)}
	var err error
	if q.Mean, err = stats.Mean(x); err != nil {
		return Quality{}, &stats.ArgumentError{Argument: "x", Err: err}
	}
	if q.SD, err = stats.SD(x); err != nil {
		return Quality{}, &stats.ArgumentError{Argument: "x", Err: err}
	}
	if stats.Distinct(x) == 1 || q.SD == 0 {
		return Quality{}, &stats.ArgumentError{Argument: "x", Err: stats.ErrNoSpread}
	}
	if limits.Low != nil {
		low := (q.Mean - *limits.Low) / q.SD
		q.Low = &low
		err = firstOf(err, checkFinite("lsl", low))
	}
	if limits.High != nil {
		high := (*limits.High - q.Mean) / q.SD
		q.High = &high
		err = firstOf(err, checkFinite("usl", high))
	}
	return q, err
}

// ByK is a decision by the k method.
type ByK struct {
	Quality
	Index  float64 // Q_L or Q_U, whichever limit there is.
	Accept bool
}

// AcceptByK accepts a lot of normally distributed values with one limit when
// the quality index of at least 2 of them is k or more: form 1 of MIL-STD-414
// (1957, public domain), section B, sigma unknown. With two limits the
// fractions beyond both count, so that [AcceptByM] is the method.
func AcceptByK(x []float64, limits Limits, k float64) (ByK, error) {
	if limits.Low != nil && limits.High != nil {
		return ByK{}, refuse("lsl, usl", "both", "must not be given together, the k method has one limit")
	}
	if err := checkFactor(k); err != nil {
		return ByK{}, err
	}
	q, err := QualityOf(x, limits, 2)
	if err != nil {
		return ByK{}, err
	}
	answer := ByK{Quality: q}
	if q.Low != nil {
		answer.Index = *q.Low
	} else {
		answer.Index = *q.High
	}
	answer.Accept = answer.Index >= k
	return answer, nil
}

// maxFactor bounds the acceptance constant k: no lot in the world lies a
// hundred standard deviations inside its limit.
const maxFactor = 100

func checkFactor(k float64) error {
	if !(k >= -maxFactor && k <= maxFactor) {
		return refuse("k", k, fmt.Sprintf("must lie from -%d to %d", maxFactor, maxFactor))
	}
	return nil
}

// ByM is a decision by the M method.
type ByM struct {
	Quality
	// Estimated fractions nonconforming below, above and in all; nothing where
	// there is no limit.
	Below, Above, Total float64
	Accept              bool
}

// AcceptByM accepts a lot of normally distributed values with one or two limits
// when the estimated fraction nonconforming, [Nonconforming] of each side, is
// most or less: form 2 of MIL-STD-414 (1957, public domain), section B, sigma
// unknown. It needs at least 3 values; most is a fraction, M/100.
func AcceptByM(x []float64, limits Limits, most float64) (ByM, error) {
	if err := checkFraction("M", most); err != nil {
		return ByM{}, err
	}
	q, err := QualityOf(x, limits, 3)
	if err != nil {
		return ByM{}, err
	}
	answer := ByM{Quality: q}
	if q.Low != nil {
		if answer.Below, err = Nonconforming(*q.Low, q.N); err != nil {
			return ByM{}, err
		}
	}
	if q.High != nil {
		if answer.Above, err = Nonconforming(*q.High, q.N); err != nil {
			return ByM{}, err
		}
	}
	answer.Total = answer.Below + answer.Above
	answer.Accept = answer.Total <= most
	return answer, nil
}

// Nonconforming estimates the fraction beyond a limit from the quality index of
// n normally distributed values, n at least 3, without bias and with least
// variance:
//
//	p = I_x(n/2 - 1, n/2 - 1),   x = max(0, 1/2 - Q sqrt(n) / (2 (n - 1))),
//
// I the regularised incomplete beta function (Lieberman and Resnikoff, Journal
// of the American Statistical Association 50, 1955), the tables of MIL-STD-414.
func Nonconforming(q float64, n int) (float64, error) {
	if err := checkWhole("n", n, 3, MaxMeasured); err != nil {
		return 0, err
	}
	if err := checkFinite("Q", q); err != nil {
		return 0, err
	}
	shape := float64(n)/2 - 1
	x := 0.5 - q*math.Sqrt(float64(n))/(2*float64(n-1))
	return stats.BetaBelow(min(max(x, 0), 1), shape, shape)
}
