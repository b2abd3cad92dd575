package pack

import (
	"cmp"
	"fmt"
	"math"
)

const (
	// robustScale makes the median absolute deviation of a normal population
	// one standard deviation: 0.6745 is its upper quartile.
	robustScale = 0.6745

	// maxLot bounds a lot, far above any delivery.
	maxLot = 100_000

	// maxReadingV bounds a voltage that can be one of a block.
	maxReadingV = 1000.0

	hoursPerDay = 24.0
)

// Losses are two readings of the same blocks, by the same meter, both past the
// gate and at one temperature (within 2 K, or corrected), a time apart: for
// lead-acid five to seven days, for lithium iron phosphate fourteen.
type Losses struct {
	First, Second []float64 // V, block by block
	Hours         float64   // between the readings
	HoursEach     []float64 // block by block, instead of Hours, where they were read at different moments
	ResolutionMV  float64   // step of the meter
	RoundMV       float64   // what readings are rounded to; 0: 1 mV, or the step of a finer meter
	LimitMVDay    float64   // a larger loss is flagged
	LimitZ        float64   // a larger robust z is flagged; 3.5
}

// LossResult is the loss of each block, judged alone and against its lot.
type LossResult struct {
	MVDay     []float64 // loss, mV a day, in the order given
	Median    float64
	MAD       float64 // median absolute deviation from the median
	MADUsed   float64 // not below half a step of the meter
	Z         []float64
	StepMVDay float64 // loss that one step of the meter makes: nothing finer is known
	OverLimit []int   // places, from 1
	OverZ     []int
	Rising    []int // places whose voltage rose: rest or temperature was not right
	TooSoon   bool  // under five days between the readings
}

// leadAcidGapH is the shortest time between the readings of lead-acid, h.
// Common practice, no source.
const leadAcidGapH = 5 * hoursPerDay

// LossBetween finds blocks that lose charge faster than their kind or their lot:
//
//	k = (V1 - V2) in mV * 24 / hours,  z = 0.6745 (k - median) / MAD'
//
// with V1 and V2 rounded to 1 mV, or to the step of a finer meter, and MAD' the median absolute
// deviation, at least half a step, 0.5 step * 24 / hours, since rounded data
// often have none. Only a loss that is too high is flagged. Source of z and of
// 3.5: Iglewicz and Hoaglin 1993, quoted from memory; default limits for k
// common practice, no source.
func LossBetween(l Losses) (LossResult, error) {
	if err := l.check(); err != nil {
		return LossResult{}, err
	}
	shortest, round := l.shortest(), cmp.Or(l.RoundMV, min(1, l.ResolutionMV))
	out := LossResult{OverLimit: []int{}, OverZ: []int{}, Rising: []int{}, StepMVDay: l.ResolutionMV * hoursPerDay / shortest, TooSoon: shortest < leadAcidGapH-slack}
	for i := range l.First {
		perDay := hoursPerDay / l.hours(i)
		steps := math.Round(l.First[i]*1000/round) - math.Round(l.Second[i]*1000/round)
		k := steps * round * perDay
		out.MVDay = append(out.MVDay, k)
		if k > l.LimitMVDay+slack {
			out.OverLimit = append(out.OverLimit, i+1)
		}
		if steps < 0 {
			out.Rising = append(out.Rising, i+1)
		}
	}
	if err := computed(append(out.MVDay, out.StepMVDay)...); err != nil {
		return LossResult{}, err
	}
	if err := out.compare(l.LimitZ); err != nil {
		return LossResult{}, err
	}
	return out, nil
}

// hours is the time between the readings of one block.
func (l Losses) hours(i int) float64 {
	if l.HoursEach != nil {
		return l.HoursEach[i]
	}
	return l.Hours
}

// shortest is the least of them: there a step of the meter makes the most.
func (l Losses) shortest() float64 {
	if l.HoursEach == nil {
		return l.Hours
	}
	least := math.Inf(1)
	for _, h := range l.HoursEach {
		least = math.Min(least, h)
	}
	return least
}

// compare sets each loss against the lot.
func (r *LossResult) compare(limitZ float64) error {
	var err error
	if r.Z, r.Median, r.MAD, err = RobustZ(r.MVDay, r.StepMVDay/2); err != nil {
		return fmt.Errorf("losses against their lot: %w", err)
	}
	r.MADUsed = math.Max(r.MAD, r.StepMVDay/2)
	for i, z := range r.Z {
		if z > limitZ+slack {
			r.OverZ = append(r.OverZ, i+1)
		}
	}
	return nil
}

// check refuses readings that cannot be compared.
func (l Losses) check() error {
	switch {
	case len(l.First) == 0:
		return fieldf("ocv1_V", "no blocks")
	case len(l.First) > maxLot:
		return fieldf("ocv1_V", "%d blocks, at most %d", len(l.First), maxLot)
	case len(l.First) != len(l.Second):
		return fieldf("ocv2_V", "%d readings for %d blocks", len(l.Second), len(l.First))
	}
	for i := range l.First {
		for _, given := range []struct {
			field string
			volts float64
		}{{"ocv1_V", l.First[i]}, {"ocv2_V", l.Second[i]}} {
			if !(math.Abs(given.volts) <= maxReadingV) {
				return fieldf(fmt.Sprintf("%s[%d]", given.field, i), "%g V is no reading of a block", given.volts)
			}
		}
	}
	if l.HoursEach != nil && len(l.HoursEach) != len(l.First) {
		return fieldf("hours", "%d times for %d blocks", len(l.HoursEach), len(l.First))
	}
	for i := range l.First {
		if err := positive("hours", l.hours(i)); err != nil {
			return err
		}
	}
	err := first(positive("resolution_mV", l.ResolutionMV), positive("k_limit_mV_day", l.LimitMVDay), positive("z_limit", l.LimitZ))
	if err == nil && l.ResolutionMV < 0.001 {
		err = fieldf("resolution_mV", "no meter of a workshop resolves %g mV", l.ResolutionMV)
	}
	return err
}
