package pack

import (
	"errors"
	"math"
	"slices"
	"testing"
)

// A week between readings of 1 mV: 7 mV are 1 mV a day.
func TestLossFlags(t *testing.T) {
	first := []float64{12.900, 12.900, 12.900, 12.900, 12.900}
	second := []float64{12.893, 12.893, 12.879, 12.878, 12.901} // 1, 1, 3, 3.14 and -0.14 mV/day
	r, err := LossBetween(Losses{First: first, Second: second, Hours: 168, ResolutionMV: 1, LimitMVDay: 3, LimitZ: 1e6})
	if err != nil {
		t.Fatal(err)
	}
	for i, want := range []float64{1, 1, 3, 22.0 / 7, -1.0 / 7} {
		near(t, "loss", r.MVDay[i], want, 1e-12)
	}
	if !slices.Equal(r.OverLimit, []int{4}) {
		t.Errorf("over the limit: got %v, want 4 alone: the limit itself passes", r.OverLimit)
	}
	if !slices.Equal(r.Rising, []int{5}) {
		t.Errorf("rising: got %v, want 5", r.Rising)
	}
	near(t, "one step of the meter", r.StepMVDay, 1.0/7, 1e-12)
}

// Identical losses have no deviation: half a step stands in for it, and a block
// one step away is 0.6745 / 0.5 = 1.349 from the rest.
func TestLossFloor(t *testing.T) {
	r, err := LossBetween(Losses{
		First: []float64{12.9, 12.9, 12.9, 12.9, 12.9}, Second: []float64{12.89, 12.89, 12.89, 12.89, 12.889},
		Hours: 240, ResolutionMV: 1, LimitMVDay: 3, LimitZ: 3.5,
	})
	if err != nil {
		t.Fatal(err)
	}
	near(t, "deviation", r.MAD, 0, 0)
	near(t, "deviation used", r.MADUsed, 0.05, 1e-12)
	near(t, "z of the fifth", r.Z[4], 1.349, 1e-9)
	if len(r.OverZ) != 0 {
		t.Errorf("flagged %v, want none", r.OverZ)
	}
}

// Only a loss that is too high is flagged, and a meter of 0.1 mV keeps its digit.
func TestLossHighSideAndFineMeter(t *testing.T) {
	r, err := LossBetween(Losses{
		First: []float64{3.3000, 3.3000, 3.3000, 3.3000}, Second: []float64{3.2986, 3.2986, 3.2986, 3.3000},
		Hours: 336, ResolutionMV: 0.1, LimitMVDay: 0.3, LimitZ: 3.5,
	})
	if err != nil {
		t.Fatal(err)
	}
	near(t, "1.4 mV in 14 days", r.MVDay[0], 0.1, 1e-12)
	if r.Z[3] > -3.5 || len(r.OverZ) != 0 {
		t.Errorf("z of the fourth %g, flagged %v: a low loss is not flagged", r.Z[3], r.OverZ)
	}
	if r.TooSoon {
		t.Error("14 days are not too soon")
	}
	if r, err := LossBetween(Losses{First: []float64{12.9}, Second: []float64{12.9}, Hours: 119, ResolutionMV: 1, LimitMVDay: 3, LimitZ: 3.5}); err != nil || !r.TooSoon {
		t.Errorf("119 h: got %+v, %v, want too soon", r, err)
	}
}

func TestLossRefuses(t *testing.T) {
	for _, row := range []struct {
		name   string
		change func(*Losses)
	}{
		{"no blocks", func(l *Losses) { l.First, l.Second = nil, nil }},
		{"a reading too few", func(l *Losses) { l.Second = l.Second[:1] }},
		{"no time between", func(l *Losses) { l.Hours = 0 }},
		{"no step", func(l *Losses) { l.ResolutionMV = 0 }},
		{"a step beyond any meter", func(l *Losses) { l.ResolutionMV = 1e-300 }},
		{"limit below zero", func(l *Losses) { l.LimitMVDay = -1 }},
		{"z of nothing", func(l *Losses) { l.LimitZ = math.NaN() }},
		{"reading not a number", func(l *Losses) { l.First[1] = math.NaN() }},
		{"reading in millivolts", func(l *Losses) { l.Second[0] = 12893 }},
		{"a lot of a hundred thousand and one", func(l *Losses) { l.First = make([]float64, 100_001); l.Second = l.First }},
	} {
		t.Run(row.name, func(t *testing.T) {
			l := Losses{First: []float64{12.9, 12.9}, Second: []float64{12.89, 12.89}, Hours: 168, ResolutionMV: 1, LimitMVDay: 3, LimitZ: 3.5}
			row.change(&l)
			if _, err := LossBetween(l); !errors.Is(err, ErrInput) {
				t.Errorf("got %v, want ErrInput", err)
			}
		})
	}
}

// A coarse meter's step is no reason to round what is finer away: 9 mV in a day are 9,
// not 10 or 0. To 1 mV, as the calculations of the contract are, 5.1 mV in a week are 5:
// 24/168 times 5, and 9 for 8.6.
func TestLossIsRoundedToAMillivolt(t *testing.T) {
	r, err := LossBetween(Losses{First: []float64{12.904, 12.905, 12.91}, Second: []float64{12.895, 12.896, 12.901}, Hours: 24, ResolutionMV: 10, LimitMVDay: 100, LimitZ: 3.5})
	if err != nil {
		t.Fatal(err)
	}
	for _, k := range r.MVDay {
		near(t, "9 mV in a day", k, 9, 1e-9)
	}
	r, err = LossBetween(Losses{First: []float64{12.9051, 12.9}, Second: []float64{12.9, 12.8914}, Hours: 168, ResolutionMV: 0.1, RoundMV: 1, LimitMVDay: 3, LimitZ: 3.5})
	if err != nil {
		t.Fatal(err)
	}
	near(t, "5 mV in a week", r.MVDay[0], 5.0/7, 1e-9)
	near(t, "9 mV in a week", r.MVDay[1], 9.0/7, 1e-9)
}
