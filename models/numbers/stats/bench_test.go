package stats

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/stat"
)

// tenMillion are values with a slow swing and a jump now and then.
func tenMillion() []float64 {
	x := make([]float64, 10_000_000)
	for i := range x {
		x[i] = 12.86 + 0.01*math.Sin(float64(i)) + 0.002*float64(i*7919%101)/101
	}
	return x
}

// BenchmarkSummary and BenchmarkMeanStdDev are read side by side: the former may
// take 1.5 times the latter, which does not compare neighbours.
func BenchmarkSummary(b *testing.B) {
	x := tenMillion()
	b.ReportAllocs()
	for b.Loop() {
		if _, err := Summarise(x); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkMeanStdDev(b *testing.B) {
	x := tenMillion()
	for b.Loop() {
		stat.MeanStdDev(x, nil)
	}
}
