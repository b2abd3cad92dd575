package pack

import (
	"errors"
	"math"
	"testing"

	"pgregory.net/rapid"
)

// Levels at 1.20, 1.30 and 1.50 times the baseline (IEEE 1188, quoted from
// memory, and common practice); the limit itself is reached.
func TestResistanceRatioLevels(t *testing.T) {
	for _, row := range []struct{ name, r, baseline, level string }{
		{"as new", "14", "14", RatioOK},
		{"better than new", "12", "14", RatioOK},
		{"just under 1.2", "16.79", "14", RatioOK},
		{"1.2 itself", "16.8", "14", RatioWatch},
		{"just under 1.3", "18.19", "14", RatioWatch},
		{"1.3 itself", "18.2", "14", RatioInvestigate},
		{"just under 1.5", "20.99", "14", RatioInvestigate},
		{"1.5 itself", "21.0", "14", RatioReject},
		{"1.2 of a baseline that no binary number is", "0.36", "0.3", RatioWatch},
	} {
		t.Run(row.name, func(t *testing.T) {
			_, level, err := ResistanceRatio(dec(t, row.r), dec(t, row.baseline), DefaultRatioLimits())
			if err != nil || level != row.level {
				t.Errorf("%s over %s: got %s, %v, want %s", row.r, row.baseline, level, err, row.level)
			}
		})
	}
	for _, bad := range [][2]string{{"0", "14"}, {"-14", "14"}, {"14", "0"}, {"14", "-1"}} {
		if _, _, err := ResistanceRatio(dec(t, bad[0]), dec(t, bad[1]), DefaultRatioLimits()); !errors.Is(err, ErrInput) {
			t.Errorf("%v: got %v, want ErrInput", bad, err)
		}
	}
}

// At the reference temperature nothing is corrected; 15 and 35 degrees are
// within the range of the correction.
func TestCapacityByHand(t *testing.T) {
	for _, row := range []struct {
		name            string
		temp, corrected float64
		inRange         bool
	}{
		{"at the reference", 25, 10, true},
		{"10 K above, 6 % less", 35, 10 / 1.06, true},
		{"10 K below, 6 % more", 15, 10 / 0.94, true},
		{"outside", 14.9, 10 / 0.9394, false},
		{"outside, warm", 35.1, 10 / 1.0606, false},
	} {
		t.Run(row.name, func(t *testing.T) {
			c, err := Discharge{CurrentA: 0.5, Hours: 20, TempC: row.temp, CoefPerK: CapacityCoefSlow, ReferenceC: 25, RatedAh: 12.5}.Corrected()
			if err != nil {
				t.Fatal(err)
			}
			near(t, "measured", c.MeasuredAh, 10, 1e-12)
			near(t, "corrected", c.CorrectedAh, row.corrected, 1e-12)
			near(t, "of rated", c.PctOfRated, 8*row.corrected, 1e-9)
			if c.InRange != row.inRange {
				t.Errorf("in range: got %v", c.InRange)
			}
		})
	}
}

// Times made from the law give its constants back.
func TestPeukertGivesBackTheLaw(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		k := rapid.Float64Range(1.02, 1.6).Draw(t, "k")
		cp := rapid.Float64Range(4, 60).Draw(t, "Cp")
		var currents, times []float64
		for _, current := range []float64{0.5, 1, 2.5, 8} {
			currents, times = append(currents, current), append(times, cp*math.Pow(current, -k))
		}
		fit, err := FitPeukert(currents, times)
		if err != nil {
			t.Fatal(err)
		}
		hours, ah, err := fit.Predict(4)
		if err != nil {
			t.Fatal(err)
		}
		want := cp * math.Pow(4, -k)
		if math.Abs(fit.K-k) > 1e-9 || math.Abs(fit.Cp/cp-1) > 1e-9 || math.Abs(hours/want-1) > 1e-9 || math.Abs(ah/(4*want)-1) > 1e-9 || fit.RMSLogHours > 1e-9 {
			t.Fatalf("k %g, Cp %g gave %+v, %g h, %g Ah at 4 A", k, cp, fit, hours, ah)
		}
	})
}

