package wheel

import (
	"fmt"
	"math"
	"slices"

	"tracewright/models/numbers/measure"
)

// Codes of doubts, besides SideSwap and UnitSuspect.
const (
	LateralSpike   = "lateral_spike"    // one station stands off its neighbours: read it again
	RadialSpike    = "radial_spike"     // the same of the radial readings
	StuckGauge     = "gauge_stuck"      // equal lateral readings while the rim moves radially
	OffItsSide     = "tension_off_side" // a spoke far from the mean of its side: read it twice
	GaugeNotZeroed = "gauge_not_zeroed" // lateral mean far from the dish measured by itself
	OtherFlank     = "other_flank"      // mirror image of the previous set of this wheel
)

// Limits of the doubts: common practice, no source.
const (
	spikeMM        = 0.3  // second difference above which a station is doubted
	stuckRun       = 4    // equal lateral readings in a row
	stuckRadialMM  = 0.05 // radial movement over them that shows that the rim moved: five steps of a usual indicator
	offSidePct     = 20.0 // distance from the mean of the side
	zeroMM         = 0.5  // lateral mean against measured dish
	mirroredAtMost = -0.7 // correlation with the previous set
)

// Doubt is a reading, or a set, that should be taken again before it is
// believed. Nothing is refused because of a doubt.
type Doubt struct {
	Code   string
	Spoke  int       // data index, -1 when the doubt is about the whole wheel
	Values []float64 // what gave rise to it, see the code in Doubts
}

// Measured is what has been read of a wheel so far. Whatever is nil or zero was
// not read, and raises no doubt.
type Measured struct {
	Lateral  []float64 // mm, one for each spoke hole
	Radial   []float64 // mm, one for each spoke hole
	Previous []float64 // mm, lateral readings of the set before, one for each spoke hole

	DishOffset *float64 // mm toward side A, by the dish gauge

	TensionSpokes []int     // data indices that were read, any order
	Tension       []float64 // one for each of them, in TensionUnit
	TensionUnit   measure.Unit
	ExpectedRatio float64 // side A over side B by geometry; 0 when not known
}

// Doubts lists what a set of readings should make a person ask, without any
// model of the wheel. In this order, each with its values:
//
//   - LateralSpike, RadialSpike: |y_(j-1) - 2 y_j + y_(j+1)| > 0.3 mm, cyclic, at
//     the stations where it is largest among neighbours; the reading, the second
//     difference.
//   - StuckGauge: four or more equal lateral readings in a row while the radial
//     readings there move by 0.05 mm or more; the reading, how many. Spoke is the
//     first of them.
//   - GaugeNotZeroed: lateral mean and measured dish differ by more than 0.5 mm;
//     the mean, the dish.
//   - OtherFlank: correlation of the lateral readings with the previous set below
//     -0.7; the correlation.
//   - OffItsSide: a spoke more than 20 % off the mean of its side; the tension, the
//     mean, the deviation in %.
//   - SideSwap, UnitSuspect: see Plausible; the means of A and B.
//
// Source of the limits: common practice, no source. Readings that are no numbers,
// or do not fit together, are ErrInput.
func Doubts(m Measured) ([]Doubt, error) {
	if err := m.check(); err != nil {
		return nil, err
	}
	doubts := spikes(LateralSpike, m.Lateral)
	doubts = append(doubts, spikes(RadialSpike, m.Radial)...)
	doubts = append(doubts, m.stuck()...)
	doubts = append(doubts, m.zeroAndFlank()...)
	tension, err := m.tensionDoubts()
	if err != nil {
		return nil, err
	}
	return append(doubts, tension...), nil
}

// check refuses what cannot be compared.
func (m Measured) check() error {
	for _, set := range []struct {
		field  string
		values []float64
	}{{"lateral", m.Lateral}, {"radial", m.Radial}, {"previous", m.Previous}, {"tension", m.Tension}} {
		if err := allFinite(set.field, set.values); err != nil {
			return err
		}
	}
	if len(m.Tension) != len(m.TensionSpokes) {
		return fieldf("tension", "%d values for %d spokes", len(m.Tension), len(m.TensionSpokes))
	}
	for i, j := range m.TensionSpokes {
		if j < 0 {
			return fieldf(fmt.Sprintf("tension_spokes[%d]", i), "index %d is not on the wheel", j)
		}
	}
	if m.DishOffset != nil && !finite(*m.DishOffset) {
		return fieldf("dish", "is not a number")
	}
	return nil
}

