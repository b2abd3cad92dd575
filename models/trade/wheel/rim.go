package wheel

import (
	"errors"
	"math"
)

// Rim is the rim as an elastic ring. Section values are assumed until a rim
// type has been tested on a bench (see PinchDiameterChange and
// SaddleDeflection); a factor 1.6 either way slows the rounds of truing and
// does not stop them.
type Rim struct {
	Radius       float64 // mm, of the centroid
	EA           float64 // N, stretching
	InPlaneEI    float64 // N mm2, bending in the plane of the wheel
	OutOfPlaneEI float64 // N mm2, bending to the side
	GJ           float64 // N mm2, twisting
}

// largestRadius and largestSection bound what is taken for a rim: a hundred
// times the largest of a road vehicle. They keep products within a double.
const (
	largestRadius  = 1e5
	largestSection = 1e14
)

// Check gives every field that cannot be, joined; each is a *FieldError.
func (r Rim) Check() error {
	var errs []error
	for _, f := range []struct {
		name           string
		value, highest float64
	}{
		{"rim_radius", r.Radius, largestRadius}, {"rim_EA", r.EA, largestSection}, {"rim_EI_rad", r.InPlaneEI, largestSection},
		{"rim_EI_lat", r.OutOfPlaneEI, largestSection}, {"rim_GJ", r.GJ, largestSection},
	} {
		if !finite(f.value) || f.value < 1e-6 || f.value > f.highest {
			errs = append(errs, fieldf(f.name, "must be above zero and at most %g", f.highest))
		}
	}
	return errors.Join(errs...)
}

// HoopStiffness is what a uniform growth of the radius takes over the whole
// ring, N/mm: 2 pi EA/R. Source: textbook.
func (r Rim) HoopStiffness() float64 { return 2 * math.Pi * r.EA / r.Radius }

// RadialStiffness is the modal stiffness of n waves in the plane of the wheel
// without stretching, N/mm: pi EI (n^2-1)^2/R^3. One wave is a motion of the
// whole ring and has none. Source: Timoshenko, ring theory.
func (r Rim) RadialStiffness(n int) float64 {
	k := float64(n*n - 1)
	return math.Pi * r.InPlaneEI * k * k / cube(r.Radius)
}

// LateralStiffness is the modal stiffness of n waves to the side, the twist
// following by itself, N/mm: pi EI GJ n^2 (n^2-1)^2/(R^3 (EI + n^2 GJ)).
// Source: Love and Michell, bending of rings out of their plane.
func (r Rim) LateralStiffness(n int) float64 {
	square := float64(n * n)
	k := square - 1
	return math.Pi * r.OutOfPlaneEI * r.GJ * square * k * k / (cube(r.Radius) * (r.OutOfPlaneEI + square*r.GJ))
}

// PinchDiameterChange is by how much the diameter between two opposite forces
// P shrinks, mm: (pi/4 - 2/pi) P R^3/EI. A bench test of a bare rim that gives
// EI. Source: Timoshenko (quoted from memory).
func (r Rim) PinchDiameterChange(force float64) float64 {
	return (math.Pi/4 - 2/math.Pi) * force * cube(r.Radius) / r.InPlaneEI
}

// SaddleDeflection is how far a load moves, mm, when the ring is bent to a
// saddle by P sideways at 0 and 180 degrees and -P at 90 and 270: the sum of
// 4 P/LateralStiffness(n) over the waves n = 2, 6, 10... that these loads
// excite, the others cancelling. With the pinch test it gives GJ. Source: the
// modal stiffness above, summed.
func (r Rim) SaddleDeflection(force float64) float64 {
	sum := 0.0
	for n := 2; n <= saddleWaves; n += 4 {
		sum += 4 * force / r.LateralStiffness(n)
	}
	return sum
}

// saddleWaves is where the sum of SaddleDeflection ends; its terms fall with
// the fourth power of the waves.
const saddleWaves = 4002

// TapToneInPlane is the pitch of a bare rim of some mass ringing with n waves
// in its plane, Hz: n(n^2-1)/(2 pi sqrt(n^2+1)) sqrt(EI/(m R^4)), m the mass
// for each mm. Source: textbook (Hoppe 1871).
func (r Rim) TapToneInPlane(n int, massKg float64) float64 {
	k := float64(n)
	return k * (k*k - 1) / (2 * math.Pi * math.Sqrt(k*k+1)) * math.Sqrt(r.InPlaneEI/r.inertia(massKg))
}

// TapToneOutOfPlane is the same to the side, Hz: n(n^2-1)/(2 pi sqrt(n^2 +
// EI/GJ)) sqrt(EI/(m R^4)). Source: textbook (Michell 1890).
func (r Rim) TapToneOutOfPlane(n int, massKg float64) float64 {
	k := float64(n)
	return k * (k*k - 1) / (2 * math.Pi * math.Sqrt(k*k+r.OutOfPlaneEI/r.GJ)) * math.Sqrt(r.OutOfPlaneEI/r.inertia(massKg))
}

// inertia is m R^4 in tonne mm^3, which goes with N and mm.
func (r Rim) inertia(massKg float64) float64 {
	return massKg / 1000 / (2 * math.Pi * r.Radius) * r.Radius * cube(r.Radius)
}

func cube(x float64) float64 { return x * x * x }
