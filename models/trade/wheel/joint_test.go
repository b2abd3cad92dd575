package wheel

import (
	"errors"
	"math"
	"testing"
)

// Waves 1 to 3 are fitted outside the window without error, so that a bump put
// inside comes back as it was put.
func TestJointGivesBackTheBump(t *testing.T) {
	for _, row := range []struct {
		name     string
		joint    float64
		station  int
		bump     float64
		wantKind string
	}{
		{"hop", 180, 18, 0.35, Hop},
		{"flat", 180, 17, -0.28, Flat},
		{"across station 0", 355, 35, 0.2, Hop},
		{"just before the valve, window over 0", 350, 1, -0.15, Flat},
	} {
		t.Run(row.name, func(t *testing.T) {
			y := waves(36, 0.1, Harmonic{1, 0.1, 30}, Harmonic{2, 0.2, -60}, Harmonic{3, 0.05, 100})
			y[row.station] += row.bump
			j, err := JointLocal(y, row.joint, 25, 3)
			if err != nil {
				t.Fatal(err)
			}
			near(t, "deviation", j.LocalDeviation, row.bump, 1e-11)
			near(t, "left outside", j.RMSOutside, 0, 1e-11)
			if j.Station != row.station || j.Kind != row.wantKind {
				t.Errorf("%s at %d, want %s at %d", j.Kind, j.Station, row.wantKind, row.station)
			}
		})
	}
}

// Stations of a wheel of 36 stand 10 degrees apart: a window of 20 degrees holds
// its edges, one of 19.9 does not.
func TestJointWindowHoldsItsEdge(t *testing.T) {
	y := make([]float64, 36)
	y[20] = 0.3
	if j, err := JointLocal(y, 180, 20, 0); err != nil || j.Station != 20 {
		t.Errorf("window of 20 degrees: station %d, %v", j.Station, err)
	}
	if j, err := JointLocal(y, 180, 19.9, 0); err != nil || j.Station == 20 {
		t.Errorf("window of 19.9 degrees: station %d, %v", j.Station, err)
	}
}

func TestJointRefuses(t *testing.T) {
	good := waves(36, 0, Harmonic{1, 0.1, 0})
	for _, row := range []struct {
		name        string
		readings    []float64
		joint, half float64
		harmonics   int
		want        error
	}{
		{"too few stations", good[:11], 0, 25, 3, ErrTooFewStations},
		{"too few outside the window", good[:12], 0, 120, 3, ErrTooFewStations},
		{"no station inside", good, 5, 4, 3, ErrInput},
		{"window of the whole rim", good, 0, 180, 3, ErrInput},
		{"no window", good, 0, 0, 3, ErrInput},
		{"waves beyond the stations", good, 0, 25, 18, ErrInput},
		{"negative waves", good, 0, 25, -1, ErrInput},
		{"joint not a number", good, math.NaN(), 25, 3, ErrInput},
	} {
		t.Run(row.name, func(t *testing.T) {
			if _, err := JointLocal(row.readings, row.joint, row.half, row.harmonics); !errors.Is(err, row.want) {
				t.Errorf("got %v, want %v", err, row.want)
			}
		})
	}
}
