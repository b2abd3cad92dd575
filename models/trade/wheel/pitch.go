package wheel

import (
	"errors"
	"fmt"
	"math"
	"slices"
)

// errPitch says that a pitch cannot come from a taut spoke of that kind.
var errPitch = errors.New("is the pitch of no taut spoke: its stiffness alone is higher")

// Plucked is a spoke that was plucked between its ends.
type Plucked struct {
	FreeLengthM float64
	Stretches   []PluckedStretch // from end to end, adding up to the free length
	E           float64          // Pa
	Density     float64          // kg/m3
}

// PluckedStretch is a stretch of one diameter.
type PluckedStretch struct{ LengthM, DiameterM float64 }

// PitchTension is what a pitch can mean. The truth of a spoke lies between
// hinged and clamped ends, a factor up to two for short thick ones: use pitch
// for the evenness of equal spokes of one side, not for newtons.
type PitchTension struct {
	MassPerM float64 // kg/m, effective
	EI       float64 // N m2, effective
	StringN  float64 // T = 4 mu L^2 f^2: no stiffness
	HingedN  float64 // the same less pi^2 EI/L^2
	ClampedN float64 // smallest root of the stiff wire with clamped ends; too low for butted spokes

	ClampedKnown bool // false when a clamped wire is as high without any tension
}

// Tension gives the tensions of a pitch. Effective mass and stiffness of a
// butted spoke are those of its first half wave, 2/L times the integral of
// mu sin^2(pi x/L) and EI sin^2(pi x/L). The clamped wire obeys
//
//	2 a b (1 - cos bL cosh aL) + (a^2 - b^2) sin bL sinh aL = 0
//	a^2, b^2 = sqrt((T/2EI)^2 + mu w^2/EI) +- T/2EI
//
// Euler-Bernoulli beam under axial tension, textbook. A pitch so low that the
// stiffness of a hinged wire alone explains it is an ErrInput.
func (p Plucked) Tension(hz float64) (PitchTension, error) {
	if err := p.check(hz); err != nil {
		return PitchTension{}, err
	}
	out := PitchTension{}
	at := 0.0
	for _, s := range p.Stretches {
		share := p.halfWave(at+s.LengthM) - p.halfWave(at)
		at += s.LengthM
		area := math.Pi * s.DiameterM * s.DiameterM / 4
		out.MassPerM += share * p.Density * area
		out.EI += share * p.E * area * s.DiameterM * s.DiameterM / 16
	}
	l := p.FreeLengthM
	out.StringN = 4 * out.MassPerM * l * l * hz * hz
	out.HingedN = out.StringN - math.Pi*math.Pi*out.EI/(l*l)
	if out.HingedN <= 0 {
		return PitchTension{}, &FieldError{Field: "frequency_hz", Problem: fmt.Sprintf("%g Hz %v", hz, errPitch)}
	}
	out.ClampedN, out.ClampedKnown = clampedTension(out.MassPerM, out.EI, l, hz, out.StringN)
	return out, nil
}

// halfWave is 2/L times the integral of sin^2(pi x/L) from 0 to x.
func (p Plucked) halfWave(x float64) float64 {
	l := p.FreeLengthM
	return x/l - math.Sin(2*math.Pi*x/l)/(2*math.Pi)
}

// check refuses what cannot be a spoke.
func (p Plucked) check(hz float64) error {
	if !(hz >= 1 && hz <= 1e5) {
		return fieldf("frequency_hz", "must be 1 to 100000 Hz")
	}
	if !(p.FreeLengthM >= 0.01 && p.FreeLengthM <= 2) {
		return fieldf("free_length_m", "must be 0.01 to 2 m")
	}
	if !(p.E >= 1e9 && p.E <= 1e12) {
		return fieldf("E_Pa", "must be 1e9 to 1e12 Pa")
	}
	if !(p.Density >= 500 && p.Density <= 30000) {
		return fieldf("density", "must be 500 to 30000 kg/m3")
	}
	sum := 0.0
	for i, s := range p.Stretches {
		if !(s.LengthM > 0 && s.LengthM <= 2) || !(s.DiameterM >= 1e-4 && s.DiameterM <= 0.02) {
			return fieldf(fmt.Sprintf("segments_m[%d]", i), "is no stretch of a spoke in metres")
		}
		sum += s.LengthM
	}
	if math.Abs(sum-p.FreeLengthM) > 1e-6 {
		return fieldf("segments_m", "add up to %g m, not to the free length", sum)
	}
	return nil
}

