package gauge

import (
	"fmt"
	"slices"
	"testing"
	"time"

	"pgregory.net/rapid"

	"tracewright/models/numbers/stats"
)

// day is noon of a day of 2026.
func day(n int) time.Time { return time.Date(2026, 1, 1, 12, 0, 0, 0, time.UTC).AddDate(0, 0, n) }

// Calibrations in short: found and left.
func good(instrument string, on int) Calibration {
	return Calibration{Instrument: instrument, At: day(on), AsFoundGood: true, AsLeftGood: true}
}
func mended(instrument string, on int) Calibration {
	return Calibration{Instrument: instrument, At: day(on), AsLeftGood: true}
}
func failed(instrument string, on int) Calibration {
	return Calibration{Instrument: instrument, At: day(on)}
}

// daily is one measurement a day by an instrument, named by the day.
func daily(instrument string, from, to int) []Measurement {
	var list []Measurement
	for on := from; on <= to; on++ {
		list = append(list, Measurement{ID: fmt.Sprintf("%s%02d", instrument, on), Instrument: instrument, At: day(on)})
	}
	return list
}

// The rules of the comment on Trace, one by one.
func TestTrace(t *testing.T) {
	const noEnd = 1000
	window := func(instrument string, from, to int) Window {
		w := Window{Instrument: instrument, Until: day(to)}
		if from < 0 {
			w.Open = true
		} else {
			w.From = day(from)
		}
		if to == noEnd {
			w.Until = Forever
		}
		return w
	}
	for _, test := range []struct {
		name         string
		calibrations []Calibration
		comparisons  []Comparison
		measured     string // By which instrument, daily from 1 to 30.
		windows      []Window
		first, last  int // Days of the suspect measurements, 0 for none.
	}{
		{"all good", []Calibration{good("A", 1), good("A", 20)}, nil, "A", nil, 0, 0},
		{"never calibrated", nil, nil, "A", nil, 0, 0},
		{"failed and mended", []Calibration{good("A", 5), mended("A", 20)}, nil, "A", []Window{window("A", 5, 20)}, 6, 20},
		{"no good event before", []Calibration{mended("A", 20)}, nil, "A", []Window{window("A", -1, 20)}, 1, 20},
		{"found good, left bad, then failed", []Calibration{{Instrument: "A", At: day(5), AsFoundGood: true}, failed("A", 9)}, nil, "A", []Window{window("A", 5, 9)}, 6, 9},
		{"another instrument's failure", []Calibration{good("B", 5), mended("B", 20)}, nil, "A", []Window{window("B", 5, 20)}, 0, 0},
		{"left bad, failed again", []Calibration{good("A", 5), failed("A", 9), mended("A", 20)}, nil, "A",
			[]Window{window("A", 5, 9), window("A", 5, 20)}, 6, 20},
		{"a suspect standard, until a sound check", []Calibration{good("M", 2), failed("M", 15)},
			[]Comparison{{"A", "M", day(10)}, {"A", "N", day(20)}}, "A", []Window{window("A", 10, 20), window("M", 2, 15)}, 11, 20},
		{"a check on the day the standard failed counts", []Calibration{good("M", 2), failed("M", 15)},
			[]Comparison{{"A", "M", day(15)}, {"A", "N", day(20)}}, "A", []Window{window("A", 15, 20), window("M", 2, 15)}, 16, 20},
		{"a check on the day of the good event does not", []Calibration{good("M", 2), failed("M", 15)},
			[]Comparison{{"A", "M", day(2)}, {"A", "N", day(20)}}, "A", []Window{window("M", 2, 15)}, 0, 0},
		{"until its own calibration", []Calibration{good("M", 2), failed("M", 15), good("A", 18)},
			[]Comparison{{"A", "M", day(10)}}, "A", []Window{window("A", 10, 18), window("M", 2, 15)}, 11, 18},
		{"no sound check since", []Calibration{good("M", 2), failed("M", 15)},
			[]Comparison{{"A", "M", day(10)}}, "A", []Window{window("A", 10, noEnd), window("M", 2, 15)}, 11, 30},
		{"passed on twice", []Calibration{good("M", 2), failed("M", 15)},
			[]Comparison{{"B", "M", day(5)}, {"A", "B", day(10)}, {"B", "N", day(12)}, {"A", "B", day(22)}}, "A",
			[]Window{window("A", 10, 22), window("B", 5, 12), window("M", 2, 15)}, 11, 22},
		{"a check before its standard became suspect", []Calibration{good("M", 2), failed("M", 15)},
			[]Comparison{{"A", "B", day(4)}, {"B", "M", day(5)}, {"B", "N", day(12)}}, "A",
			[]Window{window("B", 5, 12), window("M", 2, 15)}, 0, 0},
		{"sound and unsound at one moment", []Calibration{good("M", 2), failed("M", 15)},
			[]Comparison{{"A", "N", day(10)}, {"A", "M", day(10)}, {"A", "N", day(20)}}, "A", []Window{window("A", 10, 20), window("M", 2, 15)}, 11, 20},
		{"two that check each other", []Calibration{good("M", 2), failed("M", 15)},
			[]Comparison{{"A", "M", day(5)}, {"B", "A", day(6)}, {"A", "B", day(7)}, {"B", "A", day(8)}, {"A", "N", day(12)}, {"B", "A", day(13)}}, "A",
			[]Window{window("A", 5, 12), window("B", 6, 13), window("M", 2, 15)}, 6, 12},
	} {
		t.Run(test.name, func(t *testing.T) {
			s, err := Trace(test.calibrations, test.comparisons, daily(test.measured, 1, 30))
			if err != nil {
				t.Fatal(err)
			}
			if !slices.Equal(s.Windows, test.windows) {
				t.Errorf("windows %v\nwant %v", s.Windows, test.windows)
			}
			var want []string
			if test.first > 0 {
				for _, m := range daily(test.measured, test.first, test.last) {
					want = append(want, m.ID)
				}
			}
			if !slices.Equal(s.Measurements, want) {
				t.Errorf("suspect %v, want %v", s.Measurements, want)
			}
		})
	}
}

