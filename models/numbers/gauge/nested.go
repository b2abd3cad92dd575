package gauge

import (
	"fmt"
	"math"

	"tracewright/models/numbers/stats"
)

// Day is one day of a nested study: the average and the standard deviation of
// the repeats taken on it.
type Day struct {
	Average, SD float64
}

// NestedStudy is a gauge study with repeats within days within runs.
type NestedStudy struct {
	Repetitions, Days, Runs int
	RunMeans                []float64
	// Standard deviations of each level with degrees of freedom: of repeats, of
	// day averages within a run, of run averages.
	Level1, Level2, Level3 float64
	DF1, DF2, DF3          int
	// What days and runs add by themselves. The variances are as they came out,
	// the standard deviations have 0 in place of a negative one.
	DayVariance, RunVariance float64
	DaySD, RunSD             float64
	// Single is the standard deviation of one reading on any day of any run.
	Single float64
}

// Nested evaluates a balanced study of at least two runs of at least two days
// with repetitions (at least two) each day:
//
//	s1^2 = mean of the squared day standard deviations      DF L K (J-1)
//	s2^2 = sum (day average - run mean)^2 / (L (K-1))        DF L (K-1)
//	s3^2 = sum (run mean - mean)^2 / (L-1)                   DF L-1
//	days^2 = s2^2 - s1^2/J        runs^2 = s3^2 - s2^2/K
//
// for J repetitions, K days, L runs (NIST/SEMATECH e-Handbook, 2.4.4 and
// 2.6.1).
func Nested(repetitions int, runs [][]Day) (NestedStudy, error) {
	if err := checkNested(repetitions, runs); err != nil {
		return NestedStudy{}, err
	}
	s := NestedStudy{Repetitions: repetitions, Days: len(runs[0]), Runs: len(runs)}
	s.DF1, s.DF2, s.DF3 = s.Runs*s.Days*(repetitions-1), s.Runs*(s.Days-1), s.Runs-1
	var within, between []float64
	for i, run := range runs {
		averages := make([]float64, len(run))
		for j, day := range run {
			averages[j] = day.Average
			within = append(within, square(day.SD))
		}
		mean, err := stats.Mean(averages)
		if err != nil {
			return NestedStudy{}, about(fmt.Sprintf("runs[%d]", i), err)
		}
		s.RunMeans = append(s.RunMeans, mean)
		for _, average := range averages {
			between = append(between, square(average-mean))
		}
	}
	s.Level1 = math.Sqrt(stats.Sum(within) / float64(len(within)))
	s.Level2 = math.Sqrt(stats.Sum(between) / float64(s.DF2))
	var err error
	if s.Level3, err = stats.SD(s.RunMeans); err != nil {
		return NestedStudy{}, about("runs", err)
	}
	s.DayVariance = square(s.Level2) - square(s.Level1)/float64(repetitions)
	s.RunVariance = square(s.Level3) - square(s.Level2)/float64(s.Days)
	s.DaySD, s.RunSD = math.Sqrt(max(s.DayVariance, 0)), math.Sqrt(max(s.RunVariance, 0))
	s.Single = math.Hypot(s.Level1, math.Hypot(s.DaySD, s.RunSD))
	return s, checkAll(checkFinite("runs", s.DayVariance), checkFinite("runs", s.RunVariance), checkFinite("runs", s.Single))
}

func checkNested(repetitions int, runs [][]Day) error {
	switch {
	case repetitions < 2 || repetitions > mostReadings:
		return outside("repetitions", repetitions, fmt.Sprintf("must lie from 2 to %d", mostReadings))
	case len(runs) < 2:
		return outside("runs", len(runs), "must be 2 at least")
	case len(runs[0]) < 2:
		return outside("days", len(runs[0]), "must be 2 a run at least")
	case len(runs)*len(runs[0]) > mostReadings:
		return about("runs", fmt.Errorf("more than %d days: %w", mostReadings, ErrTooMuch))
	}
	for i, run := range runs {
		place := fmt.Sprintf("runs[%d]", i)
		if len(run) != len(runs[0]) {
			return about(place, fmt.Errorf("%d days where the first run has %d: %w", len(run), len(runs[0]), ErrSizesDiffer))
		}
		for j, day := range run {
			if err := checkAll(checkFinite("average", day.Average), checkNotNegative("sd", day.SD)); err != nil {
				return at(fmt.Sprintf("%s[%d]", place, j), err)
			}
		}
	}
	return nil
}