// spikes finds the stations that stand off the line through both neighbours. A
// spike bends its neighbours' lines too, by half, so that only the largest of
// three is doubted.
func spikes(code string, y []float64) []Doubt {
	n := len(y)
	if n < MinStations {
		return nil
	}
	bend := make([]float64, n)
	for j := range y {
		bend[j] = y[(j+n-1)%n] - 2*y[j] + y[(j+1)%n]
	}
	var doubts []Doubt
	for j, b := range bend {
		size := math.Abs(b)
		largest := size >= math.Abs(bend[(j+n-1)%n]) && size >= math.Abs(bend[(j+1)%n])
		if largest && size > spikeMM+roundingSlackMM {
			doubts = append(doubts, Doubt{Code: code, Spoke: j, Values: []float64{y[j], b}})
		}
	}
	return doubts
}

// stuck finds runs of equal lateral readings, round the rim, while the rim moves
// radially.
func (m Measured) stuck() []Doubt {
	n := len(m.Lateral)
	if n < MinStations || len(m.Radial) != n {
		return nil
	}
	start := slices.IndexFunc(m.Lateral, func(v float64) bool { return v != m.Lateral[0] })
	if start < 0 { // all equal: one run of the whole turn
		return m.stuckAt(0, n)
	}
	var doubts []Doubt
	for done := 0; done < n; {
		first := (start + done) % n
		length := 1
		for length < n && m.Lateral[(first+length)%n] == m.Lateral[first] {
			length++
		}
		doubts = append(doubts, m.stuckAt(first, length)...)
		done += length
	}
	return doubts
}

// stuckAt doubts one run of equal lateral readings if it is long enough and the
// rim moved.
func (m Measured) stuckAt(first, length int) []Doubt {
	if length < stuckRun {
		return nil
	}
	n := len(m.Lateral)
	radial := make([]float64, length)
	for i := range radial {
		radial[i] = m.Radial[(first+i)%n]
	}
	if low, high := extremes(radial); high-low < stuckRadialMM-roundingSlackMM {
		return nil
	}
	return []Doubt{{Code: StuckGauge, Spoke: first, Values: []float64{m.Lateral[first], float64(length)}}}
}

// zeroAndFlank compares the lateral set with the dish gauge and with the set
// before.
func (m Measured) zeroAndFlank() []Doubt {
	var doubts []Doubt
	n := len(m.Lateral)
	if n < MinStations {
		return nil
	}
	if m.DishOffset != nil {
		mean := average(m.Lateral)
		if math.Abs(mean-*m.DishOffset) > zeroMM+roundingSlackMM {
			doubts = append(doubts, Doubt{Code: GaugeNotZeroed, Spoke: -1, Values: []float64{mean, *m.DishOffset}})
		}
	}
	if len(m.Previous) == n {
		if r, ok := correlation(m.Lateral, m.Previous); ok && r < mirroredAtMost {
			doubts = append(doubts, Doubt{Code: OtherFlank, Spoke: -1, Values: []float64{r}})
		}
	}
	return doubts
}

// tensionDoubts compares the spokes with their side, and the sides with each
// other.
func (m Measured) tensionDoubts() ([]Doubt, error) {
	var side [2][]float64
	for i, j := range m.TensionSpokes {
		side[j%2] = append(side[j%2], m.Tension[i])
	}
	var mean [2]float64
	for s := range side {
		if len(side[s]) > 0 {
			mean[s] = average(side[s])
		}
	}
	var doubts []Doubt
	for i, j := range m.TensionSpokes {
		middle := mean[j%2]
		if middle <= 0 || len(side[j%2]) < 2 {
			continue
		}
		pct := 100 * (m.Tension[i] - middle) / middle
		if math.Abs(pct) > offSidePct+roundingSlackMM {
			doubts = append(doubts, Doubt{Code: OffItsSide, Spoke: j, Values: []float64{m.Tension[i], middle, pct}})
		}
	}
	slices.SortStableFunc(doubts, func(a, b Doubt) int { return a.Spoke - b.Spoke })
	if mean[0] <= 0 || mean[1] <= 0 {
		return doubts, nil
	}
	p, err := Plausible(mean[0], mean[1], m.TensionUnit, m.ExpectedRatio)
	if err != nil {
		return nil, err
	}
	for _, flag := range p.Flags {
		doubts = append(doubts, Doubt{Code: flag, Spoke: -1, Values: []float64{mean[0], mean[1]}})
	}
	return doubts, nil
}

// average is the mean of a list that is not empty.
func average(values []float64) float64 {
	sum := 0.0
	for _, v := range values {
		sum += v
	}
	return sum / float64(len(values))
}

// correlation is Pearson's coefficient of two lists of one length; not known
// where one of them does not vary.
func correlation(x, y []float64) (r float64, known bool) {
	mx, my := average(x), average(y)
	var xx, yy, xy float64
	for i := range x {
		xx += (x[i] - mx) * (x[i] - mx)
		yy += (y[i] - my) * (y[i] - my)
		xy += (x[i] - mx) * (y[i] - my)
	}
	if xx == 0 || yy == 0 {
		return 0, false
	}
	return xy / math.Sqrt(xx*yy), true
}
