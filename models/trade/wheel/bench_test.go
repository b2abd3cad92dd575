package wheel

import "testing"

// One lateral or radial set of a wheel of 36 spokes; a demonstration shop reduces
// thousands of them at its first start.
func BenchmarkAnalyseRunOut(b *testing.B) {
	y := waves(36, 0.1, Harmonic{1, 0.12, 40}, Harmonic{2, 0.18, -75}, Harmonic{3, 0.05, 110}, Harmonic{9, 0.02, 5})
	for b.Loop() {
		if _, err := AnalyseRunOut(y, nil); err != nil {
			b.Fatal(err)
		}
	}
}