// naive asks of one moment, by the words of the rules alone, whether an
// instrument was suspect then.
func naive(calibrations []Calibration, comparisons []Comparison, instrument string, at time.Time) bool {
	for _, c := range calibrations {
		if c.Instrument != instrument || c.AsFoundGood || at.After(c.At) {
			continue
		}
		// A failure at or after the moment: was there a good event from the moment
		// on and before the failure?
		saved := slices.ContainsFunc(calibrations, func(g Calibration) bool {
			return g.Instrument == instrument && (g.AsFoundGood || g.AsLeftGood) && !g.At.Before(at) && g.At.Before(c.At)
		})
		if !saved {
			return true
		}
	}
	// The last event before the moment that says anything of the instrument.
	var last time.Time
	for _, c := range calibrations {
		if c.Instrument == instrument && c.At.Before(at) && c.At.After(last) {
			last = c.At
		}
	}
	for _, c := range comparisons {
		if c.Checked == instrument && c.At.Before(at) && c.At.After(last) {
			last = c.At
		}
	}
	return slices.ContainsFunc(comparisons, func(c Comparison) bool {
		return c.Checked == instrument && c.At.Equal(last) && naive(calibrations, comparisons, c.Used, c.At)
	})
}

// Trace agrees with the rules asked moment by moment, in whatever order the
// events are given.
func TestTraceAgainstTheRules(t *testing.T) {
	names := []string{"A", "B", "C"}
	rapid.Check(t, func(r *rapid.T) {
		var calibrations []Calibration
		used := map[string]bool{} // One calibration of an instrument a day.
		for range rapid.IntRange(0, 6).Draw(r, "calibrations") {
			c := Calibration{
				Instrument: rapid.SampledFrom(names).Draw(r, "calibrated"), At: day(rapid.IntRange(1, 20).Draw(r, "on")),
				AsFoundGood: rapid.Bool().Draw(r, "found good"), AsLeftGood: rapid.Bool().Draw(r, "left good"),
			}
			if key := c.Instrument + c.At.String(); !used[key] {
				used[key] = true
				calibrations = append(calibrations, c)
			}
		}
		var comparisons []Comparison
		for range rapid.IntRange(0, 8).Draw(r, "comparisons") {
			i := rapid.IntRange(0, 2).Draw(r, "checked")
			standard := names[(i+rapid.IntRange(1, 2).Draw(r, "by"))%3]
			comparisons = append(comparisons, Comparison{Checked: names[i], Used: standard, At: day(rapid.IntRange(1, 20).Draw(r, "on"))})
		}
		var measurements []Measurement
		var want []string
		for _, name := range names {
			for _, m := range daily(name, 0, 22) {
				measurements = append(measurements, m)
				if naive(calibrations, comparisons, name, m.At) {
					want = append(want, m.ID)
				}
			}
		}
		s, err := Trace(rapid.Permutation(calibrations).Draw(r, "order"), rapid.Permutation(comparisons).Draw(r, "order"), measurements)
		if err != nil {
			r.Fatal(err)
		}
		if !slices.Equal(s.Measurements, want) {
			r.Fatalf("suspect %v\nwant %v\nof %v and %v", s.Measurements, want, calibrations, comparisons)
		}
	})
}

