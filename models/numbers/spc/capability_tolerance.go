package spc

import (
	"errors"
	"math"
)

// ErrTolerance: no limit at all, or limits that leave no room between them.
var ErrTolerance = errors.New("tolerance cannot be used")

// Tolerance are the limits that a characteristic has to keep; nil where there
// is none on that side. Target is the wanted value, which need not be the
// middle, nor even lie between them.
type Tolerance struct {
	Low, High, Target *float64
}

func (t Tolerance) check() error {
	for _, limit := range []struct {
		name  string
		value *float64
	}{{"low", t.Low}, {"high", t.High}, {"target", t.Target}} {
		if limit.value != nil && !finite(*limit.value) {
			return wrong(limit.name, ErrTolerance, "%v", *limit.value)
		}
	}
	switch {
	case t.Low == nil && t.High == nil:
		return wrong("low, high", ErrTolerance, "no limit on either side")
	case t.Low != nil && t.High != nil && *t.Low >= *t.High:
		return wrong("low", ErrTolerance, "low limit %v is not below the high limit %v", *t.Low, *t.High)
	}
	return nil
}

// twoSided reports whether there are both limits.
func (t Tolerance) twoSided() bool { return t.Low != nil && t.High != nil }

// indices of a process whose middle part lies at centre and reaches below and
// above it by the lengths given, in units of these lengths: both limits
// together, each alone, and the lesser of the two.
func (t Tolerance) indices(centre, below, above float64) (both, low, high *float64, least float64) {
	least = math.Inf(1)
	if t.Low != nil {
		v := (centre - *t.Low) / below
		low, least = &v, v
	}
	if t.High != nil {
		v := (*t.High - centre) / above
		high, least = &v, min(least, v)
	}
	if t.twoSided() {
		v := (*t.High - *t.Low) / (below + above)
		both = &v
	}
	return both, low, high, least
}
