package monitor

import (
	"errors"
	"math"
	"strconv"
	"time"

	"tracewright/models"
	"tracewright/models/numbers/measure"
	"tracewright/models/numbers/spc"
	"tracewright/models/numbers/stats"
)

// Finding is what a chart says, in codes and values, the newest open matter first.
type Finding struct {
	// Title has no words about what is charted: those stand above it. Values: place,
	// value, since, n, needed.
	Title models.Remark
	// Change is the level before and since, where something moved.
	Change *Change
	// Signal is the index of the signal that the title speaks of, -1 for none.
	Signal int
}

// Change is how far the level moved at the start of a signal.
type Change struct {
	Since         time.Time
	Until         time.Time // zero while it goes on
	Before, After float64   // levels, turned back from the scale of the chart
	NBefore, N    int
	// By is After less Before, with the 95 % interval, where both sides have two
	// points or more.
	By, Low, High float64
	HasInterval   bool
	// Unit of all of these: that of the result, or sigma.
	Unit     string
	Decimals int
}

// recent is how many of the newest points a title looks at for single ones beyond
// a limit.
const recent = 20

// find puts the finding of a chart together.
func (v *ChartView) find(zone *time.Location) Finding {
	f := Finding{Signal: -1}
	values := map[string]string{"place": v.Query.Place, "n": strconv.Itoa(len(v.Points)), "needed": strconv.Itoa(v.Needed)}
	say := func(code string) Finding {
		if v.Query.Place == "" {
			code += "_all"
		}
		f.Title = models.Remark{Code: "chart." + code, Values: values}
		return f
	}
	facts := v.Present().Limits.Facts
	switch {
	case len(v.Points) == 0:
		return say("nothing")
	case facts.NoLimits:
		values["has"] = strconv.Itoa(facts.N)
		return say(facts.NoLimitsReason)
	}
	for i := len(v.Signals) - 1; i >= 0; i-- {
		g := v.Signals[i]
		if g.Panel != spc.PanelSmoothed || !g.Open || g.Phase != len(v.Phases)-1 {
			continue
		}
		f.Signal, f.Change = i, v.change(g)
		if f.Change == nil {
			continue
		}
		values["value"], values["unit"] = f.Change.text(math.Abs(f.Change.By)), f.Change.Unit
		values["date"] = g.Began.MeasuredAt.In(zone).Format(time.DateOnly)
		return say("drifted_" + string(g.Side))
	}
	beyond := map[int]bool{}
	for i, g := range v.Signals {
		if g.alone() && !g.Settled() && g.Point >= len(v.Points)-recent && g.Phase == len(v.Phases)-1 {
			beyond[g.Point], f.Signal = true, i
		}
	}
	if len(beyond) > 0 {
		values["beyond"], values["recent"] = strconv.Itoa(len(beyond)), strconv.Itoa(min(recent, len(v.Points)))
		return say("beyond")
	}
	for i := len(v.Signals) - 1; i >= 0; i-- {
		if g := v.Signals[i]; g.Panel == spc.PanelSmoothed && g.Phase == len(v.Phases)-1 {
			f.Change = v.change(g)
			values["date"] = v.Points[g.Last].MeasuredAt.In(zone).Format(time.DateOnly)
			return say("came_back")
		}
	}
	for i := len(v.Signals) - 1; i >= 0; i-- {
		if g := v.Signals[i]; g.Panel != spc.PanelSmoothed && !g.alone() && g.Open && g.Phase == len(v.Phases)-1 {
			f.Signal = i
			return say("pattern")
		}
	}
	return say("steady")
}