func TestTraceRefuses(t *testing.T) {
	late, early := Forever, time.Time{}.AddDate(-1, 0, 0)
	for _, test := range []struct {
		name         string
		calibrations []Calibration
		comparisons  []Comparison
		measurements []Measurement
		reason       error
		argument     string
	}{
		{"a nameless instrument", []Calibration{good("", 1)}, nil, nil, stats.ErrOutOfRange, "calibrations[0].instrument"},
		{"a nameless standard", nil, []Comparison{{"A", "", day(1)}}, nil, stats.ErrOutOfRange, "comparisons[0].used"},
		{"checked against itself", nil, []Comparison{{"A", "A", day(1)}}, nil, stats.ErrOutOfRange, "comparisons[0].used"},
		{"a nameless measurement", nil, nil, []Measurement{{"", "A", day(1)}}, stats.ErrOutOfRange, "measurements[0].id"},
		{"beyond the calendar", nil, nil, []Measurement{{"m", "A", late}}, stats.ErrOutOfRange, "measurements[0].at"},
		{"before the calendar", []Calibration{{Instrument: "A", At: early}}, nil, nil, stats.ErrOutOfRange, "calibrations[0].at"},
		{"too many", nil, nil, make([]Measurement, mostEvents+1), ErrTooMuch, "measurements"},
	} {
		t.Run(test.name, func(t *testing.T) {
			s, err := Trace(test.calibrations, test.comparisons, test.measurements)
			if err == nil {
				t.Fatalf("answered %+v", s)
			}
			refuses(t, err, test.reason, test.argument)
		})
	}
}

// A hundred thousand measurements in ten thousand windows, each with the next
// failure behind it: a walk over all windows for each would take minutes.
func TestTraceOfMany(t *testing.T) {
	var calibrations []Calibration
	for i := range 10_000 {
		calibrations = append(calibrations, failed("A", 2*i+1))
	}
	measurements := make([]Measurement, 100_000)
	for i := range measurements {
		measurements[i] = Measurement{ID: fmt.Sprint(i), Instrument: "A", At: day(i % 20_000)}
	}
	s, err := Trace(calibrations, nil, measurements)
	if err != nil || len(s.Windows) != 10_000 || len(s.Measurements) != len(measurements) {
		t.Errorf("%d windows, %d measurements, %v", len(s.Windows), len(s.Measurements), err)
	}
}
