package gauge

import (
	"encoding/json"
	"math"
	"testing"

	"pgregory.net/rapid"

	"tracewright/models/numbers/stats"
	"tracewright/testdata/cases"
)

// published is the study of 10 parts by 3 operators with 3 trials that the
// Measurement Systems Analysis reference manual (AIAG, 3rd and 4th editions)
// works, as its case carries it.
func published(t *testing.T) Readings {
	t.Helper()
	for _, c := range cases.OfKind(t, "gauge_crossed") {
		if c.ID == "gauge_rr_crossed_10x3x3" {
			return cases.Decode[map[string]Readings](t, json.RawMessage(c.Input))["y_part_operator_trial"]
		}
	}
	t.Fatal("the case is not there")
	return nil
}

// The figures that the manual prints for its study, from memory: the pooled
// analysis of variance, and the method of ranges.
func TestPublishedStudy(t *testing.T) {
	y := published(t)
	s, err := Crossed(y)
	if err != nil {
		t.Fatal(err)
	}
	if !s.Pool() {
		t.Errorf("an interaction with probability %v is to be pooled", s.PInteraction)
	}
	near(t, "F of the interaction", s.FInteraction, 0.434, 0.0005)
	v, err := Summarise(s.PooledNoInteraction, 0)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "repeatability", v.Repeatability, 0.199933, 5e-7)
	near(t, "operator", v.Operator, 0.226838, 5e-7)
	near(t, "gauge", v.Gauge, 0.302373, 5e-6)
	near(t, "part", v.Part, 1.042327, 5e-7)
	near(t, "percent of the gauge", v.PercentGauge, 27.9, 0.05)
	if v.Categories != 4 || v.Band != BandMarginal {
		t.Errorf("%v categories, %s; want 4, %s", v.Categories, v.Band, BandMarginal)
	}

	// The print uses factors of four digits.
	r, err := Ranges(y)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "repeatability by ranges", r.Repeatability, 0.20188, 1.5e-4)
	near(t, "operator by ranges", r.Operator, 0.22963, 1.5e-4)
	near(t, "gauge by ranges", r.Gauge, 0.30575, 1.5e-4)
	near(t, "part by ranges", r.Part, 1.10456, 1.5e-4)
	near(t, "total by ranges", r.Total, 1.14610, 1.5e-4)
}

// d2* for one range of so many values, as Duncan's table prints it (from memory).
func TestRangeDivisor(t *testing.T) {
	for n, want := range map[int]float64{2: 1.41, 3: 1.91, 4: 2.24, 5: 2.48, 6: 2.67, 7: 2.83, 8: 2.96, 9: 3.08, 10: 3.18} {
		d, err := rangeDivisor(n, 1)
		if err != nil {
			t.Error(err)
		}
		near(t, "d2* for one range", d, want, 0.005)
	}
	for groups, want := range map[int]float64{2: 1.28, 3: 1.23, 5: 1.19, 10: 1.16, 15: 1.15, 16: 1.128, 1000: 1.128} {
		d, err := rangeDivisor(2, groups)
		if err != nil {
			t.Error(err)
		}
		near(t, "d2* for ranges of two", d, want, 0.005)
	}
}

// drawStudy makes the readings of a study with known standard deviations.
func drawStudy(chance *stats.Random, parts, operators, trials int, part, operator, interaction, repeat float64) Readings {
	y := make(Readings, parts)
	operatorEffects := make([]float64, operators)
	for j := range operatorEffects {
		operatorEffects[j] = operator * chance.Normal()
	}
	for i := range y {
		of := 50 + part*chance.Normal()
		y[i] = make([][]float64, operators)
		for j := range y[i] {
			cell := of + operatorEffects[j] + interaction*chance.Normal()
			y[i][j] = make([]float64, trials)
			for k := range y[i][j] {
				y[i][j][k] = cell + repeat*chance.Normal()
			}
		}
	}
	return y
}

