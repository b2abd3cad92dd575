package gauge_test

import (
	"errors"
	"fmt"

	"tracewright/models/numbers/gauge"
)

// A spoke tension gauge with its table for one spoke: dial to newtons.
func ExampleNewCurve() {
	curve, err := gauge.NewCurve([]gauge.Point{{Reading: 14, Value: 400}, {Reading: 17, Value: 600}, {Reading: 19.5, Value: 800}}, gauge.Linear, true)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(curve.Value(18))
	_, err = curve.Value(13.9)
	fmt.Println(errors.Is(err, gauge.ErrOutOfCalibratedRange))
	// Output:
	// 680 <nil>
	// true
}

// A dial whose repeats scatter by 0.03 mm, read nine times, and its step of
// 0.01 mm: a hundredth from the one, hardly anything from the other.
func ExampleCombine() {
	budget, err := gauge.Combine([]gauge.Component{
		{Name: "repeats", Shape: gauge.Repeats, Value: 0.03, N: 9},
		{Name: "step", Shape: gauge.Resolution, Value: 0.01},
	}, 0.95)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("uc %.4f mm with %v degrees of freedom\n", budget.Combined, budget.DoFUsed)
	// uc^2 = 0.01^2 + 0.01^2/12; nu_eff = 8 (13/12)^2 = 9.4.
	// Output: uc 0.0104 mm with 9 degrees of freedom
}
