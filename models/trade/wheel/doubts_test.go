package wheel

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"testing"
)

// codes lists the doubts as "code@spoke".
func codes(doubts []Doubt) []string {
	list := []string{}
	for _, d := range doubts {
		list = append(list, fmt.Sprintf("%s@%d", d.Code, d.Spoke))
	}
	return list
}

// with gives a copy of a set with some values changed.
func with(y []float64, changes map[int]float64) []float64 {
	changed := slices.Clone(y)
	for i, v := range changes {
		changed[i] = v
	}
	return changed
}

// ones gives a set of one value.
func ones(n int, v float64) []float64 { return slices.Repeat([]float64{v}, n) }

// tensions gives a wheel of 36 spokes, A and B at one tension each.
func tensions(a, b float64, changes map[int]float64) (spokes []int, tension []float64) {
	for j := range 36 {
		spokes = append(spokes, j)
		tension = append(tension, []float64{a, b}[j%2])
	}
	return spokes, with(tension, changes)
}

// Limits: common practice, no source (second difference 0.3 mm, four equal
// readings, 0.5 mm from the dish gauge, correlation -0.7, 20 % off the side).
func TestDoubts(t *testing.T) {
	lateral := waves(36, 0.05, Harmonic{1, 0.1, 20}, Harmonic{2, 0.1, -50})
	radial := waves(36, 0, Harmonic{1, 0.2, 0})
	flat := ones(36, 0.1)
	dish := func(mm float64) *float64 { return &mm }
	negative := waves(36, -0.05, Harmonic{1, -0.1, 20}, Harmonic{2, -0.1, -50})
	tension := func(a, b float64, changes map[int]float64) Measured {
		m := Measured{TensionUnit: "N"}
		m.TensionSpokes, m.Tension = tensions(a, b, changes)
		return m
	}
	swapped := tension(724, 1100, nil)
	swapped.ExpectedRatio = 1.52

	for _, row := range []struct {
		name string
		m    Measured
		want []string
	}{
		{"nothing read", Measured{}, nil},
		{"a quiet wheel", Measured{Lateral: lateral, Radial: radial}, nil},

		{"spike of 0.15 mm, second difference 0.3, is quiet", Measured{Lateral: with(flat, map[int]float64{10: 0.25})}, nil},
		{"a hundredth more", Measured{Lateral: with(flat, map[int]float64{10: 0.26})}, []string{"lateral_spike@10"}},
		{"a spike doubts one station only", Measured{Lateral: with(flat, map[int]float64{10: 0.9})}, []string{"lateral_spike@10"}},
		{"a dent is a spike", Measured{Radial: with(flat, map[int]float64{35: -0.2})}, []string{"radial_spike@35"}},
		{"spike at station 0", Measured{Lateral: with(flat, map[int]float64{0: 0.5})}, []string{"lateral_spike@0"}},

		{"four equal while the rim moves", Measured{Lateral: with(lateral, map[int]float64{6: 0.1, 7: 0.1, 8: 0.1, 9: 0.1}), Radial: radial}, []string{"gauge_stuck@6"}},
		{"three equal", Measured{Lateral: with(lateral, map[int]float64{6: 0.1, 7: 0.1, 8: 0.1}), Radial: radial}, nil},
		{"four equal over the first spoke", Measured{Lateral: with(lateral, map[int]float64{34: 0.1, 35: 0.1, 0: 0.1, 1: 0.1}), Radial: with(radial, map[int]float64{35: 0.3})}, []string{"gauge_stuck@34"}},
		{"all equal while the rim moves", Measured{Lateral: flat, Radial: radial}, []string{"gauge_stuck@0"}},
		{"all equal, radial still as well", Measured{Lateral: flat, Radial: flat}, nil},
		{"radial moves 0.05 mm", Measured{Lateral: flat, Radial: with(flat, map[int]float64{5: 0.15})}, []string{"gauge_stuck@0"}},
		{"radial moves 0.04 mm", Measured{Lateral: flat, Radial: with(flat, map[int]float64{5: 0.14})}, nil},
		{"radial not read", Measured{Lateral: flat}, nil},

		{"mean 0.5 mm from the dish gauge", Measured{Lateral: flat, DishOffset: dish(0.6)}, nil},
		{"a hundredth more than that", Measured{Lateral: flat, DishOffset: dish(0.61)}, []string{"gauge_not_zeroed@-1"}},
		{"on the other side", Measured{Lateral: flat, DishOffset: dish(-0.41)}, []string{"gauge_not_zeroed@-1"}},

		{"mirror image of the set before", Measured{Lateral: lateral, Previous: negative}, []string{"other_flank@-1"}},
		{"the set before again", Measured{Lateral: lateral, Previous: lateral}, nil},
		{"a flat set before says nothing", Measured{Lateral: lateral, Previous: flat}, nil},

		// One spoke of 18 at T, the others at 1000: it is 17(1000 - T)/(17000 + T) off,
		// 20 % at T = 13600/17.2 = 790.7.
		{"spoke just within 20 % of its side", tension(1000, 1000, map[int]float64{4: 791}), nil},
		{"spoke just off its side", tension(1000, 1000, map[int]float64{4: 790}), []string{"tension_off_side@4"}},
		{"two sides may differ", tension(1100, 724, nil), nil},
		{"two spokes, in their order", tension(1000, 1000, map[int]float64{7: 700, 24: 1500}), []string{"tension_off_side@7", "tension_off_side@24"}},
		{"sides swapped", swapped, []string{"side_swap@-1"}},
		{"kgf typed as newtons", tension(104, 102, nil), []string{"unit_suspect@-1"}},
	} {
		t.Run(row.name, func(t *testing.T) {
			got, err := Doubts(row.m)
			if err != nil {
				t.Fatal(err)
			}
			if !slices.Equal(codes(got), row.want) {
				t.Errorf("got %v, want %v", codes(got), row.want)
			}
		})
	}
}

