package wheel

import (
	"errors"
	"math"
	"testing"

	"pgregory.net/rapid"

	"tracewright/testdata/cases"
)

// What the table of a gauge may never do: leave the interval of two neighbours,
// turn back, or answer outside its ends.
func TestGaugeTableProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		sign := rapid.SampledFrom([]float64{1, -1}).Draw(t, "rises")
		points := []TablePoint{{0, 5000}}
		for range rapid.IntRange(1, 8).Draw(t, "points") {
			last := points[len(points)-1]
			points = append(points, TablePoint{last.Reading + rapid.Float64Range(0.01, 3).Draw(t, "step"), last.TensionN + sign*rapid.Float64Range(1, 500).Draw(t, "rise")})
		}
		table, err := NewGaugeTable("G-7", "2.0", points)
		if err != nil {
			t.Fatal(err)
		}
		last := points[len(points)-1]
		before := points[0].TensionN
		for k := range 101 {
			at := math.Min(last.Reading, last.Reading*float64(k)/100)
			v, err := table.Tension(at)
			if err != nil || sign*(v-before) < -1e-9 {
				t.Fatalf("at %g: %g after %g, %v", at, v, before, err)
			}
			before = v
		}
		for _, p := range points {
			if v, err := table.Tension(p.Reading); err != nil || math.Abs(v-p.TensionN) > 1e-9*p.TensionN {
				t.Fatalf("at the point %g: %g, want %g, %v", p.Reading, v, p.TensionN, err)
			}
		}
		for _, at := range []float64{-1e-6, last.Reading + 1e-6} {
			if v, err := table.Tension(at); !errors.Is(err, ErrOutOfTable) {
				t.Fatalf("outside, at %g: %g, %v", at, v, err)
			}
		}
	})
}

func TestGaugeTableRefusals(t *testing.T) {
	for _, row := range []struct {
		name   string
		points []TablePoint
		want   error
	}{
		{"one point", []TablePoint{{1, 400}}, ErrInput},
		{"turns back", []TablePoint{{1, 400}, {2, 600}, {3, 500}}, ErrNotMonotone},
		{"stands still", []TablePoint{{1, 400}, {2, 400}}, ErrNotMonotone},
		{"readings turn back", []TablePoint{{1, 400}, {2, 500}, {1.5, 600}}, ErrInput},
		{"falling readings turn back", []TablePoint{{2, 400}, {1, 500}, {1.5, 600}}, ErrInput},
		{"a reading twice", []TablePoint{{1, 400}, {1, 600}}, ErrInput},
		{"no number", []TablePoint{{1, math.NaN()}, {2, 600}}, ErrInput},
	} {
		if _, err := NewGaugeTable("G-7", "2.0", row.points); !errors.Is(err, row.want) {
			t.Errorf("%s: %v", row.name, err)
		}
	}
	table, err := NewGaugeTable("G-7", "2.0", []TablePoint{{1, 400}, {2, 600}})
	if err != nil {
		t.Fatal(err)
	}
	if err := table.For("G-7", "2.0"); err != nil {
		t.Errorf("its own: %v", err)
	}
	for _, other := range [][2]string{{"G-8", "2.0"}, {"G-7", "2.6"}} {
		if err := table.For(other[0], other[1]); !errors.Is(err, ErrOtherTable) {
			t.Errorf("%v: %v", other, err)
		}
	}
}

// The cases were computed independently and checked with beam finite elements.
func TestPitchCases(t *testing.T) {
	for _, c := range cases.OfKind(t, "pitch_to_tension") {
		in := cases.Decode[struct {
			Free     float64      `json:"free_length_m"`
			Segments [][2]float64 `json:"segments_m"`
			Hz       float64      `json:"frequency_hz"`
			E        float64      `json:"E_Pa"`
			Density  float64      `json:"density"`
		}](t, c.Input)
		want := cases.Decode[struct {
			String  float64 `json:"tension_string_N"`
			Hinged  float64 `json:"tension_pinned_N"`
			Clamped float64 `json:"tension_clamped_N"`
		}](t, c.Expected)
		p := Plucked{FreeLengthM: in.Free, E: in.E, Density: in.Density}
		for _, s := range in.Segments {
			p.Stretches = append(p.Stretches, PluckedStretch{s[0], s[1]})
		}
		got, err := p.Tension(in.Hz)
		if err != nil {
			t.Fatal(err)
		}
		near(t, c.ID+" string", got.StringN, want.String, 1e-6*want.String)
		near(t, c.ID+" hinged", got.HingedN, want.Hinged, 1e-6*want.Hinged)
		near(t, c.ID+" clamped", got.ClampedN, want.Clamped, 1e-6*want.Clamped)
	}
}

