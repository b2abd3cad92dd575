package finder

import (
	"math"
	"testing"

	"tracewright/models/numbers/life"
)

// What is to be expected of a lot is told by the others, as the page of returns does.
// Of four others two came back, at 10 days of four and at 30 days of two in use, so that
// the hazard is 1/4 by 10 days and 1/4 + 1/2 by 30; the lot's own three returns are no
// part of it.
func TestWhatIsExpectedIsToldByTheOthers(t *testing.T) {
	failed := func(days float64) life.Observation { return life.Observation{Time: days, Failed: true, Count: 1} }
	still := func(days float64) life.Observation { return life.Observation{Time: days, Count: 1} }
	others := []life.Observation{failed(10), still(20), failed(30), still(40)}
	lot := []life.Observation{failed(5), failed(12), failed(35), still(40)}
	got, err := expectedOf(lot, others)
	if want := 0 + 0.25 + 0.75 + 0.75; err != nil || math.Abs(got-want) > 1e-12 {
		t.Errorf("%v, %v, want %v", got, err, want)
	}
	if got, err = expectedOf(lot, []life.Observation{still(20)}); err != nil || got != 0 {
		t.Errorf("of others none of which came back: %v, %v", got, err)
	}
}
