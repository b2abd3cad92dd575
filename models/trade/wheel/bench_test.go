package wheel

import (
	"testing"

	"tracewright/testdata/cases"
)

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

// benchBuild is the 20 inch wheel of the cases with some count of spokes.
func benchBuild(b *testing.B, spokes int) Build {
	build := cases.Decode[struct{ Wheel buildJSON }](b, cases.OfKind(b, "prescription")[0].Input).Wheel.build()
	build.Spokes, build.Waves = spokes, spokes
	return build
}

// benchTask repeats the readings of the case round a wheel of other spokes.
func benchTask(b *testing.B, spokes int) Task {
	task := caseTask(b, cases.OfKind(b, "prescription")[0])
	for _, set := range []*[]float64{&task.Lateral, &task.Radial, &task.Tension} {
		for j := len(*set); j < spokes; j++ {
			*set = append(*set, (*set)[j-36])
		}
	}
	return task
}

// The model is made once for a build and mean tension.
func BenchmarkModel(b *testing.B) {
	build := benchBuild(b, 36)
	for b.Loop() {
		m, err := NewModel(build)
		if err != nil {
			b.Fatal(err)
		}
		m.Influence()
	}
}

// Wanted: under 20 ms for 36 spokes.
func BenchmarkOptimum36(b *testing.B) {
	m, err := NewModel(benchBuild(b, 36))
	if err != nil {
		b.Fatal(err)
	}
	f, task := m.Influence(), benchTask(b, 36)
	for b.Loop() {
		p, err := NewPlan(f, task)
		if err != nil {
			b.Fatal(err)
		}
		if _, _, _, err := p.Optimum(); err != nil {
			b.Fatal(err)
		}
	}
}

// Wanted: under 250 ms for 36 spokes and 400 ms for 48, all lists, the model
// included.
func BenchmarkPrescribe36(b *testing.B) { benchPrescribe(b, 36) }
func BenchmarkPrescribe48(b *testing.B) { benchPrescribe(b, 48) }

func benchPrescribe(b *testing.B, spokes int) {
	build, task := benchBuild(b, spokes), benchTask(b, spokes)
	for b.Loop() {
		m, err := NewModel(build)
		if err != nil {
			b.Fatal(err)
		}
		if _, err := Prescribe(m, task); err != nil {
			b.Fatal(err)
		}
	}
}

// The hardest of the cases: it ends at its ceiling, so that several endings
// have to be tried.
func BenchmarkPrescribeAtCeiling(b *testing.B) {
	c := cases.OfKind(b, "prescription")[1]
	m, task := caseModel(b, c), caseTask(b, c)
	for b.Loop() {
		if _, err := Prescribe(m, task); err != nil {
			b.Fatal(err)
		}
	}
}
