package wheel

import (
	"errors"
	"fmt"
	"math"
	"testing"

	"gonum.org/v1/gonum/mat"
	"pgregory.net/rapid"

	"tracewright/testdata/cases"
)

// Wheels of bicycles and light vehicles, from narrow to fat.
func drawBuild(t *rapid.T) Build {
	alike := rapid.Bool().Draw(t, "sides alike")
	radius := rapid.Float64Range(140, 310).Draw(t, "rim radius")
	flange := rapid.Float64Range(25, 0.38*radius).Draw(t, "flange radius")
	offset := rapid.Float64Range(16, 35).Draw(t, "flange offset")
	b := Build{
		Geometry: Geometry{
			Spokes: rapid.SampledFrom([]int{24, 28, 32, 36}).Draw(t, "spokes"), RimRadius: radius,
			NippleInset: rapid.Float64Range(0, 10).Draw(t, "inset"), FlangeRadiusA: flange, FlangeRadiusB: flange,
			FlangeOffsetA: offset, FlangeOffsetB: offset, SpokeE: 200000,
			Profile:        []Segment{{Diameter: rapid.Float64Range(1.8, 2.6).Draw(t, "wire")}},
			SeatCompliance: rapid.Float64Range(0, 1e-4).Draw(t, "seat"),
		},
		EA: 1.1e7, InPlaneEI: rapid.Float64Range(0.9e8, 2.5e8).Draw(t, "EI in plane"),
		OutOfPlaneEI: rapid.Float64Range(1.5e8, 1.3e9).Draw(t, "EI out of plane"), GJ: rapid.Float64Range(3e7, 2.6e8).Draw(t, "GJ"),
		TensionA: rapid.Float64Range(800, 1100).Draw(t, "tension"), GaugeOutset: 6, PitchMM: 0.4536, Waves: 14,
	}
	b.CrossA = rapid.IntRange(0, 2).Draw(t, "crossing")
	b.CrossB = b.CrossA
	if !alike {
		b.FlangeOffsetB = offset * rapid.Float64Range(1.1, 1.5).Draw(t, "side B")
	}
	return b
}

// The influence of the cases, computed independently of this code, as the
// cases' own tolerance asks: 1e-6 of the largest of a column.
func TestInfluenceCases(t *testing.T) {
	for _, c := range cases.OfKind(t, "influence") {
		t.Run(c.ID, func(t *testing.T) {
			in := cases.Decode[struct{ Turn float64 }](t, c.Input)
			want := cases.Decode[struct {
				Columns []struct {
					Spoke   int
					Tension []float64 `json:"d_tension_N"`
					Radial  []float64 `json:"d_radial_mm"`
					Lateral []float64 `json:"d_lateral_mm"`
				}
			}](t, c.Expected)
			f := caseModel(t, c).Influence()
			for _, column := range want.Columns {
				for _, part := range []struct {
					name string
					got  *mat.Dense
					want []float64
				}{{"tension", f.Tension, column.Tension}, {"radial", f.Radial, column.Radial}, {"lateral", f.Lateral, column.Lateral}} {
					low, high := extremes(part.want)
					for i, w := range part.want {
						near(t, fmt.Sprintf("%s of spoke %d at %d", part.name, column.Spoke, i), in.Turn*part.got.At(i, column.Spoke), w, 1e-6*math.Max(-low, high))
					}
				}
			}
		})
	}
}

// With radial spokes, sides alike and nipples at the centroid a uniform turn
// has a closed form, which knows nothing of waves or matrices.
func TestModelAgainstClosedForm(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := drawBuild(t)
		b.CrossA, b.CrossB, b.NippleInset, b.GaugeOutset = 0, 0, 0, 0
		b.FlangeOffsetB, b.Waves = b.FlangeOffsetA, 4 // below a quarter of the spokes: nothing aliases
		m, err := NewModel(b)
		if err != nil {
			t.Fatal(err)
		}
		want, err := b.Uniform(0.5)
		if err != nil {
			t.Fatal(err)
		}
		all, dished := make([]float64, b.Spokes), make([]float64, b.Spokes)
		for j := range all {
			all[j], dished[j] = 0.5, []float64{0.5, -0.5}[j%2]
		}
		f := m.Influence()
		for _, row := range []struct {
			name  string
			turns []float64
			of    func(Changed) float64
			want  float64
		}{
			{"radial", all, func(c Changed) float64 { return c.Radial[3] }, want.Radial},
			{"tension", all, func(c Changed) float64 { return c.Tension[2] }, want.DTension},
			{"dish", dished, func(c Changed) float64 { return c.Lateral[5] }, want.Dished},
			{"tension when dishing", dished, func(c Changed) float64 { return c.Tension[4] }, want.DTensionA},
		} {
			c, err := f.Of(row.turns)
			if err != nil {
				t.Fatal(err)
			}
			if got := row.of(c); !(math.Abs(got-row.want) <= 1e-7*math.Abs(row.want)) {
				t.Errorf("%s: got %.12g, want %.12g", row.name, got, row.want)
			}
		}
	})
}

