package gauge

import (
	"encoding/json"
	"math"
	"testing"

	"pgregory.net/rapid"

	"tracewright/models/numbers/stats"
	"tracewright/testdata/cases"
)

// By hand: two runs of two days of two repeats, s = 1 each day, averages 1 and
// 3, then 5 and 7. Run means 2 and 6; s2^2 = 4/2, s3^2 = 8; days 2 - 1/2 = 1.5,
// runs 8 - 2/2 = 7, one reading 1 + 1.5 + 7 = 9.5.
func TestNestedByHand(t *testing.T) {
	s, err := Nested(2, [][]Day{{{1, 1}, {3, 1}}, {{5, 1}, {7, 1}}})
	if err != nil {
		t.Fatal(err)
	}
	near(t, "repeats", s.Level1, 1, 1e-12)
	near(t, "level 2", s.Level2, math.Sqrt2, 1e-12)
	near(t, "level 3", s.Level3, math.Sqrt(8), 1e-12)
	near(t, "days", s.DayVariance, 1.5, 1e-12)
	near(t, "runs", s.RunVariance, 7, 1e-12)
	near(t, "one reading", s.Single, math.Sqrt(9.5), 1e-12)
	if s.DF1 != 4 || s.DF2 != 2 || s.DF3 != 1 {
		t.Errorf("degrees of freedom %d, %d, %d; want 4, 2, 1", s.DF1, s.DF2, s.DF3)
	}
}

// The probes of the NIST/SEMATECH e-Handbook, 2.6.1, where their data may be read.
func TestNestedProbes(t *testing.T) {
	list, ok := cases.InPlace(t)
	if !ok {
		t.Log("TRACEWRIGHT_CASES is not set: the probes are left out, the example by hand and the simulation stand for them")
		return
	}
	probes := 0
	for _, c := range list {
		if c.Kind != "gauge_nested" {
			continue
		}
		probes++
		in := cases.Decode[struct {
			J    int          `json:"J_repetitions"`
			Rows [][3]float64 `json:"rows_run_average_sd"`
		}](t, json.RawMessage(c.Input))
		runs := make([][]Day, 2)
		for _, row := range in.Rows {
			runs[int(row[0])-1] = append(runs[int(row[0])-1], Day{row[1], row[2]})
		}
		s, err := Nested(in.J, runs)
		if err != nil {
			t.Fatal(err)
		}
		want := cases.Decode[map[string]any](t, c.Expected)
		for field, got := range map[string]float64{
			"s1_repeatability": s.Level1, "s2_level2": s.Level2, "s3_level3": s.Level3, "s_days": s.DaySD, "s_runs": s.RunSD,
			"var_days_raw": s.DayVariance, "var_runs_raw": s.RunVariance,
		} {
			w := want[field].(float64)
			near(t, c.ID+" "+field, got, w, 1e-9*math.Abs(w))
		}
	}
	if probes == 0 {
		t.Error("no probe among the cases")
	}
}

// The raw variances of many studies average to those the readings were made
// with, within four standard errors.
func TestNestedRecovered(t *testing.T) {
	const studies, repetitions = 2000, 3
	chance := stats.NewRandom(13)
	var days, runs, repeats []float64
	for range studies {
		study := make([][]Day, 3)
		for i := range study {
			run := 0.3 * chance.Normal()
			study[i] = make([]Day, 4)
			for j := range study[i] {
				day := 10 + run + 0.5*chance.Normal()
				readings := make([]float64, repetitions)
				for k := range readings {
					readings[k] = day + chance.Normal()
				}
				m, err := MeanOf(readings)
				if err != nil {
					t.Fatal(err)
				}
				study[i][j] = Day{m.Value, m.S}
			}
		}
		s, err := Nested(repetitions, study)
		if err != nil {
			t.Fatal(err)
		}
		repeats, days, runs = append(repeats, square(s.Level1)), append(days, s.DayVariance), append(runs, s.RunVariance)
	}
	for _, of := range []struct {
		name   string
		values []float64
		want   float64
	}{{"repeats", repeats, 1}, {"days", days, 0.25}, {"runs", runs, 0.09}} {
		mean, errMean := stats.Mean(of.values)
		sd, errSD := stats.SD(of.values)
		if errMean != nil || errSD != nil {
			t.Fatal(errMean, errSD)
		}
		near(t, of.name, mean, of.want, 4*sd/math.Sqrt(studies))
	}
}

// Scaling the readings scales every root, a shift none of them.
func TestNestedProperties(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		days := rapid.IntRange(2, 5).Draw(r, "days")
		study, moved := make([][]Day, rapid.IntRange(2, 4).Draw(r, "runs")), [][]Day(nil)
		for i := range study {
			var to []Day
			for range days {
				d := Day{rapid.Float64Range(-10, 10).Draw(r, "average"), rapid.Float64Range(0, 5).Draw(r, "sd")}
				study[i] = append(study[i], d)
				to = append(to, Day{4*d.Average + 100, 4 * d.SD})
			}
			moved = append(moved, to)
		}
		a, errA := Nested(3, study)
		b, errB := Nested(3, moved)
		if errA != nil || errB != nil {
			r.Fatal(errA, errB)
		}
		for _, pair := range [][2]float64{{a.Level1, b.Level1}, {a.Level2, b.Level2}, {a.Level3, b.Level3}, {a.Single, b.Single}} {
			if math.Abs(4*pair[0]-pair[1]) > 1e-9 {
				r.Fatalf("%v becomes %v, want four times", pair[0], pair[1])
			}
		}
		if a.DaySD > a.Level2+1e-12 || a.RunSD > a.Level3+1e-12 {
			r.Fatalf("what a level adds is more than the level: %+v", a)
		}
	})
}

func TestNestedRefuses(t *testing.T) {
	day := Day{1, 1}
	for _, test := range []struct {
		name     string
		j        int
		runs     [][]Day
		reason   error
		argument string
	}{
		{"nothing", 2, nil, stats.ErrOutOfRange, "runs"},
		{"one run", 2, [][]Day{{day, day}}, stats.ErrOutOfRange, "runs"},
		{"one day", 2, [][]Day{{day}, {day}}, stats.ErrOutOfRange, "days"},
		{"one repeat", 1, [][]Day{{day, day}, {day, day}}, stats.ErrOutOfRange, "repetitions"},
		{"a thousand million repeats", 1_000_000_000, [][]Day{{day, day}, {day, day}}, stats.ErrOutOfRange, "repetitions"},
		{"a day missing", 2, [][]Day{{day, day}, {day}}, ErrSizesDiffer, "runs[1]"},
		{"negative sd", 2, [][]Day{{day, day}, {day, {1, -1}}}, stats.ErrOutOfRange, "runs[1][1].sd"},
		{"NaN", 2, [][]Day{{day, {math.NaN(), 1}}, {day, day}}, stats.ErrNotFinite, "runs[0][1].average"},
		{"overflow", 2, [][]Day{{day, {1e200, 1}}, {day, day}}, stats.ErrNotFinite, "runs"},
	} {
		t.Run(test.name, func(t *testing.T) {
			s, err := Nested(test.j, test.runs)
			if err == nil {
				t.Fatalf("answered %+v", s)
			}
			refuses(t, err, test.reason, test.argument)
		})
	}
}
