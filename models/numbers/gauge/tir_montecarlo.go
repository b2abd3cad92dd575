package gauge

import (
	"fmt"
	"math"
	"slices"

	"tracewright/models/numbers/stats"
)

const (
	// FewestTrials is how many trials a simulation of a total needs for the
	// percentiles of its interval to be steady in the second digit.
	FewestTrials = 20_000
	// MostDraws bounds trials times points, a matter of a second.
	MostDraws = 20_000_000
)

// Simulated is the distribution of a total indicator reading found by trials.
type Simulated struct {
	Trials   int
	Seed     uint64
	True     float64 // Of the profile itself.
	Mean, SD float64
	// Low and High hold the middle 95 % of the trials. The interval does not lie
	// evenly about the true total: noise mostly adds.
	Low, High float64
}

// SimulateTIR reads a profile many times with independent normal noise sigma at
// each point and takes the total each time (propagation of distributions by the
// Monte Carlo method, JCGM 101:2008, 7; the interval is the probabilistically
// symmetric one of 7.7). The same seed gives the same answer. An offset common to
// all points, such as that of the dial's zero, cancels in every trial and is
// therefore not drawn; a scale error does not, and belongs into the budget.
//
// [NoisyTIR] gives mean and standard deviation of the same thing without trials.
func SimulateTIR(profile []float64, sigma float64, trials int, seed uint64) (Simulated, error) {
	if err := checkProfile(profile, sigma); err != nil {
		return Simulated{}, err
	}
	if trials < FewestTrials {
		return Simulated{}, outside("trials", trials, fmt.Sprintf("must be at least %d", FewestTrials))
	}
	if trials > MostDraws/len(profile) {
		return Simulated{}, about("trials", fmt.Errorf("%d at %d points, more than %d readings: %w", trials, len(profile), MostDraws, ErrTooMuch))
	}
	s := Simulated{Trials: trials, Seed: seed, True: spread(profile)}
	chance := stats.NewRandom(seed)
	totals := make([]float64, trials)
	for i := range totals {
		high, low := math.Inf(-1), math.Inf(1)
		for _, v := range profile {
			read := v + sigma*chance.Normal()
			high, low = max(high, read), min(low, read)
		}
		totals[i] = high - low
	}
	var err error
	if s.Mean, err = stats.Mean(totals); err != nil {
		return Simulated{}, about("profile", err)
	}
	if s.SD, err = stats.SD(totals); err != nil {
		return Simulated{}, about("profile", err)
	}
	slices.Sort(totals)
	inside := int(math.Round(0.95 * float64(trials)))
	first := (trials - inside + 1) / 2
	s.Low, s.High = totals[first-1], totals[first-1+inside]
	return s, nil
}

// HarmonicProfile returns a profile of points evenly round the wheel,
//
//	amplitude1 cos(theta_i) + amplitude2 cos(2 theta_i + phase2), theta_i = 2 pi i/points
//
// a rim off centre and one that is oval or saddled.
func HarmonicProfile(points int, amplitude1, amplitude2, phase2 float64) ([]float64, error) {
	if points < 2 || points > MostPoints {
		return nil, outside("points", points, fmt.Sprintf("must lie from 2 to %d", MostPoints))
	}
	if err := checkAll(checkFinite("amplitude1", amplitude1), checkFinite("amplitude2", amplitude2), checkFinite("phase2", phase2)); err != nil {
		return nil, err
	}
	profile := make([]float64, points)
	for i := range profile {
		theta := 2 * math.Pi * float64(i) / float64(points)
		profile[i] = amplitude1*math.Cos(theta) + amplitude2*math.Cos(2*theta+phase2)
		if err := checkFinite("amplitude2", profile[i]); err != nil {
			return nil, err
		}
	}
	return profile, nil
}