// change compares the points before a signal began with those since.
func (v *ChartView) change(g Signal) *Change {
	ph := v.Phases[g.Phase]
	var before, after []float64
	for i := ph.From; i < ph.To; i++ {
		y := scaled(ph.Limits.Scale, ph.Values.Points[i-ph.From])
		switch {
		case i < g.First:
			before = append(before, y)
		case i <= g.Last:
			after = append(after, y)
		}
	}
	c := &Change{Since: g.Began.MeasuredAt, NBefore: len(before), N: len(after), Unit: v.Unit, Decimals: v.Decimals}
	if !g.Open {
		c.Until = v.Points[g.Last].MeasuredAt
	}
	level := ph.Limits.Centre
	if len(before) > 0 {
		level = meanOf(before)
	}
	now := meanOf(after)
	times := 1.0
	switch {
	case ph.Values.Name == spc.PanelStandardised:
		c.Unit, c.Decimals = "sigma", 1
	case !ph.Scaled():
		times = v.usual(g) // What 1 stands for, among the products since.
	}
	back := func(y float64) float64 { return times * turned(ph.Limits.Scale, y) }
	c.Before, c.After = back(level), back(now)
	c.By = c.After - c.Before
	c.Decimals += c.addUp()
	if d, low, high, ok := welch(before, after); ok {
		c.Low, c.High, c.HasInterval = back(now-d+low)-c.Before, back(now-d+high)-c.Before, true
	}
	return c
}

// usual is the mean of the usual values of the products since a signal began.
func (v *ChartView) usual(g Signal) float64 {
	ph := v.Phases[g.Phase]
	sum, n := 0.0, 0
	for i := g.First; i <= g.Last; i++ {
		if group, ok := ph.Limits.Groups[v.Points[i].ProductID]; ok {
			sum, n = sum+group.Centre, n+1
		}
	}
	if n == 0 {
		return 1
	}
	return sum / float64(n)
}

// addUp is how many decimals more the two levels and the change need, two at the
// most, that the one and the change are the other as they are read.
func (c *Change) addUp() int {
	for more := range 2 {
		before, err := measure.Round(c.Before, c.Decimals+more)
		after, err2 := measure.Round(c.After, c.Decimals+more)
		by, err3 := measure.Round(c.By, c.Decimals+more)
		if errors.Join(err, err2, err3) != nil {
			return 0
		}
		if math.Abs(before.Float()+by.Float()-after.Float()) < 1e-9*max(1, math.Abs(after.Float())) {
			return more
		}
	}
	return 2
}

// text is a figure of the change as it is shown: with so many decimals that it is
// not all zeros, two more at the most.
func (c *Change) text(x float64) string {
	for more := range 3 {
		d, err := measure.Round(x, c.Decimals+more)
		if err != nil {
			return strconv.FormatFloat(x, 'g', 3, 64)
		}
		if d.Float() != 0 || more == 2 {
			return d.String()
		}
	}
	return ""
}

// Texts are the figures as decimal text: before, after, by, low and high.
func (c *Change) Texts() map[string]string {
	return map[string]string{"before": c.text(c.Before), "after": c.text(c.After), "by": c.text(c.By), "low": c.text(c.Low), "high": c.text(c.High)}
}

// scaled brings a drawn height to the scale of the chart, turned back again.
func scaled(scale spc.Scale, y float64) float64 {
	switch scale {
	case spc.Logarithmic:
		return math.Log(y)
	case spc.SquareRoot:
		return math.Sqrt(y)
	}
	return y
}

func turned(scale spc.Scale, y float64) float64 {
	switch scale {
	case spc.Logarithmic:
		return math.Exp(y)
	case spc.SquareRoot:
		return max(y, 0) * max(y, 0)
	}
	return y
}

func meanOf(x []float64) float64 { return stats.Sum(x) / float64(len(x)) }

// welch is the difference of two means with its 95 % interval where the spreads
// may differ (Welch, Biometrika 34, 1947):
//
//	d -+ t sqrt(s1^2/n1 + s2^2/n2), degrees of freedom
//	(s1^2/n1 + s2^2/n2)^2 / ( (s1^2/n1)^2/(n1-1) + (s2^2/n2)^2/(n2-1) )
func welch(before, after []float64) (d, low, high float64, ok bool) {
	s1, err1 := stats.SD(before)
	s2, err2 := stats.SD(after)
	if err1 != nil || err2 != nil {
		return 0, 0, 0, false
	}
	n1, n2 := float64(len(before)), float64(len(after))
	v1, v2 := s1*s1/n1, s2*s2/n2
	if v1+v2 == 0 {
		return 0, 0, 0, false
	}
	t, err := stats.TQuantile(0.975, (v1+v2)*(v1+v2)/(v1*v1/(n1-1)+v2*v2/(n2-1)))
	if err != nil {
		return 0, 0, 0, false
	}
	d = meanOf(after) - meanOf(before)
	half := t * math.Sqrt(v1+v2)
	return d, d - half, d + half, true
}
