package spc

import "strings"

// Baseline says which points the limits rest on: the first Points of them, all
// where that is 0, without the excluded ones. The points after the baseline are
// judged against limits that they had no part in.
type Baseline struct {
	Points   int
	Excluded []Exclusion
}

// Exclusion takes one point out of the baseline. It stays on the chart; it only
// has no part in the limits. A point without a found cause belongs in the
// baseline however it looks, so name and reason are asked for.
type Exclusion struct {
	Index  int
	Name   string // Of the point: a serial number, a day.
	Reason string
}

// choose returns which of n points the limits rest on, nil when all do, and how
// many.
func (b Baseline) choose(n int) (kept []bool, count int, err error) {
	switch {
	case b.Points < 0 || b.Points > n:
		return nil, 0, wrong("baseline", ErrBaseline, "%d points of %d", b.Points, n)
	case b.Points == 0 && len(b.Excluded) == 0:
		return nil, n, nil
	}
	points := b.Points
	if points == 0 {
		points = n
	}
	kept = make([]bool, n)
	for i := range points {
		kept[i] = true
	}
	for i, e := range b.Excluded {
		switch {
		case e.Index < 0 || e.Index >= points:
			return nil, 0, wrong(element("excluded", i), ErrBaseline, "point %d is not one of the %d of the baseline", e.Index, points)
		case !kept[e.Index]:
			return nil, 0, wrong(element("excluded", i), ErrBaseline, "point %d is excluded twice", e.Index)
		case strings.TrimSpace(e.Name) == "" || strings.TrimSpace(e.Reason) == "":
			return nil, 0, wrong(element("excluded", i), ErrBaseline, "point %d needs a name and a reason", e.Index)
		}
		kept[e.Index] = false
	}
	return kept, points - len(b.Excluded), nil
}

// has returns whether a point is in the baseline.
func (b Baseline) has(n int) (func(i int) bool, error) {
	kept, _, err := b.choose(n)
	return func(i int) bool { return kept == nil || kept[i] }, err
}

// chosen returns the elements that the limits rest on.
func chosen[T any](all []T, kept []bool) []T {
	if kept == nil {
		return all
	}
	var some []T
	for i, one := range all {
		if kept[i] {
			some = append(some, one)
		}
	}
	return some
}

// Limits are what a chart keeps of its baseline. Stored and given to [Judge],
// they judge later points without moving. They hold what the lines are made
// from; which of it a kind of chart uses stands with the kind.
type Limits struct {
	Kind        string `json:"kind"`
	Scale       Scale  `json:"scale"`
	ScaleReason string `json:"scale_reason"`
	// Centre is that of the first panel, on the scale of the chart; Sigma the
	// spread of the process by SigmaEstimator.
	Centre         float64 `json:"centre"`
	Sigma          float64 `json:"sigma"`
	SigmaEstimator string  `json:"sigma_estimator"`

	// Size of the subgroups, where it is the same for all; of charts by numbers
	// nonconforming the items inspected each time.
	Size int `json:"size,omitempty"`
	// Within is the spread of readings within an item (three-way chart).
	Within float64 `json:"within,omitempty"`
	// Dispersion multiplies the limits of overdispersed counts.
	Dispersion float64 `json:"dispersion,omitempty"`
	// Exact: limits by the tails of the distribution of the counts.
	Exact bool `json:"exact,omitempty"`
	// Low and High are the limits themselves where they are not centre and
	// sigma (probability limits), with the parameters of the fitted shape.
	Low        *float64           `json:"low,omitempty"`
	High       *float64           `json:"high,omitempty"`
	Parameters map[string]float64 `json:"parameters,omitempty"`
	// Means and Covariance of several results, and the wanted share of false
	// alarms.
	Means      []float64   `json:"means,omitempty"`
	Covariance [][]float64 `json:"covariance,omitempty"`
	Alpha      float64     `json:"alpha,omitempty"`
	// Groups are the baselines of products on a short-run chart.
	Groups   map[string]Group `json:"groups,omitempty"`
	Settings Settings         `json:"settings"`

	// Facts are those of the baseline, Points its length with Excluded left out.
	Facts    Facts       `json:"facts"`
	Points   int         `json:"points"`
	Excluded []Exclusion `json:"excluded,omitempty"`

	own bool // Drawn on the very points that they come from.
}

// Group is the baseline of one product on a short-run chart.
type Group struct {
	Centre float64 `json:"centre"`
	Sigma  float64 `json:"sigma,omitempty"`
	// N is how many points of the baseline the centre was found from, 0 where it
	// was given. Mean: it is their mean on the scale of the chart; otherwise, on
	// charts of ratios, their median.
	N    int  `json:"n,omitempty"`
	Mean bool `json:"mean,omitempty"`
}

// usable refuses limits that no baseline gives.
func (l Limits) usable(kind string) error {
	if l.Kind != kind {
		return wrong("limits", ErrLimits, "of the chart %q on %q", l.Kind, kind)
	}
	lines := []float64{l.Centre, l.Sigma, l.Within, l.Dispersion, l.Alpha}
	for _, line := range append(lines, l.Means...) {
		if !finite(line) {
			return wrong("limits", ErrLimits, "%v", line)
		}
	}
	if l.Sigma < 0 || l.Within < 0 || l.Dispersion < 0 {
		return wrong("limits", ErrLimits, "a negative spread")
	}
	return nil
}
