package stats

import (
	"errors"
	"math"
	"testing"
)

// Two checks that 10 and 20 of 100 fail: 0.9 x 0.8 = 0.72. The Wilson intervals of
// 10 and 20 of 100 are 0.0552 to 0.1744 and 0.1334 to 0.2888 (Brown, Cai and
// DasGupta's formula, worked by hand to four places), so that on logarithms
//
//	0.10536 (0.05678 to 0.19164) and 0.22314 (0.14318 to 0.34080)
//	sum 0.32850; below sqrt(0.04858^2 + 0.07996^2) = 0.09356,
//	above sqrt(0.08628^2 + 0.11766^2) = 0.14590
//
// and the yield lies between exp(-0.47440) = 0.6223 and exp(-0.23494) = 0.7906.
func TestRolledYieldByHand(t *testing.T) {
	y, err := RolledYield([]int{10, 20}, 100)
	if err != nil || math.Abs(y.Estimate-0.72) > 1e-12 || math.Abs(y.Low-0.6223) > 2e-4 || math.Abs(y.High-0.7906) > 2e-4 {
		t.Errorf("%+v, %v; want 0.72, 0.6223 to 0.7906", y, err)
	}
}

func TestRolledYieldAtItsEdges(t *testing.T) {
	for _, c := range []struct {
		name   string
		failed []int
		of     int
		want   Yield
	}{
		{"nothing is checked", nil, 10, Yield{1, 1, 1}},
		// Of 0 of 10 the Wilson interval ends at z^2/(10+z^2) = 3.8415/13.8415 = 0.2775.
		{"nothing failed", []int{0}, 10, Yield{1, 1 - 0.2775, 1}},
		{"everything failed", []int{10, 0}, 10, Yield{0, 0, 0.2775}},
	} {
		y, err := RolledYield(c.failed, c.of)
		if err != nil || math.Abs(y.Estimate-c.want.Estimate) > 1e-9 || math.Abs(y.Low-c.want.Low) > 1e-4 || math.Abs(y.High-c.want.High) > 1e-4 {
			t.Errorf("%s: %+v, %v; want %+v", c.name, y, err, c.want)
		}
	}
	for _, c := range []struct {
		failed []int
		of     int
	}{{[]int{1}, 0}, {[]int{-1}, 5}, {[]int{6}, 5}} {
		if _, err := RolledYield(c.failed, c.of); !errors.Is(err, ErrOutOfRange) {
			t.Errorf("%v of %d: %v", c.failed, c.of, err)
		}
	}
}

// Five amounts of 10: 50 +- 1.96 x sqrt(5 x 100) = 50 +- 43.83. Of amounts as
// unequal as 1, 1, 1, 1 and 100 the lower limit is cut at 0.
func TestSumInterval(t *testing.T) {
	i, err := SumInterval(50, 500, 5)
	if err != nil || math.Abs(i.Low-6.17) > 0.01 || math.Abs(i.High-93.83) > 0.01 {
		t.Errorf("%+v, %v", i, err)
	}
	if i, err = SumInterval(104, 10004, 5); err != nil || i.Low != 0 {
		t.Errorf("%+v, %v", i, err)
	}
	if _, err = SumInterval(40, 400, 4); !errors.Is(err, ErrTooFew) {
		t.Errorf("four amounts: %v", err)
	}
}
