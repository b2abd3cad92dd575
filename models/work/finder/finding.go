package finder

import (
	"fmt"
	"math"
	"time"

	"tracewright/models"
	"tracewright/models/numbers/life"
	"tracewright/models/numbers/stats"
)

// Shapes of a finding.
const (
	Level   = "level"   // all of the cut differs
	Since   = "since"   // from a day on
	Stretch = "stretch" // from a day to another
	Drift   = "drift"   // steadily, over all the days
)

// Said is a cut with its days.
type Said struct {
	Cut
	Shape string
	// From is the first day, Until the last; as the shape needs them.
	From, Until time.Time
}

// Finding is one difference that survived.
type Finding struct {
	ID     string        // the same as long as it is found
	Family models.Family // none where it is of several together
	// Families are those of a finding over several; the unit is then sigma, the spread of
	// each family's own values.
	Families []models.Family
	Measure  string
	Unit     string
	Said
	// Effect with its interval, 95 %, in the unit of the measure: against all
	// others of the question, against the other days of the same part, or from
	// the first day to the last of a drift. Of returns it is in points of a
	// hundred.
	Effect, Low, High float64
	Decimals          int
	Log               bool // found on logarithms
	N, Others         int
	Days              int
	Distance          float64
	stats.Chance
	// Of returns: how many came back, their share with its exact interval (Clopper
	// and Pearson) in per cent, and how many were to be expected at their ages.
	Back                       int
	Share, ShareLow, ShareHigh float64
	Expected                   float64
	Same                       []Said // may be the same thing as these
	Points                     []Point
	Level0, Level1             float64 // of the others and of the cut, in the unit
}

// Point is a value behind a finding.
type Point struct {
	InspectionID, ItemID, Serial string
	At                           time.Time
	Value                        float64
	In                           bool
}

// said is what a candidate is called.
func (c *candidate) said() Said {
	s := Said{Cut: c.cut, Shape: Level}
	if c.level >= 0 {
		return s
	}
	days := c.series.rows
	s.From, s.Until = dayOf(c.times.From), dayOf(days[c.rows[len(c.rows)-1]].day)
	switch {
	case c.times.Drift:
		s.Shape = Drift
		s.From = dayOf(days[c.rows[0]].day)
	case c.times.Open:
		s.Shape = Since
	default:
		s.Shape = Stretch
		last := c.times.From
		for at := range c.in {
			last = max(last, days[at].day)
		}
		s.Until = dayOf(last)
	}
	return s
}

// describe measures a candidate. It is false where the days are too few for an
// interval, or the interval reaches over nothing: shuffling found a difference of
// which the values themselves, not drawn in, are not sure.
func (s *series) describe(c *candidate, values []float64) (Finding, bool) {
	a, err := c.difference(values)
	if err != nil || a.Low < 0 && a.High > 0 {
		return Finding{}, false
	}
	f := Finding{Family: s.family, Families: s.families, Measure: s.measure, Unit: s.unit, Said: c.said(), Log: s.log, Distance: c.distance, Chance: c.chance, Decimals: s.decimals}
	var in, others []float64
	var lives, rest []life.Observation
	days := map[int]bool{}
	for _, at := range c.rows {
		r := s.rows[at]
		if s.pooled() { // In spreads of its family: there is no other scale that they share.
			r.value = values[at]
		}
		f.Points = append(f.Points, Point{InspectionID: r.inspection, ItemID: r.item, Serial: r.serial, At: r.at, Value: r.value, In: c.in[at]})
		if c.in[at] {
			in = append(in, values[at])
			days[r.day] = true
			f.Back += int(r.value)
			lives = append(lives, r.life)
		} else {
			others = append(others, values[at])
			rest = append(rest, r.life)
		}
	}
	f.N, f.Others, f.Days = len(in), len(others), len(days)
	mean, err := stats.Mean(in)
	if err != nil {
		return Finding{}, false
	}
	span := 1.
	if c.drifts() {
		first, last := s.rows[c.rows[0]].day, s.rows[c.rows[len(c.rows)-1]].day
		span = float64(last - first)
		mean += a.Estimate * span / 2 // About the end of the line.
	}
	base := mean - a.Estimate*span
	scale := func(x float64) float64 {
		if s.log {
			return math.Exp(base) * math.Expm1(x*span)
		}
		return x * span
	}
	f.Effect, f.Low, f.High = scale(a.Estimate), scale(a.Low), scale(a.High)
	f.Level0, f.Level1 = base, mean
	if s.log {
		f.Level0, f.Level1 = math.Exp(base), math.Exp(mean)
	}
	if s.kind == share {
		if i, err := stats.ProportionIntervalsOf(f.Back, f.N, 0.95); err == nil {
			f.Share, f.ShareLow, f.ShareHigh = 100*i.Estimate, 100*i.Exact.Low, 100*i.Exact.High
		}
		f.Effect, f.Low, f.High = 100*f.Effect, 100*f.Low, 100*f.High
		if f.Expected, err = expectedOf(lives, rest); err != nil {
			return Finding{}, false
		}
	} else {
		f.Back = 0
	}
	// As many decimals as the smaller end of the interval needs for a digit.
	for f.Decimals < 6 && math.Abs(f.Effect) < 1.5*math.Pow(10, -float64(f.Decimals)) {
		f.Decimals++
	}
	of := "several"
	if !s.pooled() {
		of = f.Family.ID[:8]
	}
	f.ID = fmt.Sprintf("%s.%s.%s.%s.%s", of, f.Measure, f.Factor, f.Key, f.Shape)
	return f, true
}
