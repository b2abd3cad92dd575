package gauge

import (
	"fmt"

	"tracewright/models/numbers/spc"
)

// NoiseFloor is what a total indicator reading shows of a perfect profile.
type NoiseFloor struct {
	Points   int
	Mean, SD float64 // d2 sigma and d3 sigma.
	D2, D3   float64
}

// TIRNoiseFloor returns the total that noise alone reads at so many points of a
// profile without any run-out: the range of n independent normal values, with
// mean d2(n) sigma and standard deviation d3(n) sigma. Noise of 0.01 mm read at
// 36 spokes shows 0.042 mm on a perfect rim. Points are 2 to [MostPoints]; above
// [spc.MaxSubgroup] the constants are those of a level profile by NoisyTIR.
func TIRNoiseFloor(points int, sigma float64) (NoiseFloor, error) {
	if err := checkNotNegative("noise", sigma); err != nil {
		return NoiseFloor{}, err
	}
	d2, d3, err := rangeOf(points)
	if err != nil {
		return NoiseFloor{}, err
	}
	f := NoiseFloor{Points: points, D2: d2, D3: d3, Mean: d2 * sigma, SD: d3 * sigma}
	return f, checkFinite("noise", f.Mean)
}

// rangeOf returns d2 and d3, mean and standard deviation of the range of n
// independent standard normal values.
func rangeOf(n int) (d2, d3 float64, err error) {
	if n < 2 || n > MostPoints {
		return 0, 0, outside("points", n, fmt.Sprintf("must lie from 2 to %d", MostPoints))
	}
	if n > spc.MaxSubgroup {
		level, err := NoisyTIR(make([]float64, n), 1)
		return level.Mean, level.SD, err
	}
	c, err := spc.For(n)
	return c.D2, c.D3, about("points", err)
}
