package pdf

import (
	"math"
	"testing"
)

// Coordinates are written with two decimals at most, and as short as they are.
func TestNumber(t *testing.T) {
	for v, want := range map[float64]string{
		0: "0", -0.004: "0", 0.006: "0.01", -0.006: "-0.01", 1: "1", -1: "-1", 12.5: "12.5", 12.34: "12.34", 12.345678: "12.35",
		0.05: "0.05", -0.05: "-0.05", 100.1: "100.1", 841.89: "841.89", 99.999: "100", -99.999: "-100", 1e9: "1000000000",
		math.Inf(1): "0", math.NaN(): "0",
	} {
		if got := number(v); got != want {
			t.Errorf("%v is written %q, want %q", v, got, want)
		}
	}
}
