package effect

import (
	"errors"
	"fmt"
	"math"
	"strconv"
	"time"

	"tracewright/models"
	"tracewright/models/numbers/measure"
	"tracewright/models/numbers/stats"
)

// nearby is how close to the moment something else is said to have happened too.
const nearby = 10 * 24 * time.Hour

// compare fills in what the values say.
func (v *View) compare(others []Point) error {
	for _, p := range v.Points {
		if p.Value <= 0 {
			v.Log = false
		}
	}
	v.Before, v.After = v.side(false), v.side(true)
	if v.Event == nil {
		v.Notes = append(v.Notes, models.NewRemark("effect_chosen"))
	}
	counts := []string{"result", v.Result, "before_n", strconv.Itoa(v.Before.N), "before_days", strconv.Itoa(v.Before.Days), "after_n", strconv.Itoa(v.After.N), "after_days", strconv.Itoa(v.After.Days),
		"least_n", strconv.Itoa(FewestValues), "least_days", strconv.Itoa(FewestDays)}
	if v.Before.N+v.After.N == 0 {
		v.Answer = models.NewRemark("effect_nothing", "result", v.Result)
		return nil
	}
	if min(v.Before.N, v.After.N) < FewestValues || min(v.Before.Days, v.After.Days) < FewestDays {
		v.Answer = models.NewRemark("effect_too_few", counts...)
		return nil
	}
	a, values, err := v.difference(v.Points)
	switch {
	case errors.Is(err, stats.ErrNoSpread):
		v.Answer = models.NewRemark("effect_no_spread", "result", v.Result)
		return nil
	case errors.Is(err, stats.ErrTooFew):
		v.Answer = models.NewRemark("effect_too_few", counts...)
		return nil
	case err != nil:
		return fmt.Errorf("effect on %s: %w", v.Result, err)
	}
	test, err := stats.CompareBlocks(v.blocks(values), shuffles, seed)
	if errors.Is(err, stats.ErrNoSpread) {
		v.Answer = models.NewRemark("effect_no_spread", "result", v.Result)
		return nil
	}
	if err != nil {
		return fmt.Errorf("effect on %s: %w", v.Result, err)
	}
	v.Answered = true
	v.P, v.Exact, v.Drawn = test.P, test.Exact, test.Arrangements
	v.Larger = int(math.Round(test.P*float64(1+test.Arrangements))) - 1
	if test.Exact {
		v.Larger = int(math.Round(test.P * float64(test.Arrangements)))
	}
	v.Effect, v.Low, v.High = v.scaled(a)
	for v.Decimals < 6 && math.Abs(v.Effect) < 1.5*math.Pow(10, -float64(v.Decimals)) && (v.Low > 0 || v.High < 0) {
		v.Decimals++
	}
	v.Answer = v.answer()
	v.Chance = models.NewRemark("effect_chance", "larger", strconv.Itoa(v.Larger), "drawn", strconv.Itoa(v.Drawn))
	v.notes(values, others)
	return nil
}

// side counts one side and finds its level.
func (v *View) side(after bool) Side {
	byDay := map[int][]float64{}
	s := Side{}
	for _, p := range v.Points {
		if p.After == after {
			byDay[p.day] = append(byDay[p.day], v.scale(p.Value))
			s.N++
		}
	}
	s.Days = len(byDay)
	var means []float64
	for _, values := range byDay {
		if m, err := stats.Mean(values); err == nil {
			means = append(means, m)
		}
	}
	back := func(x float64) float64 {
		if v.Log {
			return math.Exp(x)
		}
		return x
	}
	if m, err := stats.Mean(means); err == nil {
		s.Level = back(m)
		if i, err := stats.MeanInterval(means, 0.95); err == nil {
			s.Low, s.High, s.Bounded = back(i.Low), back(i.High), true
		}
	}
	return s
}

func (v *View) scale(x float64) float64 {
	if v.Log {
		return math.Log(x)
	}
	return x
}

// difference is after less before with products allowed for, and the values that
// it comes from, freed of the means of products.
func (v *View) difference(points []Point) (stats.Adjusted, []float64, error) {
	y, x, days, products := make([]float64, len(points)), make([]float64, len(points)), make([]int, len(points)), make([]int, len(points))
	known := map[string]int{}
	for i, p := range points {
		y[i], days[i] = v.scale(p.Value), p.day
		if p.After {
			x[i] = 1
		}
		if _, ok := known[p.product]; !ok {
			known[p.product] = len(known)
		}
		products[i] = known[p.product]
	}
	a, err := stats.RobustDifference(y, x, days, 0.95, products)
	if err != nil {
		return a, nil, err
	}
	free, err := stats.Freed(y, products)
	return a, stats.DrawnIn(free), err
}