// The raw estimates of many studies, negative ones with them, average to the
// variances that the readings were made with, within four standard errors. Those
// set to 0 would not.
func TestComponentsRecovered(t *testing.T) {
	const studies = 2000
	chance := stats.NewRandom(11)
	want := Variances{Repeatability: 1, Operator: 0.09, Interaction: 0.04, Part: 4}
	got := map[string][]float64{}
	negative := 0
	for range studies {
		s, err := Crossed(drawStudy(chance, 8, 3, 2, 2, 0.3, 0.2, 1))
		if err != nil {
			t.Fatal(err)
		}
		raw := s.WithInteraction.Raw
		for name, v := range map[string]float64{"repeatability": raw.Repeatability, "operator": raw.Operator, "interaction": raw.Interaction, "part": raw.Part} {
			got[name] = append(got[name], v)
		}
		used := s.WithInteraction.Used
		if raw.Interaction < 0 {
			negative++
			if used.Interaction != 0 {
				t.Fatalf("raw %v, used %v", raw.Interaction, used.Interaction)
			}
		}
		if total := used.Repeatability + used.Operator + used.Interaction + used.Part; math.Abs(total-used.Total()) > 1e-12*total {
			t.Fatalf("parts add to %v, total %v", total, used.Total())
		}
	}
	if negative < studies/10 {
		t.Errorf("only %d negative interactions, the test tries nothing", negative)
	}
	for name, v := range map[string]float64{"repeatability": want.Repeatability, "operator": want.Operator, "interaction": want.Interaction, "part": want.Part} {
		mean, errMean := stats.Mean(got[name])
		sd, errSD := stats.SD(got[name])
		if errMean != nil || errSD != nil {
			t.Fatal(errMean, errSD)
		}
		near(t, name, mean, v, 4*sd/math.Sqrt(studies))
	}
}

// Without an interaction its test calls one in alpha of the studies.
func TestInteractionFalseAlarms(t *testing.T) {
	const studies, alpha = 2000, 0.05
	chance := stats.NewRandom(12)
	alarms := 0
	for range studies {
		s, err := Crossed(drawStudy(chance, 6, 3, 2, 2, 1, 0, 1))
		if err != nil {
			t.Fatal(err)
		}
		if s.PInteraction < alpha {
			alarms++
		}
	}
	near(t, "share of false alarms", float64(alarms)/studies, alpha, 3*math.Sqrt(alpha*(1-alpha)/studies))
}

func TestCrossedProperties(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		parts, operators, trials := rapid.IntRange(2, 6).Draw(r, "parts"), rapid.IntRange(2, 4).Draw(r, "operators"), rapid.IntRange(2, 4).Draw(r, "trials")
		y := make(Readings, parts)
		for i := range y {
			y[i] = make([][]float64, operators)
			for j := range y[i] {
				y[i][j] = make([]float64, trials)
				for k := range y[i][j] {
					y[i][j][k] = float64(rapid.IntRange(-500, 500).Draw(r, "reading"))
				}
			}
		}
		y[0][0][0] = 501 // Never all equal.
		s, err := Crossed(y)
		if err != nil {
			r.Fatal(err)
		}
		same := func(what string, got, want float64) {
			if math.Abs(got-want) > 1e-9*(s.Total.SS+1) {
				r.Fatalf("%s: %v, want %v", what, got, want)
			}
		}
		same("parts of the sum of squares", s.Part.SS+s.Operator.SS+s.Interaction.SS+s.Repeatability.SS, s.Total.SS)
		if s.Part.DF+s.Operator.DF+s.Interaction.DF+s.Repeatability.DF != s.Total.DF {
			r.Fatalf("degrees of freedom do not add up: %+v", s)
		}

		// Three times the readings are nine times the variances; a shift is nothing.
		scaled, err := Crossed(mapped(y, func(_, _, _ int, v float64) float64 { return 3*v + 10_000 }))
		if err != nil {
			r.Fatal(err)
		}
		a, b := s.WithInteraction.Raw, scaled.WithInteraction.Raw
		same("repeatability", b.Repeatability/9, a.Repeatability)
		same("operator", b.Operator/9, a.Operator)
		same("interaction", b.Interaction/9, a.Interaction)
		same("part", b.Part/9, a.Part)
		ranges, err := Ranges(y)
		if err != nil {
			r.Fatal(err)
		}
		scaledRanges, err := Ranges(mapped(y, func(_, _, _ int, v float64) float64 { return 3*v + 10_000 }))
		if err != nil {
			r.Fatal(err)
		}
		same("total by ranges", scaledRanges.Total/3, ranges.Total)

		// The order of the trials, of the operators and of the parts is of no matter.
		turned, err := Crossed(mapped(y, func(i, j, k int, _ float64) float64 {
			return y[parts-1-i][operators-1-j][(k+i+j)%trials]
		}))
		if err != nil {
			r.Fatal(err)
		}
		same("repeatability in another order", turned.Repeatability.SS, s.Repeatability.SS)
		same("interaction in another order", turned.Interaction.SS, s.Interaction.SS)
		same("operator in another order", turned.Operator.SS, s.Operator.SS)
		same("part in another order", turned.Part.SS, s.Part.SS)
	})
}

func mapped(y Readings, of func(i, j, k int, v float64) float64) Readings {
	out := make(Readings, len(y))
	for i := range y {
		out[i] = make([][]float64, len(y[i]))
		for j := range y[i] {
			out[i][j] = make([]float64, len(y[i][j]))
			for k, v := range y[i][j] {
				out[i][j][k] = of(i, j, k, v)
			}
		}
	}
	return out
}

