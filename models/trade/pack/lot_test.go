package pack

import (
	"errors"
	"slices"
	"testing"
)

func times(n int, x float64) []float64 {
	list := make([]float64, n)
	for i := range list {
		list[i] = x
	}
	return list
}

// Each limit with the value itself and the next beyond it.
func TestLotRule(t *testing.T) {
	limits := LotLimits{FlaggedPct: 10, ResistanceRatio: 1.15, LeastOCV: 12.60}
	good := LotFacts{Compared: 20, OCV: times(20, 12.60), Resistance: times(20, 11.5), ModelResistance: times(30, 10)}
	for _, c := range []struct {
		name   string
		change func(*LotFacts)
		want   []string
	}{
		{"all at their limits", func(f *LotFacts) { f.Flagged = 2 }, []string{}},
		{"three of twenty flagged", func(f *LotFacts) { f.Flagged = 3 }, []string{LotManyFlagged}},
		{"resistance above 1.15 of the model", func(f *LotFacts) { f.Resistance = times(20, 11.51) }, []string{LotHighResistance}},
		{"a model of 29 blocks has no middle", func(f *LotFacts) { f.Resistance, f.ModelResistance = times(20, 20), times(29, 10) }, []string{}},
		{"voltage below the least", func(f *LotFacts) { f.OCV = times(20, 12.599) }, []string{LotLowVoltage}},
		{"half below, half above", func(f *LotFacts) { f.OCV = append(times(10, 12.50), times(10, 12.70)...) }, []string{}},
		{"everything", func(f *LotFacts) { f.Flagged, f.OCV, f.Resistance = 20, times(20, 12), times(20, 12) }, []string{LotManyFlagged, LotHighResistance, LotLowVoltage}},
		{"nothing is known", func(f *LotFacts) { *f = LotFacts{} }, []string{}},
	} {
		t.Run(c.name, func(t *testing.T) {
			f := good
			c.change(&f)
			r, err := LotRule(f, limits)
			if err != nil || !slices.Equal(r.Reasons, c.want) {
				t.Errorf("got %v, %v; want %v", r.Reasons, err, c.want)
			}
		})
	}
	if _, err := LotRule(LotFacts{Flagged: 2, Compared: 1}, limits); !errors.Is(err, ErrInput) {
		t.Errorf("more flagged than compared: %v", err)
	}
}

// The worked example of a lot of eight: median 1.286, deviation 0.143, the fifth
// stands 24.3 away.
func TestRobustZ(t *testing.T) {
	z, median, mad, err := RobustZ([]float64{9. / 7, 8. / 7, 10. / 7, 9. / 7, 45. / 7, 9. / 7, 8. / 7, 10. / 7}, 0.5/7)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "median", median, 1.286, 0.001)
	near(t, "deviation", mad, 0.143, 0.001)
	near(t, "z of the fifth", z[4], 24.3, 0.05)
	if _, _, _, err := RobustZ(nil, 1); err == nil {
		t.Error("nothing has no middle")
	}
	if _, _, _, err := RobustZ([]float64{1}, 0); !errors.Is(err, ErrInput) {
		t.Errorf("no floor: %v", err)
	}
}

// Readings at moments of their own: 7 mV in 7 days and 14 mV in 14 are 1 mV a day
// both; the step of the meter is that of the shorter time.
func TestLossAtMomentsOfTheirOwn(t *testing.T) {
	r, err := LossBetween(Losses{First: []float64{12.9, 12.9}, Second: []float64{12.893, 12.886}, HoursEach: []float64{168, 336}, ResolutionMV: 1, LimitMVDay: 3, LimitZ: 3.5})
	if err != nil {
		t.Fatal(err)
	}
	near(t, "first", r.MVDay[0], 1, 1e-12)
	near(t, "second", r.MVDay[1], 1, 1e-12)
	near(t, "step", r.StepMVDay, 1.0/7, 1e-12)
	for name, hours := range map[string][]float64{"too few": {168}, "none at all": {168, 0}} {
		if _, err := LossBetween(Losses{First: []float64{12.9, 12.9}, Second: []float64{12.9, 12.9}, HoursEach: hours, ResolutionMV: 1, LimitMVDay: 3, LimitZ: 3.5}); !errors.Is(err, ErrInput) {
			t.Errorf("%s: %v", name, err)
		}
	}
}
