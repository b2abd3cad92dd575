package pack

import (
	"errors"
	"testing"

	"pgregory.net/rapid"
)

// Two points made from a known source of 12.7 V and 16 mohm give it back.
func TestTwoPointGivesBackTheSource(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		u0 := rapid.Float64Range(3, 60).Draw(t, "volts")
		r := rapid.Float64Range(0.001, 0.05).Draw(t, "ohm")
		i1 := rapid.Float64Range(0.5, 5).Draw(t, "small current")
		i2 := i1 * rapid.Float64Range(4, 6).Draw(t, "times")
		got, err := TwoPoint{I1: i1, U1: u0 - r*i1, I2: i2, U2: u0 - r*i2}.Resolve()
		if err != nil {
			t.Fatal(err)
		}
		for _, x := range []struct {
			what      string
			got, want float64
		}{{"milliohm", got.RMohm, 1000 * r}, {"volts", got.U0, u0}, {"short-circuit current", got.IscA, u0 / r}} {
			if d := x.got/x.want - 1; d > 1e-8 || d < -1e-8 {
				t.Fatalf("%s: got %.12g, want %.12g", x.what, x.got, x.want)
			}
		}
	})
}

func TestTwoPointRefuses(t *testing.T) {
	good := TwoPoint{I1: 4, U1: 12.6, I2: 20, U2: 12.4}
	for _, row := range []struct {
		name   string
		change func(*TwoPoint)
		want   error
	}{
		{"equal currents", func(p *TwoPoint) { p.I2 = 4 }, ErrInput},
		{"currents exchanged", func(p *TwoPoint) { p.I1, p.I2 = 20, 4 }, ErrInput},
		{"no small current", func(p *TwoPoint) { p.I1 = 0 }, ErrInput},
		{"voltage does not fall", func(p *TwoPoint) { p.U2 = 12.6 }, ErrInput},
		{"negative resolution", func(p *TwoPoint) { p.ResolutionV = -0.01 }, ErrInput},
		{"under 20 steps of the meter", func(p *TwoPoint) { p.ResolutionV = 0.0101 }, ErrNotMeasurable},
		{"20 steps exactly", func(p *TwoPoint) { p.ResolutionV = 0.01 }, nil},
	} {
		t.Run(row.name, func(t *testing.T) {
			p := good
			row.change(&p)
			if _, err := p.Resolve(); !errors.Is(err, row.want) {
				t.Errorf("got %v, want %v", err, row.want)
			}
		})
	}
}

// IEC 60896-21 cl. 6.3 (from memory): 4 and 20 times a tenth of the capacity.
func TestStandardCurrents(t *testing.T) {
	for _, row := range []struct {
		name   string
		i1, i2 float64
		want   bool
	}{
		{"exactly", 4, 20, true}, {"5 % off", 4.2, 19, true}, {"small one 6 % off", 4.24, 20, false}, {"large one 6 % off", 4, 21.2, false},
	} {
		got, err := TwoPoint{I1: row.i1, I2: row.i2}.StandardCurrents(10)
		if err != nil || got != row.want {
			t.Errorf("%s: got %v, %v", row.name, got, err)
		}
	}
	if _, err := (TwoPoint{}).StandardCurrents(0); !errors.Is(err, ErrInput) {
		t.Errorf("no capacity: %v", err)
	}
}

// A block of 15 mohm in a window of 12 to 20, typed in four units, and both edges
// of half to twice the window.
func TestGuessUnit(t *testing.T) {
	for _, row := range []struct {
		name    string
		entered float64
		guess   UnitGuess
		mohm    float64
	}{
		{"milliohm", 15, UnitOK, 15},
		{"half the window itself", 6, UnitOK, 6},
		{"below it, as ohm and micro-ohm nothing, as siemens too much", 5.9, UnitImplausible, 0},
		{"twice the window itself", 40, UnitOK, 40},
		{"above it, read as siemens", 41, InSiemens, 1000.0 / 41},
		{"ohm", 0.015, InOhm, 15},
		{"micro-ohm", 15000, InMicroohm, 15},
		{"siemens", 66.7, InSiemens, 1000 / 66.7},
		{"nothing fits", 500, UnitImplausible, 0},
	} {
		t.Run(row.name, func(t *testing.T) {
			guess, mohm, known, err := GuessUnit(row.entered, 12, 20)
			if err != nil {
				t.Fatal(err)
			}
			if guess != row.guess || known != (guess != UnitImplausible) {
				t.Errorf("got %s, known %v, want %s", guess, known, row.guess)
			}
			near(t, "milliohm", mohm, row.mohm, 1e-9)
		})
	}
	for _, bad := range [][3]float64{{0, 12, 20}, {-1, 12, 20}, {15, 0, 20}, {15, 20, 12}} {
		if _, _, _, err := GuessUnit(bad[0], bad[1], bad[2]); !errors.Is(err, ErrInput) {
			t.Errorf("%v: got %v, want ErrInput", bad, err)
		}
	}
}
