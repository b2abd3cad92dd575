package wheel

import (
	"errors"
	"math"
	"strings"
	"testing"
)

// triangles is a radial wheel whose spokes are sides of right triangles of whole
// numbers: A 120, 50, 130 and B 120, 35, 125.
func triangles() Geometry {
	return Geometry{
		Spokes: 36, RimRadius: 188, NippleInset: 8,
		FlangeRadiusA: 60, FlangeRadiusB: 60, FlangeOffsetA: 50, FlangeOffsetB: 35,
		SpokeE: 200000, Profile: []Segment{{0, 2}}, FlangeHoleDiameter: 2.6,
	}
}

func TestRadialWheelOfWholeTriangles(t *testing.T) {
	g := triangles()
	a, err := g.Spoke(0)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "length A", a.Length, 130, 1e-12)
	near(t, "cut length A", a.CutLength, 128.7, 1e-12)
	near(t, "bracing A", a.BracingDeg, math.Asin(50.0/130)*180/math.Pi, 1e-12)
	near(t, "entry A", a.EntryDeg, 0, 1e-12)
	near(t, "stiffness A, E A / L", a.StiffnessNmm, 200000*math.Pi/130, 1e-9)
	b, err := g.Spoke(1)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "length B", b.Length, 125, 1e-12)
	near(t, "B points away from side A", b.UnitVector[2], -35.0/125, 1e-15)
	ratio, err := g.ExpectedRatio()
	if err != nil {
		t.Fatal(err)
	}
	// Axial balance: T_A 50/130 = T_B 35/125.
	near(t, "ratio A over B", ratio, (35.0/125)/(50.0/130), 1e-15)
}

// A stretch twice as thin is four times as soft; springs in series.
func TestButtedSpokeAndSeat(t *testing.T) {
	g := triangles()
	g.Profile = []Segment{{20, 2}, {0, 1}, {10, 2}}
	g.SeatCompliance = 1e-5
	s, err := g.Spoke(0)
	if err != nil {
		t.Fatal(err)
	}
	perArea := 1 / (200000 * math.Pi) // give of 1 mm at 2 mm diameter
	near(t, "stiffness", s.StiffnessNmm, 1/(30*perArea+100*4*perArea+1e-5), 1e-9)
}

// Every second spoke of a side leans the other way: 0 and 1 forward, 2 and 3
// back, 4 and 5 forward again.
func TestLeanOfTheSpokes(t *testing.T) {
	g := triangles()
	g.CrossA, g.CrossB = 2, 1
	for j := range g.Spokes {
		s, err := g.Spoke(j)
		if err != nil {
			t.Fatal(err)
		}
		forward := j%4 < 2
		if (s.UnitVector[1] > 0) != forward {
			t.Errorf("spoke %d: tangential %g", j, s.UnitVector[1])
		}
		if (s.UnitVector[2] > 0) != (j%2 == 0) {
			t.Errorf("spoke %d: axial %g", j, s.UnitVector[2])
		}
		n := s.UnitVector
		near(t, "length of the unit vector", math.Sqrt(n[0]*n[0]+n[1]*n[1]+n[2]*n[2]), 1, 1e-14)
		if s.EntryDeg <= 0 {
			t.Errorf("spoke %d: entry angle %g of a crossed spoke", j, s.EntryDeg)
		}
	}
}

func TestGeometryNamesEachBadField(t *testing.T) {
	for _, row := range []struct {
		field string
		spoil func(*Geometry)
	}{
		{"spokes", func(g *Geometry) { g.Spokes = 35 }},
		{"spokes", func(g *Geometry) { g.Spokes = 0 }},
		{"rim_radius", func(g *Geometry) { g.RimRadius = 0 }},
		{"rim_radius", func(g *Geometry) { g.RimRadius = math.NaN() }},
		{"nipple_inset", func(g *Geometry) { g.NippleInset = -1 }},
		{"flange_radius_A", func(g *Geometry) { g.FlangeRadiusA = 180 }},
		{"flange_radius_B", func(g *Geometry) { g.FlangeRadiusB = -60 }},
		{"flange_offset_A", func(g *Geometry) { g.FlangeOffsetA = 0 }},
		{"flange_offset_B", func(g *Geometry) { g.FlangeOffsetB = math.Inf(1) }},
		{"cross_A", func(g *Geometry) { g.CrossA = 5 }},
		{"cross_B", func(g *Geometry) { g.CrossB = -1 }},
		{"spoke_E", func(g *Geometry) { g.SpokeE = 0 }},
		{"spoke_seat_compliance", func(g *Geometry) { g.SeatCompliance = -1e-5 }},
		{"flange_hole_diameter", func(g *Geometry) { g.FlangeHoleDiameter = -2 }},
		{"spoke_profile", func(g *Geometry) { g.Profile = nil }},
		{"spoke_profile", func(g *Geometry) { g.Profile = []Segment{{0, 2}, {0, 2}} }},
		{"spoke_profile", func(g *Geometry) { g.Profile = []Segment{{200, 2}, {0, 2}} }},
		{"spoke_profile[0]", func(g *Geometry) { g.Profile = []Segment{{0, 0}} }},
		{"spoke_profile[1]", func(g *Geometry) { g.Profile = []Segment{{0, 2}, {-5, 2}} }},
	} {
		g := triangles()
		row.spoil(&g)
		_, err := g.ExpectedRatio()
		if !errors.Is(err, ErrInput) || !strings.Contains(err.Error(), row.field+": ") {
			t.Errorf("%s: got %v", row.field, err)
		}
	}
}

func TestGeometryReportsAllProblems(t *testing.T) {
	g := triangles()
	g.RimRadius, g.CrossA, g.SpokeE = -1, 9, 0
	err := g.Check()
	for _, field := range []string{"rim_radius", "cross_A", "spoke_E"} {
		if err == nil || !strings.Contains(err.Error(), field+": ") {
			t.Errorf("%s is not named in %v", field, err)
		}
	}
}

func TestSpokeNotOnTheWheel(t *testing.T) {
	for _, j := range []int{-1, 36} {
		if _, err := triangles().Spoke(j); !errors.Is(err, ErrInput) {
			t.Errorf("spoke %d: %v", j, err)
		}
	}
}
