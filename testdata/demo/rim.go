package demo

import (
	"math"

	"tracewright/models"
)

// wave is one harmonic of a rim's run-out.
type wave struct {
	k                int
	amplitude, phase float64 // mm, rad
}

// Channels of run-out.
const (
	lateral = 0
	radial  = 1
)

var channelCodes = [2]string{"lateral_runout", "radial_runout"}

// jointWidth is how wide a rim's joint is felt, rad: the sd of a bell.
const jointWidth = 8 * math.Pi / 180

// rim is a wheel's shape, mm, and its tensions, N: what the rim was made with,
// and what the builder left.
type rim struct {
	holes      int
	made, left [2][]wave
	joint      [2]float64 // opposite the valve
	mean       [2]float64
	dish       float64
	tension    []float64
	sideMean   [2]float64
}

// newRim is a wheel as it stands at the first reading after relief.
func (m *maker) newRim(p product, rims *lot, skill float64) *rim {
	r := &rim{holes: p.form.Wheel.Holes, dish: m.random.normal(0, 0.34)}
	for channel, size := range [2]float64{1, 1.4} {
		r.made[channel] = append(m.waves([]float64{0.014, 0.013, 0.010, 0.007}, size), rims.made[channel]...)
		r.left[channel] = m.waves([]float64{0.064, 0.051, 0.022}, size*skill)
		r.joint[channel] = rims.joint[channel] * m.random.skewed(1, 0.3)
		r.mean[channel] = m.random.normal(0, 0.05)
	}
	tight := m.random.normal(p.tight, 24)
	r.sideMean = [2]float64{tight, tight / p.ratio}
	if p.ratio < 1 {
		r.sideMean = [2]float64{tight * p.ratio, tight}
	}
	r.tension = make([]float64, r.holes)
	for j := range r.tension {
		r.tension[j] = r.sideMean[j%2] * (1 + m.random.normal(0, 0.044))
	}
	return r
}

// waves draws the harmonics from 1 on, with these median amplitudes.
func (m *maker) waves(median []float64, scale float64) []wave {
	list := make([]wave, len(median))
	for i, a := range median {
		list[i] = wave{i + 1, m.random.skewed(a*scale, 0.38), m.random.phase()}
	}
	return list
}

// at is the shape at a station with this share of the builder's part.
func (r *rim) at(channel, station int, share float64) float64 {
	theta := 2 * math.Pi * float64(station) / float64(r.holes)
	y := r.mean[channel]
	for _, w := range r.made[channel] {
		y += w.amplitude * math.Cos(float64(w.k)*theta-w.phase)
	}
	for _, w := range r.left[channel] {
		y += share * w.amplitude * math.Cos(float64(w.k)*theta-w.phase)
	}
	away := (theta - math.Pi) / jointWidth
	return y + r.joint[channel]*math.Exp(-away*away/2)
}

// swing is the full indicator reading with this share of the builder's part.
func (r *rim) swing(channel int, share float64) float64 {
	low, high := math.Inf(1), math.Inf(-1)
	for j := range r.holes {
		y := r.at(channel, j, share)
		low, high = min(low, y), max(high, y)
	}
	return high - low
}

// trued is one round of truing. The builder stops as soon as the wheel seems to
// pass; later rounds aim lower. The rim's own part stays.
func (m *maker) trued(r *rim, spec models.Specification, round int) {
	for channel, code := range channelCodes {
		aim := limitOf(spec, code) * m.random.between(0.72, 1.0) * math.Pow(0.88, float64(round-1))
		share := 1.0
		for share > 0.1 && r.swing(channel, share) > aim {
			share -= 0.02
		}
		for i := range r.left[channel] {
			r.left[channel][i].amplitude *= share
		}
	}
	r.dish *= m.random.between(0.3, 0.7)
	even := m.random.between(0.70, 0.88)
	for j := range r.tension {
		mean := r.sideMean[j%2]
		r.tension[j] = mean + (r.tension[j]-mean)*even + m.random.normal(0, 0.008*mean)
	}
}

// uneven is the wheel before relief: the spokes are not seated yet.
func (m *maker) uneven(r *rim) *rim {
	early := *r
	early.tension = make([]float64, r.holes)
	for j := range r.tension {
		early.tension[j] = r.tension[j] * (1 + m.random.normal(0.02, 0.03))
	}
	return &early
}

// lose takes a share of the tension away.
func (r *rim) lose(share float64) {
	for j := range r.tension {
		r.tension[j] *= 1 - share
	}
	r.sideMean[0] *= 1 - share
	r.sideMean[1] *= 1 - share
}
