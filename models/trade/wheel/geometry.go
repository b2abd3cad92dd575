package wheel

import (
	"errors"
	"fmt"
	"math"
)

// Segment is a stretch of a spoke of one diameter.
type Segment struct {
	Length   float64 // mm; 0 for the stretch that takes what the others leave
	Diameter float64 // mm
}

// Geometry describes a laced wheel. Lengths are mm; an offset is the distance
// of a flange from the centre plane of the rim, above zero on either side.
type Geometry struct {
	Spokes                       int       // on the whole wheel, even
	RimRadius                    float64   // of the rim's centroid
	NippleInset                  float64   // nipple seat inward of the centroid
	FlangeRadiusA, FlangeRadiusB float64   // of the circle of spoke holes
	FlangeOffsetA, FlangeOffsetB float64   //
	CrossA, CrossB               int       // spokes of its own side that a spoke crosses
	SpokeE                       float64   // N/mm2, modulus of the spoke
	Profile                      []Segment // from end to end; exactly one stretch of length 0
	SeatCompliance               float64   // mm/N, give of elbow and seat; 0 when not known
	FlangeHoleDiameter           float64   // taken off the cut length by half
}

// Spoke is one spoke of a laced wheel.
type Spoke struct {
	Length       float64    // mm, centre line from nipple seat to flange hole
	CutLength    float64    // mm, Length less half the flange hole
	BracingDeg   float64    // out of the wheel plane
	EntryDeg     float64    // between spoke and rim radius at the nipple, in the wheel plane
	StiffnessNmm float64    // N/mm along the spoke
	UnitVector   [3]float64 // nipple to flange: radial (out), tangential, axial (toward A)
}

// Spoke gives spoke j, data index from 0. With R_n the nipple seat radius, r_h
// and F the flange's hole circle radius and offset, and psi the angle between
// nipple and flange hole, 4 pi X/N for X crossings of N spokes, + when floor(j/2)
// is even:
//
//	L         = sqrt(R_n^2 + r_h^2 + F^2 - 2 R_n r_h cos psi)
//	bracing   = asin(F/L)
//	entry     = atan(r_h |sin psi| / (R_n - r_h cos psi))
//	stiffness = 1/(sum(l_i/(E A_i)) + seat compliance), over the whole length
//	n         = (r_h cos psi - R_n, r_h sin psi, +F on A or -F on B)/L
//
// Source: geometry and springs in series, textbook; the cut length is common
// practice, no source. Every field that cannot be is an ErrInput of its own,
// joined.
func (g Geometry) Spoke(j int) (Spoke, error) {
	if err := g.Check(); err != nil {
		return Spoke{}, err
	}
	if j < 0 || j >= g.Spokes {
		return Spoke{}, fieldf("spoke", "index %d is not on a wheel of %d spokes", j, g.Spokes)
	}
	hole, offset, cross, toward := g.FlangeRadiusA, g.FlangeOffsetA, g.CrossA, 1.0
	if j%2 == 1 {
		hole, offset, cross, toward = g.FlangeRadiusB, g.FlangeOffsetB, g.CrossB, -1
	}
	lean := 1.0
	if j/2%2 == 1 {
		lean = -1
	}
	seat := g.RimRadius - g.NippleInset
	sin, cos := math.Sincos(4 * math.Pi * float64(cross) / float64(g.Spokes))
	inward, along := hole*cos-seat, hole*sin
	length := math.Sqrt(inward*inward + along*along + offset*offset)
	stiffness, err := g.stiffness(length)
	if err != nil {
		return Spoke{}, err
	}
	return Spoke{
		Length:       length,
		CutLength:    length - g.FlangeHoleDiameter/2,
		BracingDeg:   math.Asin(offset/length) * 180 / math.Pi,
		EntryDeg:     math.Atan2(along, -inward) * 180 / math.Pi,
		StiffnessNmm: stiffness,
		UnitVector:   [3]float64{inward / length, lean * along / length, toward * offset / length},
	}, nil
}

