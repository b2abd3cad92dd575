package stats

import (
	"errors"
	"math"
	"testing"

	"pgregory.net/rapid"
)

// near fails the test when a figure is further than tolerance from what its
// source says.
func near(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s: got %.12g, want %.12g within %g", what, got, want, tolerance)
	}
}

// refusal is what a function must say of an input that it cannot use.
type refusal struct {
	name     string
	run      func() error
	argument string
	reason   error
}

func checkRefusals(t *testing.T, list []refusal) {
	t.Helper()
	for _, r := range list {
		t.Run(r.name, func(t *testing.T) {
			err := r.run()
			var named *ArgumentError
			if !errors.As(err, &named) || named.Argument != r.argument || !errors.Is(err, r.reason) {
				t.Errorf("got %v; want one about %q that is %q", err, r.argument, r.reason)
			}
		})
	}
}

// drawGroups draws groups whose values differ, hundredths as a gauge shows them.
func drawGroups(r *rapid.T, least int) [][]float64 {
	groups := make([][]float64, rapid.IntRange(2, 6).Draw(r, "groups"))
	for i := range groups {
		groups[i] = make([]float64, rapid.IntRange(least, 8).Draw(r, "size"))
		for j := range groups[i] {
			groups[i][j] = float64(rapid.IntRange(-1000, 1000).Draw(r, "x")) / 100
		}
		if groups[i][0] == groups[i][1] {
			groups[i][1] += 0.01
		}
	}
	return groups
}

// moved returns scale x + shift of every value.
func moved(groups [][]float64, scale, shift float64) [][]float64 {
	out := make([][]float64, len(groups))
	for i, group := range groups {
		for _, v := range group {
			out[i] = append(out[i], scale*v+shift)
		}
	}
	return out
}

// normals draws independent standard normal values by the quantile function.
func (r *Random) normals(n int) []float64 {
	x := make([]float64, n)
	for i := range x {
		u := (float64(r.next()>>11) + 0.5) / (1 << 53)
		x[i] = normalAt(u, 1-u)
	}
	return x
}