func TestPeukertReach(t *testing.T) {
	fit, err := FitPeukert([]float64{2, 3.72, 6.8, 24}, []float64{20, 10, 5, 1})
	if err != nil {
		t.Fatal(err)
	}
	for current, ok := range map[float64]bool{1: true, 0.99: false, 48: true, 48.1: false} {
		if _, _, err := fit.Predict(current); (err == nil) != ok {
			t.Errorf("at %g A: got %v, want accepted %v", current, err, ok)
		}
	}
}

// Doubling from 25 to 35 degrees needs 52.95 kJ/mol, and that energy doubles
// there again.
func TestArrheniusThereAndBack(t *testing.T) {
	energy, err := ActivationEnergy(25, 35, 2)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "kJ/mol", energy, 52.95, 0.005)
	monthly, err := ArrheniusRate(3, energy, 35)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "rate at 35 degrees", monthly, 6, 1e-9)
	if back, err := ActivationEnergy(35, 25, 0.5); err != nil || math.Abs(back-energy) > 1e-9 {
		t.Errorf("from 35 to 25 at half: got %g, %v, want %g", back, err, energy)
	}
}

func TestHealthRefuses(t *testing.T) {
	nan := math.NaN()
	discharge := Discharge{CurrentA: 0.6, Hours: 20, TempC: 25, CoefPerK: 0.006, ReferenceC: 25, RatedAh: 12}
	capacity := func(change func(*Discharge)) error {
		d := discharge
		change(&d)
		return second(d.Corrected())
	}
	for name, err := range map[string]error{
		"no current":                     capacity(func(d *Discharge) { d.CurrentA = 0 }),
		"no time":                        capacity(func(d *Discharge) { d.Hours = -1 }),
		"77 degrees":                     capacity(func(d *Discharge) { d.TempC = 77 }),
		"capacity falling with warmth":   capacity(func(d *Discharge) { d.CoefPerK = -0.006 }),
		"correction that leaves nothing": capacity(func(d *Discharge) { d.CoefPerK, d.TempC = 0.1, 10 }),
		"rated at nothing":               capacity(func(d *Discharge) { d.RatedAh = 0 }),
		"beyond a double":                capacity(func(d *Discharge) { d.CurrentA, d.Hours = 1e300, 1e300 }),
		"two rates":                      second(FitPeukert([]float64{1, 8}, []float64{20, 1})),
		"a time too few":                 second(FitPeukert([]float64{1, 4, 8}, []float64{20, 1})),
		"three rates, two currents":      second(FitPeukert([]float64{1, 8, 8}, []float64{20, 1, 1})),
		"currents too near":              second(FitPeukert([]float64{1, 2, 3.9}, []float64{20, 9, 4})),
		"more charge at a larger one":    second(FitPeukert([]float64{1, 2, 8}, []float64{20, 11, 3})),
		"current of nothing":             second(FitPeukert([]float64{0, 2, 8}, []float64{20, 8, 1})),
		"time not a number":              second(FitPeukert([]float64{1, 2, 8}, []float64{20, nan, 1})),
		"one temperature":                second(ActivationEnergy(25, 25, 2)),
		"falls when warmer":              second(ActivationEnergy(25, 35, 0.5)),
		"ratio of nothing":               second(ActivationEnergy(25, 35, 0)),
		"ratio not a number":             second(ActivationEnergy(25, 35, nan)),
		"negative energy":                second(ArrheniusRate(3, -1, 25)),
		"energy beyond a double":         second(ArrheniusRate(3, 1e300, 35)),
	} {
		if !errors.Is(err, ErrInput) {
			t.Errorf("%s: got %v, want ErrInput", name, err)
		}
	}
}