// A long thin wire is a string: its ends hardly matter, and its second pitch
// without tension lies far below the one heard.
func TestThinWireIsAString(t *testing.T) {
	p := Plucked{FreeLengthM: 1, E: 2e11, Density: 7850, Stretches: []PluckedStretch{{1, 0.0005}}}
	got, err := p.Tension(400)
	if err != nil {
		t.Fatal(err)
	}
	mass := 7850 * math.Pi * 0.0005 * 0.0005 / 4
	near(t, "string", got.StringN, 4*mass*400*400, 1e-9)
	near(t, "clamped", got.ClampedN, got.StringN, 0.01*got.StringN)
	if !got.ClampedKnown || got.ClampedN >= got.HingedN {
		t.Errorf("got %+v", got)
	}
}

func TestPitchRefusals(t *testing.T) {
	good := Plucked{FreeLengthM: 0.2, E: 2e11, Density: 7850, Stretches: []PluckedStretch{{0.2, 0.0023}}}
	if _, err := good.Tension(20); !errors.Is(err, ErrInput) {
		t.Errorf("slack spoke: %v", err)
	}
	short := good
	short.FreeLengthM = 0.25
	if _, err := short.Tension(480); !errors.Is(err, ErrInput) {
		t.Errorf("stretches that do not add up: %v", err)
	}
	thick, err := (Plucked{FreeLengthM: 0.1, E: 2e11, Density: 7850, Stretches: []PluckedStretch{{0.1, 0.0026}}}).Tension(600)
	if err == nil && thick.ClampedKnown {
		t.Errorf("a clamped wire of 2.6 mm and 100 mm rings higher without tension: %+v", thick)
	}
}

// By hand: pitches 400 400 420 440 800, median 420; 400 is (400/420)^2 - 1 =
// -9.297 %, 440 is +9.751 %, 800 is about twice.
func TestRelativeByPitch(t *testing.T) {
	got, err := RelativeByPitch([]int{0, 2, 4, 6, 8}, []float64{400, 400, 420, 440, 800})
	if err != nil {
		t.Fatal(err)
	}
	for i, want := range []float64{-9.2970521542, -9.2970521542, 0, 9.7505668934} {
		near(t, "relative", got[i].RelPct, want, 1e-8)
	}
	if !got[4].Partial || got[3].Partial {
		t.Errorf("wrong partial: %+v", got)
	}
	if _, err := RelativeByPitch([]int{0, 1, 2}, []float64{400, 400, 400}); !errors.Is(err, ErrInput) {
		t.Errorf("both sides: %v", err)
	}
}

// Saddle test of the bench: (4 P R^3/pi)(0.0278017/GJ + 0.1120756/EI), the
// closed form with its constants to seven digits.
func TestSaddleClosedForm(t *testing.T) {
	r := Rim{Radius: 273.5, EA: 1.1e7, InPlaneEI: 1.6e8, OutOfPlaneEI: 5.5e8, GJ: 1.2e8}
	want := 4 * 100 * cube(r.Radius) / math.Pi * (0.0278017/r.GJ + 0.1120756/r.OutOfPlaneEI)
	near(t, "saddle", r.SaddleDeflection(100), want, 2e-6*want)
	// 0.14878 P R^3/EI, Timoshenko, to five digits.
	pinch := 0.14878 * 100 * cube(r.Radius) / r.InPlaneEI
	near(t, "pinch", r.PinchDiameterChange(100), pinch, 5e-5*pinch)
}

// By hand: 980 N rising, 1000 N falling.
func TestHysteresis(t *testing.T) {
	mean, half := Hysteresis(980, 1000)
	near(t, "mean", mean, 990, 0)
	near(t, "half the difference", half, 10, 0)
}
