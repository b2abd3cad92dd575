package wheel

import "math"

// gridPerStation is how finely the interpolant is searched: twenty places
// between stations catch the peak of the shortest wave (two stations long)
// within 0.3 % of its amplitude, and a parabola through three of them closes
// the rest.
const gridPerStation = 20

// vanishing is the part of the largest reading below which an amplitude is
// rounding noise and has no phase.
const vanishing = 1e-12

// fourier holds the trigonometric interpolant of N equally spaced readings:
// y(theta) = mean + sum_k c[k] cos k theta + s[k] sin k theta, k = 1..N/2.
// For even N the last wave has half weight and the cosine only, which makes
// the interpolant pass through every reading.
type fourier struct {
	n     int
	mean  float64
	c, s  []float64 // index k; element 0 unused
	scale float64   // largest absolute reading
}

// transform computes the coefficients up to a wave by plain sums: N is a number of spokes,
// so a fast transform would save nothing. The angles k i repeat modulo N,
// so that one turn of sines and cosines serves every wave.
func transform(y []float64, upTo int) fourier {
	n := len(y)
	f := fourier{n: n, c: make([]float64, n/2+1), s: make([]float64, n/2+1)}
	cosine, sine := circle(n)
	for _, v := range y {
		f.mean += v
		f.scale = math.Max(f.scale, math.Abs(v))
	}
	f.mean /= float64(n)
	for k := 1; k <= min(upTo, n/2); k++ {
		var c, s float64
		for i, v := range y {
			c += v * cosine[k*i%n]
			s += v * sine[k*i%n]
		}
		weight := 2 / float64(n)
		if 2*k == n {
			weight, s = 1/float64(n), 0
		}
		f.c[k], f.s[k] = weight*c, weight*s
	}
	return f
}

// circle gives cosine and sine of 360 i/n degrees, i = 0..n-1.
func circle(n int) (cosine, sine []float64) {
	cosine, sine = make([]float64, n), make([]float64, n)
	for i := range n {
		sine[i], cosine[i] = math.Sincos(2 * math.Pi * float64(i) / float64(n))
	}
	return cosine, sine
}

// harmonics lists the waves 1..upTo as amplitude and phase.
func (f fourier) harmonics(upTo int) []Harmonic {
	list := make([]Harmonic, 0, upTo)
	for k := 1; k <= min(upTo, f.n/2); k++ {
		h := Harmonic{K: k, Amplitude: math.Hypot(f.c[k], f.s[k])}
		if h.Amplitude > vanishing*f.scale {
			h.PhaseDeg = math.Atan2(f.s[k], f.c[k]) * 180 / math.Pi
		}
		list = append(list, h)
	}
	return list
}

// residuals gives what mean and waves 1..upTo leave of each reading.
func (f fourier) residuals(y []float64, upTo int) []float64 {
	cosine, sine := circle(f.n)
	rest := make([]float64, f.n)
	for i, v := range y {
		rest[i] = v - f.mean
		for k := 1; k <= min(upTo, f.n/2); k++ {
			rest[i] -= f.c[k]*cosine[k*i%f.n] + f.s[k]*sine[k*i%f.n]
		}
	}
	return rest
}

// spot is a place on the rim and the interpolant there.
type spot struct{ deg, value float64 }

// spots finds the lowest and the highest place of the interpolant: every local
// extreme of a fine grid, sharpened by the parabola through three grid values
// (offset d = (y- - y+) / (2 (y- - 2 y0 + y+)), value y0 - (y- - y+) d / 4).
func (f fourier) spots() (lowest, highest spot) {
	m := f.n * gridPerStation
	grid := f.grid(m)
	lowest.value, highest.value = math.Inf(1), math.Inf(-1)
	for i, y0 := range grid {
		before, after := grid[(i+m-1)%m], grid[(i+1)%m]
		peak := y0 >= before && y0 >= after
		dip := y0 <= before && y0 <= after
		if !peak && !dip {
			continue
		}
		d, value := 0.0, y0
		if bend := before - 2*y0 + after; bend != 0 {
			d = (before - after) / (2 * bend)
			value = y0 - (before-after)*d/4
		}
		here := spot{deg: turnDeg((float64(i) + d) * 360 / float64(m)), value: value}
		if peak && value > highest.value {
			highest = here
		}
		if dip && value < lowest.value {
			lowest = here
		}
	}
	return lowest, highest
}

// grid evaluates the interpolant at m equally spaced places.
func (f fourier) grid(m int) []float64 {
	cosine, sine := circle(m)
	grid := make([]float64, m)
	for i := range grid {
		v := f.mean
		at := 0
		for k := 1; k <= f.n/2; k++ {
			if at += i; at >= m {
				at -= m
			}
			v += f.c[k]*cosine[at] + f.s[k]*sine[at]
		}
		grid[i] = v
	}
	return grid
}

// turnDeg brings an angle into [0, 360).
func turnDeg(deg float64) float64 {
	deg = math.Mod(deg, 360)
	if deg < 0 {
		deg += 360
	}
	if deg >= 360 { // a tiny negative angle rounds up to a whole turn
		deg = 0
	}
	return deg
}