// firstClampedBeam is bL of the lowest pitch of a clamped wire without tension;
// with tension it lies between pi and this. The next one lies above 2 pi.
const firstClampedBeam = 4.730040744862704

// clampedTension finds the tension at which the lowest pitch of the clamped
// wire is the one heard: the pitch rises with tension, so that halving closes
// in. Not known when the wire is as high without any.
func clampedTension(mass, ei, length, hz, high float64) (tension float64, known bool) {
	if clampedReaches(mass, ei, length, hz, 0) {
		return 0, false
	}
	low := 0.0
	for range 200 {
		if middle := (low + high) / 2; clampedReaches(mass, ei, length, hz, middle) {
			high = middle
		} else {
			low = middle
		}
	}
	return (low + high) / 2, true
}

// clampedReaches says whether the lowest pitch of the clamped wire at a tension
// is at least hz. Below its lowest pitch the left side of the equation is above
// zero; divided by cosh aL it stays small enough to compute.
func clampedReaches(mass, ei, length, hz, tension float64) bool {
	w := 2 * math.Pi * hz
	pull := tension / (2 * ei)
	root := math.Sqrt(pull*pull + mass*w*w/ei)
	a := math.Sqrt(root + pull)
	b := math.Sqrt(mass*w*w/ei) / a // sqrt(root - pull) without its cancellation
	switch {
	case b*length <= math.Pi:
		return true
	case b*length > firstClampedBeam:
		return false
	}
	sin, cos := math.Sincos(b * length)
	return 2*a*b*(1/math.Cosh(a*length)-cos)+(a*a-b*b)*sin*math.Tanh(a*length) >= 0
}

// Evenness is one spoke's pitch beside the others of its side.
type Evenness struct {
	Spoke   int
	RelPct  float64 // %, relative tension less that of the side's median: 100 (f^2/median^2 - 1)
	Partial bool    // about twice the others' pitch: the wrong partial, pluck again
}

// RelativeByPitch compares the spokes of one side, which must be of one type
// and free length, by their pitch: tension goes about with its square. It says
// how even they are, never how tight. A pitch within 15 % of twice, three times
// or half the median is marked as a wrong partial.
func RelativeByPitch(spokes []int, hz []float64) ([]Evenness, error) {
	if len(spokes) != len(hz) || len(hz) < 3 {
		return nil, fieldf("frequency_hz", "%d pitches for %d spokes, at least 3 needed", len(hz), len(spokes))
	}
	sorted := slices.Clone(hz)
	for i, f := range hz {
		if !(f >= 1 && f <= 1e5) {
			return nil, fieldf(fmt.Sprintf("frequency_hz[%d]", i), "must be 1 to 100000 Hz")
		}
		if spokes[i]%2 != spokes[0]%2 {
			return nil, fieldf("spokes", "index %d is on the other side than index %d", spokes[i], spokes[0])
		}
	}
	slices.Sort(sorted)
	middle := sorted[len(sorted)/2]
	if len(sorted)%2 == 0 {
		middle = (middle + sorted[len(sorted)/2-1]) / 2
	}
	list := make([]Evenness, len(hz))
	for i, f := range hz {
		ratio := f / middle
		list[i] = Evenness{Spoke: spokes[i], RelPct: 100 * (ratio*ratio - 1)}
		for _, partial := range []float64{0.5, 2, 3} {
			if math.Abs(math.Log(ratio/partial)) < 0.15 {
				list[i].Partial = true
			}
		}
	}
	return list, nil
}
