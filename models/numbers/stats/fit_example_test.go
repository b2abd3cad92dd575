package stats_test

import (
	"fmt"

	"tracewright/models/numbers/stats"
)

// The eccentricities of wheels, in mm, as lengths of vectors: sigma is the root
// of half the mean square, here of (1 + 49)/2/2 hundredths of mm^2.
func ExampleFit() {
	d, err := stats.Fit(stats.ShapeRayleigh, []float64{0.1, 0.7})
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, p := range d.Parameters() {
		fmt.Printf("%s %.4f mm\n", p.Name, p.Value)
	}
	// Output: sigma 0.3536 mm
}
