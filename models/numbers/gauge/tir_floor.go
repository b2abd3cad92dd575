package gauge

import "tracewright/models/numbers/spc"

// NoiseFloor is what a total indicator reading shows of a perfect profile.
type NoiseFloor struct {
	Points   int
	Mean, SD float64 // d2 sigma and d3 sigma.
	D2, D3   float64
}

// TIRNoiseFloor returns the total that noise alone reads at so many points of a
// profile without any run-out: the range of n independent normal values, with
// mean d2(n) sigma and standard deviation d3(n) sigma. Noise of 0.01 mm read at
// 36 spokes shows 0.042 mm on a perfect rim. Points are 2 to
// [spc.MaxSubgroup].
func TIRNoiseFloor(points int, sigma float64) (NoiseFloor, error) {
	if err := checkNotNegative("noise", sigma); err != nil {
		return NoiseFloor{}, err
	}
	c, err := spc.For(points)
	if err != nil {
		return NoiseFloor{}, about("points", err)
	}
	f := NoiseFloor{Points: points, D2: c.D2, D3: c.D3, Mean: c.D2 * sigma, SD: c.D3 * sigma}
	return f, checkFinite("noise", f.Mean)
}