// What a turn of spoke i does to j, a turn of j does to i (Betti's theorem).
func TestTensionInfluenceIsSymmetric(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m, err := NewModel(drawBuild(t))
		if err != nil {
			t.Fatal(err)
		}
		a := m.Influence().Tension
		largest := mat.Max(a)
		for i := range m.Spokes() {
			for j := range i {
				if apart := math.Abs(a.At(i, j) - a.At(j, i)); apart > 1e-9*largest {
					t.Fatalf("%d on %d: %.12g, %d on %d: %.12g", i, j, a.At(i, j), j, i, a.At(j, i))
				}
			}
		}
	})
}

// A wheel looks alike from every fourth spoke, and, where its sides are alike,
// turned over between spokes 1 and 2: spoke j becomes 3-j and lateral changes
// sign.
func TestInfluenceOfTurnedWheels(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := drawBuild(t)
		m, err := NewModel(b)
		if err != nil {
			t.Fatal(err)
		}
		f, n := m.Influence(), b.Spokes
		moved := []struct {
			name string
			to   func(int) int
			sign float64
		}{{"rotated", func(j int) int { return (j + 4) % n }, 1}}
		if b.SidesAlike() {
			moved = append(moved, struct {
				name string
				to   func(int) int
				sign float64
			}{"turned over", func(j int) int { return (3 - j + n) % n }, -1})
		}
		for _, v := range moved {
			for i := range n {
				for j := range n {
					for _, part := range []struct {
						name string
						of   *mat.Dense
						sign float64
					}{{"tension", f.Tension, 1}, {"radial", f.Radial, 1}, {"lateral", f.Lateral, v.sign}} {
						here, there := part.of.At(i, j), part.sign*part.of.At(v.to(i), v.to(j))
						if math.Abs(here-there) > 1e-8*mat.Max(part.of) {
							t.Fatalf("%s %s %d,%d: %.12g and %.12g", v.name, part.name, i, j, here, there)
						}
					}
				}
			}
		}
	})
}

// Input that makes no wheel names its field.
func TestModelRefusals(t *testing.T) {
	good := cases.Decode[struct{ Wheel buildJSON }](t, cases.OfKind(t, "influence")[0].Input).Wheel.build()
	for _, row := range []struct {
		name, field string
		change      func(*Build)
	}{
		{"no tension", "tension_A", func(b *Build) { b.TensionA = 0 }},
		{"tension beyond any spoke", "tension_A", func(b *Build) { b.TensionA = 1e6 }},
		{"rim that buckles", "tension_A", func(b *Build) { b.OutOfPlaneEI, b.GJ, b.FlangeOffsetA, b.FlangeOffsetB = 1e3, 1e3, 0.01, 0.01 }},
		{"no twist stiffness", "rim_GJ", func(b *Build) { b.GJ = 0 }},
		{"no waves", "harmonics", func(b *Build) { b.Waves = 1 }},
		{"too many waves", "harmonics", func(b *Build) { b.Waves = 1000 }},
		{"too many spokes", "spokes", func(b *Build) { b.Spokes = 400 }},
		{"pitch of nothing", "pitch_mm_per_turn", func(b *Build) { b.PitchMM = 0 }},
		{"no number", "rim_EA", func(b *Build) { b.EA = math.NaN() }},
	} {
		t.Run(row.name, func(t *testing.T) {
			b := good
			row.change(&b)
			_, err := NewModel(b)
			var field *FieldError
			if !errors.As(err, &field) || field.Field != row.field {
				t.Errorf("got %v, want a refusal of %s", err, row.field)
			}
		})
	}
}

func TestExpectedRatioApplies(t *testing.T) {
	for _, row := range []struct {
		name    string
		a, b    float64
		applies bool
	}{{"dished", 17, 26, true}, {"symmetric", 23, 23, false}, {"nearly", 23, 24, false}, {"one-sided", 0, 26, false}} {
		g := geometry26()
		g.FlangeOffsetA, g.FlangeOffsetB = row.a, row.b
		if ratio, applies := g.ExpectedRatioApplies(); applies != row.applies || applies && ratio <= 1 {
			t.Errorf("%s: got %v, %v", row.name, ratio, applies)
		}
	}
}

// geometry26 is the dished 26 inch wheel of the cases.
func geometry26() Geometry {
	return Geometry{
		Spokes: 36, RimRadius: 273.5, NippleInset: 8, FlangeRadiusA: 104, FlangeRadiusB: 104, FlangeOffsetA: 17, FlangeOffsetB: 26,
		CrossA: 1, CrossB: 1, SpokeE: 200000, Profile: []Segment{{Diameter: 2.6}},
	}
}