// blocks are the days, each on its side; a day on both sides is two.
func (v *View) blocks(values []float64) []stats.Block {
	place, blocks := map[[2]int]int{}, []stats.Block{}
	for i, p := range v.Points {
		key := [2]int{p.day, 0}
		if p.After {
			key[1] = 1
		}
		at, ok := place[key]
		if !ok {
			at = len(blocks)
			place[key] = at
			blocks = append(blocks, stats.Block{Group: key[1]})
		}
		blocks[at].Values = append(blocks[at].Values, values[i])
	}
	return blocks
}

// scaled takes a difference to the unit of the result: of logarithms to what it
// makes of the level before.
func (v *View) scaled(a stats.Adjusted) (effect, low, high float64) {
	if !v.Log {
		return a.Estimate, a.Low, a.High
	}
	return v.Before.Level * math.Expm1(a.Estimate), v.Before.Level * math.Expm1(a.Low), v.Before.Level * math.Expm1(a.High)
}

// answer is the title's sentence. Where the interval and the shuffled days do not
// both speak for a difference, there is none to speak of.
func (v *View) answer() models.Remark {
	code := "effect_none"
	if v.P <= 0.05 && (v.Low > 0 || v.High < 0) {
		code = "effect_rose"
		if v.Effect < 0 {
			code = "effect_fell"
		}
	}
	values := []string{"result", v.Result, "unit", v.Unit, "effect", v.text(v.Effect), "effect_low", v.text(v.Low), "effect_high", v.text(v.High),
		"larger", strconv.Itoa(v.Larger), "drawn", strconv.Itoa(v.Drawn), "date", v.Day}
	return models.NewRemark(code, values...)
}

func (v *View) text(x float64) string {
	d, err := measure.Round(x, v.Decimals)
	if err != nil {
		return fmt.Sprintf("%.*f", v.Decimals, x)
	}
	return d.String()
}

// notes say what stands against taking the difference for the effect of a change.
func (v *View) notes(values []float64, others []Point) {
	var y, x []float64
	var days []int
	for i, p := range v.Points {
		if !p.After {
			y, x, days = append(y, values[i]), append(x, float64(p.day)), append(days, p.day)
		}
	}
	if a, err := stats.AdjustedDifference(y, x, days, 0.95); err == nil && (a.Low > 0 || a.High < 0) {
		month := stats.Adjusted{Estimate: a.Estimate * 30, Interval: stats.Interval{Low: a.Low * 30, High: a.High * 30}}
		effect, low, high := v.scaled(month)
		v.Notes = append(v.Notes, models.NewRemark("effect_drift", "unit", v.Unit, "effect", v.text(effect), "effect_low", v.text(low), "effect_high", v.text(high)))
	}
	if len(others) > 0 {
		w := View{Query: v.Query, Points: others, Log: v.Log, Unit: v.Unit, Decimals: v.Decimals}
		for _, p := range others {
			if p.Value <= 0 {
				w.Log = false
			}
		}
		w.Before, w.After = w.side(false), w.side(true)
		if min(w.Before.N, w.After.N) >= FewestValues && min(w.Before.Days, w.After.Days) >= FewestDays {
			if a, _, err := w.difference(others); err == nil {
				c := &Compared{N: len(others)}
				c.Effect, c.Low, c.High = w.scaled(a)
				v.Others = c
				code := "effect_others"
				if c.Low > 0 && v.Low > 0 || c.High < 0 && v.High < 0 {
					code = "effect_others_too"
				}
				v.Notes = append(v.Notes, models.NewRemark(code, "unit", v.Unit, "n", strconv.Itoa(c.N), "effect", v.text(c.Effect), "effect_low", v.text(c.Low), "effect_high", v.text(c.High)))
			}
		}
	}
	for _, e := range v.Events {
		if (v.Event == nil || e.Key() != v.Event.Key()) && e.At.Sub(v.At).Abs() <= nearby {
			r := e.Remark()
			r.Code = "effect_also_" + e.What
			v.Notes = append(v.Notes, r)
		}
	}
	if min(v.Before.N, v.After.N) < 20 {
		v.Notes = append(v.Notes, models.NewRemark("effect_small", "n", strconv.Itoa(min(v.Before.N, v.After.N))))
	}
}
