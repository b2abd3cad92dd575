package gauge

import (
	"encoding/json"
	"math"
	"testing"

	"pgregory.net/rapid"
)

// Whatever goes in, an answer without an error holds no NaN and no infinity
// (encoding/json refuses to write one).
func TestAnswersAreFinite(t *testing.T) {
	extremes := []float64{0, 1, -1, 0.1, 1e-9, 5e-324, 1e-200, 1e-160, 1e100, -1e154, 1e155, 1e200, -1e307, math.MaxFloat64, -math.MaxFloat64, 1e16, 1e16 + 2}
	answered := 0
	rapid.Check(t, func(r *rapid.T) {
		number := func() float64 { return rapid.SampledFrom(extremes).Draw(r, "number") }
		numbers := func(n int) []float64 {
			x := make([]float64, n)
			for i := range x {
				x[i] = number()
			}
			return x
		}
		finite := func(what string, answer any, err error) {
			if err != nil {
				return
			}
			answered++
			if _, err := json.Marshal(answer); err != nil {
				r.Fatalf("%s: %+v: %v", what, answer, err)
			}
		}
		y := Readings{{numbers(2), numbers(2)}, {numbers(2), numbers(2)}, {numbers(2), numbers(2)}}
		study, err := Crossed(y)
		finite("crossed", study, err)
		if err == nil {
			for _, c := range []Components{study.WithInteraction, study.PooledNoInteraction} {
				summary, err := Summarise(c, math.Abs(number()))
				finite("summary", summary, err)
				finite("contribution", c.Contribution(), nil)
				finite("study variation", c.StudyVariation(), nil)
				categories, _ := c.Categories()
				finite("categories", categories, nil)
			}
		}
		ranges, err := Ranges(y)
		finite("ranges", ranges, err)
		nested, err := Nested(2, [][]Day{{{number(), math.Abs(number())}, {number(), 1}}, {{number(), 0}, {number(), math.Abs(number())}}})
		finite("nested", nested, err)
		biases, err := Bias(numbers(3), number(), 0.05)
		finite("bias", biases, err)
		line, err := Linearity(numbers(4), numbers(4))
		finite("linearity", line, err)
		if err == nil {
			bias, half, err := line.At(number())
			finite("line", []float64{bias, half}, err)
		}
		steady, err := Stability(numbers(25), math.Abs(number()))
		finite("stability", steady, err)
		for _, of := range []func(a, b Quantity, r float64) (Quantity, error){Ratio, Product, Sum, Difference} {
			q, err := of(Quantity{number(), math.Abs(number())}, Quantity{number(), math.Abs(number())}, rapid.Float64Range(-1, 1).Draw(r, "correlation"))
			finite("propagation", q, err)
		}
		budget, err := Combine([]Component{
			{Shape: Stated, Value: math.Abs(number()), DoF: math.Abs(number()), Sensitivity: number()},
			{Shape: Resolution, Value: math.Abs(number()), DoF: math.Abs(number())},
		}, rapid.SampledFrom([]float64{5e-324, 1e-9, 0.5, 0.95, 1 - 1e-16}).Draw(r, "coverage"))
		finite("budget", budget, err)
		for _, how := range []Interpolation{Linear, MonotoneCubic} {
			curve, err := NewCurve([]Point{{number(), number()}, {number(), number()}, {number(), number()}}, how, false)
			if err != nil {
				continue
			}
			low, high := curve.Range()
			value, err := curve.Value(low + (high-low)*rapid.Float64Range(0, 1).Draw(r, "place"))
			finite("curve", value, err)
		}
		total, err := NoisyTIR(numbers(4), math.Abs(number()))
		finite("noisy total", total, err)
		corrected, err := CorrectTIR(numbers(4), math.Abs(number()), math.Abs(number()))
		finite("corrected total", corrected, err)
		simulated, err := SimulateTIR(numbers(2), math.Abs(number()), FewestTrials, 1)
		finite("simulated total", simulated, err)
	})
	if answered < 500 {
		t.Errorf("only %d answers, the test tries nothing", answered)
	}
}
