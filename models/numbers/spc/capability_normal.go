package spc

import (
	"math"

	"tracewright/models/numbers/stats"
)

// NormalProcess is what an index of a normal process needs to know of it.
type NormalProcess struct {
	Mean float64
	SD   float64 // n-1, or the spread that a chart found.
	N    int
	// Degrees of freedom of SD; 0 for N-1.
	Degrees float64
}

// NormalCapability are the indices of a normal process. By the standard
// deviation of all values they are called Pp and Ppk, by the spread that a chart
// found Cp and Cpk; the formulas are the same (ISO 22514-2; NIST/SEMATECH
// e-Handbook, 6.1.6).
type NormalCapability struct {
	// Cp = (U - L)/(6 sd) with the interval of sd by chi-square; nil with one
	// limit only, as are Cpm, Cpmk and OffCentre.
	Cp *Index
	// CpkLow = (mean - L)/(3 sd), CpkHigh = (U - mean)/(3 sd), nil without that
	// limit, and Cpk the lesser of them. Its interval is Bissell's (Applied
	// Statistics 39, 1990),
	//
	//	Cpk +- z sqrt(1/(9 n) + Cpk^2/(2 degrees)),
	//
	// and CpkAtLeast his one-sided lower bound with the same confidence.
	CpkLow, CpkHigh *float64
	Cpk             Index
	CpkAtLeast      float64
	// Cpm = (U - L)/(6 tau), tau^2 = sd^2 + (mean - target)^2, nil without a
	// target. The interval is that of Boyles (Journal of Quality Technology 23,
	// 1991): Cpm sqrt(chi-square quantile/nu), nu = n (1 + d^2)^2/(1 + 2 d^2)
	// with d = (mean - target)/sd. Cpmk is the lesser distance to a limit over
	// 3 tau.
	Cpm        *Index
	CpmDegrees *float64
	Cpmk       *float64
	// OffCentre is how far the mean lies from the middle of the limits, as a
	// share of half their distance.
	OffCentre *float64
	// Below and Above are the shares outside the limits if the process is normal
	// with just these parameters, and Z the normal quantile that leaves their sum
	// above it; nil where that sum is 0 or 1 to the digits of a double.
	Below, Above float64
	Z            *float64
}

// NormalCapabilityOf returns the indices of a normal process.
func NormalCapabilityOf(p NormalProcess, t Tolerance, confidence float64) (NormalCapability, error) {
	if err := t.check(); err != nil {
		return NormalCapability{}, err
	}
	if err := p.check(); err != nil {
		return NormalCapability{}, err
	}
	if !(confidence > 0 && confidence < 1) {
		return NormalCapability{}, wrong("confidence", ErrSetting, "%v must lie between 0 and 1", confidence)
	}
	var c NormalCapability
	both, low, high, least := t.indices(p.Mean, 3*p.SD, 3*p.SD)
	for _, v := range []*float64{both, low, high} {
		if v != nil && !finite(*v) {
			return NormalCapability{}, at("sd", stats.ErrNotFinite)
		}
	}
	c.CpkLow, c.CpkHigh = low, high
	if err := c.bissell(p, least, confidence); err != nil {
		return NormalCapability{}, err
	}
	if both != nil {
		interval, err := chiSquareInterval(*both, p.Degrees, confidence)
		if err != nil {
			return NormalCapability{}, err
		}
		c.Cp = &Index{*both, interval}
		middle, half := *t.Low+(*t.High-*t.Low)/2, (*t.High-*t.Low)/2
		off := math.Abs(p.Mean-middle) / half
		c.OffCentre = &off
		if err := c.boyles(p, t, confidence); err != nil {
			return NormalCapability{}, err
		}
	}
	return c, c.shares(p, t)
}

