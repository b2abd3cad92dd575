package stats

import (
	"math"
	"testing"
)

// Ten of twenty: 27.2 to 72.8 %, as tables of Clopper and Pearson's limits have it.
func TestShareOf(t *testing.T) {
	s, err := ShareOf(10, 20, 20)
	if err != nil || s.Few || math.Abs(s.Interval.Low-0.272) > 5e-4 || math.Abs(s.Interval.High-0.728) > 5e-4 {
		t.Errorf("10 of 20: %+v, %v", s, err)
	}
	if s, err := ShareOf(10, 19, 20); err != nil || !s.Few {
		t.Errorf("10 of 19: %+v, %v; want few", s, err)
	}
	if s, err := ShareOf(0, 0, 20); err != nil || !s.Few || s.Interval != (Interval{}) {
		t.Errorf("none of none: %+v, %v", s, err)
	}
	if _, err := ShareOf(3, 2, 20); err == nil {
		t.Error("3 of 2 is taken for a share")
	}
}