// Trials that never differ: repeatability is nothing, whatever the last digit of
// a mean does, and what divides by it is not known.
func TestTrialsNeverDiffer(t *testing.T) {
	s, err := Crossed(Readings{{{0.1, 0.1, 0.1}, {0.2, 0.2, 0.2}}, {{0.3, 0.3, 0.3}, {0.7, 0.7, 0.7}}})
	if err != nil {
		t.Fatal(err)
	}
	if s.Repeatability.SS != 0 || s.FInteractionKnown || !s.FMainKnown {
		t.Errorf("repeatability %v, ratio known %t", s.Repeatability, s.FInteractionKnown)
	}
	// Parts alone differ.
	s, err = Crossed(Readings{{{0.1, 0.1}, {0.1, 0.1}}, {{0.3, 0.3}, {0.3, 0.3}}})
	if err != nil {
		t.Fatal(err)
	}
	if _, known := s.WithInteraction.Categories(); known || s.FMainKnown {
		t.Errorf("a gauge without any variance: categories known %t, F known %t", known, s.FMainKnown)
	}
	v, err := Summarise(s.WithInteraction, 1)
	if err != nil || v.CategoriesKnown || v.PercentGauge != 0 || v.Band != BandAcceptable {
		t.Errorf("%+v, %v", v, err)
	}
}

// The bands at their edges, with a gauge of so many percent of the total.
func TestBands(t *testing.T) {
	for _, test := range []struct {
		percent float64
		band    Band
	}{{9.99, BandAcceptable}, {10.01, BandMarginal}, {29.99, BandMarginal}, {30.01, BandUnacceptable}, {100, BandUnacceptable}} {
		share := square(test.percent / 100)
		v, err := Summarise(Components{Used: Variances{Repeatability: share, Part: 1 - share}}, 3)
		if err != nil || v.Band != test.band {
			t.Errorf("%v %%: %s, %v; want %s", test.percent, v.Band, err, test.band)
		}
		near(t, "percent of the total", v.PercentGauge, test.percent, 1e-9)
		near(t, "percent of the tolerance", v.PercentTolerance, 2*test.percent, 1e-9) // 6 sd over a width of 3 total sd.
	}
}

func TestCrossedRefuses(t *testing.T) {
	for _, test := range []struct {
		name     string
		y        Readings
		reason   error
		argument string
	}{
		{"nothing", nil, stats.ErrOutOfRange, "readings"},
		{"one part", Readings{{{1, 2}, {1, 3}}}, stats.ErrOutOfRange, "readings"},
		{"one operator", Readings{{{1, 2}}, {{1, 3}}}, stats.ErrOutOfRange, "readings[0]"},
		{"no operator", Readings{{}, {}}, stats.ErrOutOfRange, "readings[0]"},
		{"one trial", Readings{{{1}, {2}}, {{3}, {4}}}, stats.ErrOutOfRange, "readings[0][0]"},
		{"an operator missing", Readings{{{1, 2}, {1, 3}}, {{1, 2}}}, ErrSizesDiffer, "readings[1]"},
		{"a trial missing", Readings{{{1, 2}, {1, 3}}, {{1, 2}, {1}}}, ErrSizesDiffer, "readings[1][1]"},
		{"all equal", Readings{{{1, 1}, {1, 1}}, {{1, 1}, {1, 1}}}, stats.ErrNoSpread, "readings"},
		{"NaN", Readings{{{1, 2}, {1, 3}}, {{1, 2}, {1, math.NaN()}}}, stats.ErrNotFinite, "readings[1][1][1]"},
		{"overflow", Readings{{{1e200, 2}, {1, 3}}, {{1, 2}, {1, -1e200}}}, stats.ErrNotFinite, "readings"},
	} {
		t.Run(test.name, func(t *testing.T) {
			s, err := Crossed(test.y)
			if err == nil {
				t.Fatalf("answered %+v", s)
			}
			refuses(t, err, test.reason, test.argument)
		})
	}
	for _, width := range []float64{-1, math.NaN(), math.Inf(1)} {
		if v, err := Summarise(Components{Used: Variances{Part: 1}}, width); err == nil {
			t.Errorf("a tolerance of %v: %+v", width, v)
		}
	}
}

func BenchmarkCrossed(b *testing.B) {
	y := drawStudy(stats.NewRandom(1), 10, 3, 3, 2, 1, 0.5, 1)
	for b.Loop() {
		if _, err := Crossed(y); err != nil {
			b.Fatal(err)
		}
	}
}