func TestDoubtsCarryWhatGaveRiseToThem(t *testing.T) {
	m := Measured{Lateral: with(ones(36, 0.1), map[int]float64{10: 0.5})}
	d, err := Doubts(m)
	if err != nil || len(d) != 1 {
		t.Fatalf("%v, %v", d, err)
	}
	near(t, "reading", d[0].Values[0], 0.5, 0)
	near(t, "second difference", d[0].Values[1], -0.8, 1e-12)

	m = Measured{TensionUnit: "N"}
	m.TensionSpokes, m.Tension = tensions(1000, 1000, map[int]float64{4: 100})
	d, err = Doubts(m)
	if err != nil || len(d) != 1 {
		t.Fatalf("%v, %v", d, err)
	}
	near(t, "tension", d[0].Values[0], 100, 0)
	near(t, "mean of the side", d[0].Values[1], 950, 1e-9) // (17 x 1000 + 100)/18
	near(t, "deviation %", d[0].Values[2], -100*850.0/950, 1e-9)
}

func TestDoubtsRefuse(t *testing.T) {
	nan := math.NaN()
	for _, row := range []struct {
		name string
		m    Measured
	}{
		{"lateral not a number", Measured{Lateral: []float64{nan}}},
		{"radial infinite", Measured{Radial: []float64{math.Inf(-1)}}},
		{"previous not a number", Measured{Previous: []float64{nan}}},
		{"dish not a number", Measured{DishOffset: &nan}},
		{"lists of two lengths", Measured{Tension: []float64{1000}}},
		{"negative spoke", Measured{Tension: []float64{1000}, TensionSpokes: []int{-1}}},
		{"no unit", Measured{Tension: []float64{1000, 1000}, TensionSpokes: []int{0, 1}}},
	} {
		t.Run(row.name, func(t *testing.T) {
			if _, err := Doubts(row.m); !errors.Is(err, ErrInput) {
				t.Errorf("got %v, want ErrInput", err)
			}
		})
	}
}