// stiffness adds up the give of the stretches of a spoke of some length.
func (g Geometry) stiffness(length float64) (float64, error) {
	rest := length
	for _, s := range g.Profile {
		rest -= s.Length
	}
	if rest <= 0 {
		return 0, fieldf("spoke_profile", "is %.1f mm long and leaves nothing of a spoke of %.1f mm", length-rest, length)
	}
	give := g.SeatCompliance
	for _, s := range g.Profile {
		l := s.Length
		if l == 0 {
			l = rest
		}
		give += l / (g.SpokeE * math.Pi * s.Diameter * s.Diameter / 4)
	}
	return 1 / give, nil
}

// ExpectedRatio gives mean tension of side A over that of side B at which the
// rim is in axial balance: sin(bracing B)/sin(bracing A), the sides having
// equally many spokes. A measured ratio near the inverse means swapped sides.
// Source: statics, textbook.
func (g Geometry) ExpectedRatio() (aOverB float64, err error) {
	a, err := g.Spoke(0)
	if err != nil {
		return 0, err
	}
	b, err := g.Spoke(1)
	if err != nil {
		return 0, err
	}
	return g.FlangeOffsetB / b.Length / (g.FlangeOffsetA / a.Length), nil
}

// Bounds of spokes, far outside what is built.
const (
	stiffest = 2e6   // N/mm2; diamond has about 1.1e6, from memory
	thickest = 100.0 // mm
)

// Check gives every field that cannot be, joined; each is a *FieldError.
func (g Geometry) Check() error {
	var errs []error
	refuse := func(bad bool, field, format string, args ...any) {
		if bad {
			errs = append(errs, fieldf(field, format, args...))
		}
	}
	lengths := []struct {
		field string
		value float64
	}{
		{"rim_radius", g.RimRadius}, {"flange_radius_A", g.FlangeRadiusA}, {"flange_radius_B", g.FlangeRadiusB},
		{"flange_offset_A", g.FlangeOffsetA}, {"flange_offset_B", g.FlangeOffsetB}, {"spoke_E", g.SpokeE},
	}
	for _, l := range lengths {
		refuse(!finite(l.value) || l.value <= 0, l.field, "must be above zero")
	}
	refuse(g.SpokeE > stiffest, "spoke_E", "must be at most %g N/mm2: no material is stiffer", stiffest)
	for _, l := range []struct {
		field string
		value float64
	}{{"nipple_inset", g.NippleInset}, {"flange_hole_diameter", g.FlangeHoleDiameter}, {"spoke_seat_compliance", g.SeatCompliance}} {
		refuse(!finite(l.value) || l.value < 0, l.field, "must be zero or more")
	}
	even := g.Spokes >= 4 && g.Spokes%2 == 0
	refuse(!even, "spokes", "a wheel has an even number of spokes, at least 4, not %d", g.Spokes)
	seat := g.RimRadius - g.NippleInset
	for _, f := range []struct {
		side   string
		radius float64
		cross  int
	}{{"A", g.FlangeRadiusA, g.CrossA}, {"B", g.FlangeRadiusB, g.CrossB}} {
		refuse(f.radius >= seat, "flange_radius_"+f.side, "must be smaller than the nipple seat radius, %g mm", seat)
		refuse(f.cross < 0 || even && 8*f.cross > g.Spokes, "cross_"+f.side, "%d spokes allow 0 to %d crossings, not %d", g.Spokes, g.Spokes/8, f.cross)
	}
	open := 0
	for i, s := range g.Profile {
		if s.Length == 0 {
			open++
		}
		field := fmt.Sprintf("spoke_profile[%d]", i)
		refuse(!finite(s.Length) || s.Length < 0, field, "length must be above zero, or left open")
		refuse(!(s.Diameter > 0 && s.Diameter <= thickest), field, "diameter must be above zero and at most %g mm", thickest)
	}
	refuse(open != 1, "spoke_profile", "exactly one stretch takes the remaining length, not %d", open)
	return errors.Join(errs...)
}