// check refuses a process that cannot be, and fills in the degrees of freedom.
func (p *NormalProcess) check() error {
	if !finite(p.Mean) {
		return at("mean", stats.ErrNotFinite)
	}
	if !(p.SD > 0) || !finite(p.SD) {
		return wrong("sd", ErrSetting, "%v must be above 0", p.SD)
	}
	if p.N < 2 || float64(p.N) > stats.MaxDegrees {
		return wrong("n", ErrSetting, "%d must be from 2 to 1e10", p.N)
	}
	if p.Degrees == 0 {
		p.Degrees = float64(p.N - 1)
	}
	if !(p.Degrees > 0 && p.Degrees <= stats.MaxDegrees) {
		return wrong("degrees of freedom", ErrSetting, "%v must be above 0", p.Degrees)
	}
	return nil
}

func (c *NormalCapability) bissell(p NormalProcess, cpk, confidence float64) error {
	two, err := stats.NormalQuantile((1 + confidence) / 2)
	if err != nil {
		return at("confidence", err)
	}
	one, err := stats.NormalQuantile(confidence)
	if err != nil {
		return at("confidence", err)
	}
	// Without squaring Cpk, so that a huge one does not overflow.
	deviation := math.Hypot(1/(3*math.Sqrt(float64(p.N))), cpk/math.Sqrt(2*p.Degrees))
	c.Cpk = Index{cpk, &stats.Interval{Low: cpk - two*deviation, High: cpk + two*deviation}}
	c.CpkAtLeast = cpk - one*deviation
	if !finite(c.Cpk.Interval.Low) || !finite(c.Cpk.Interval.High) {
		return at("sd", stats.ErrNotFinite)
	}
	return nil
}

func (c *NormalCapability) boyles(p NormalProcess, t Tolerance, confidence float64) error {
	if t.Target == nil {
		return nil
	}
	off := p.Mean - *t.Target
	tau := math.Hypot(p.SD, off)
	_, _, _, least := t.indices(p.Mean, 3*tau, 3*tau)
	cpm := (*t.High - *t.Low) / (6 * tau)
	// (1 + d^2)^2/(1 + 2 d^2) by shares of tau^2, for any d.
	spread, bias := (p.SD/tau)*(p.SD/tau), (off/tau)*(off/tau)
	degrees := float64(p.N) / (spread * (spread + 2*bias))
	if !finite(degrees) {
		degrees = math.MaxFloat64 // So far from the target that the spread no longer counts.
	}
	interval, err := chiSquareInterval(cpm, min(degrees, stats.MaxDegrees), confidence)
	if err != nil {
		return err
	}
	c.Cpm, c.CpmDegrees, c.Cpmk = &Index{cpm, interval}, &degrees, &least
	return nil
}

// chiSquareInterval returns the interval of an index that is a constant over a
// standard deviation with that many degrees of freedom.
func chiSquareInterval(index, degrees, confidence float64) (*stats.Interval, error) {
	var ends [2]float64
	for i, p := range []float64{(1 - confidence) / 2, (1 + confidence) / 2} {
		quantile, err := stats.ChiSquareQuantile(p, degrees)
		if err != nil {
			return nil, at("confidence", err)
		}
		ends[i] = index * math.Sqrt(quantile/degrees)
	}
	if !finite(ends[0]) || !finite(ends[1]) {
		return nil, at("sd", stats.ErrNotFinite)
	}
	return &stats.Interval{Low: ends[0], High: ends[1]}, nil
}

// shares fills in the parts of a normal process outside its limits.
func (c *NormalCapability) shares(p NormalProcess, t Tolerance) error {
	if t.Low != nil {
		c.Below = stats.NormalBelow((*t.Low - p.Mean) / p.SD)
	}
	if t.High != nil {
		c.Above = stats.NormalAbove((*t.High - p.Mean) / p.SD)
	}
	total := c.Below + c.Above
	if total <= 0 || total >= 1 {
		return nil
	}
	z, err := stats.NormalQuantile(total)
	if err != nil {
		return at("sd", err)
	}
	z = -z
	c.Z = &z
	return nil
}
