package truing

import (
	"fmt"
	"math"

	"tracewright/models"
	"tracewright/models/numbers/measure"
	"tracewright/models/trade/kinds"
	"tracewright/models/trade/wheel"
)

// taken is what an inspection read, by spoke.
type taken struct {
	Readings
	// dish is the offset toward side A from the dish gauge, nil where it was
	// not read. The zero of a lateral indicator is arbitrary: only the dish
	// gauge says where the rim stands.
	dish *float64
}

// readAll gathers the readings of every hole. What is not there is named, each
// with a remark.
func readAll(view models.InspectionView, holes int) (taken, []models.Remark, error) {
	var out taken
	var missing []models.Remark
	for _, c := range []struct {
		code, missing string
		into          *[]float64
	}{{kinds.LateralRunOut, "lateral_every_hole", &out.Lateral}, {kinds.RadialRunOut, "radial_every_hole", &out.Radial}} {
		set := every(view, c.code)
		if set == nil {
			missing = append(missing, models.NewRemark(c.missing))
			continue
		}
		values, err := stations(*set, holes)
		if err != nil {
			return taken{}, nil, fmt.Errorf("readings of %s: %w", c.code, err)
		}
		*c.into = values
	}
	out.Tension = make([]float64, holes)
	for _, c := range []struct{ code, missing string }{{kinds.TensionA, "tension_a_every_hole"}, {kinds.TensionB, "tension_b_every_hole"}} {
		set := every(view, c.code)
		if set == nil {
			missing = append(missing, models.NewRemark(c.missing))
			continue
		}
		if err := place(*set, out.Tension, measure.Newton); err != nil {
			return taken{}, nil, fmt.Errorf("readings of %s: %w", c.code, err)
		}
	}
	for _, r := range view.Results {
		if r.Code == "dish_offset" && r.ValueF != nil {
			out.dish = r.ValueF
		}
	}
	if len(missing) > 0 {
		return taken{}, missing, nil
	}
	return out, nil, nil
}

// everyHole says whether an inspection has all that a list is made from.
func everyHole(view models.InspectionView) bool {
	for _, code := range []string{kinds.LateralRunOut, kinds.RadialRunOut, kinds.TensionA, kinds.TensionB} {
		if every(view, code) == nil {
			return false
		}
	}
	return true
}

// every finds the set of a characteristic that was read at every hole.
func every(view models.InspectionView, code string) *models.ReadingSet {
	for i := range view.Sets {
		if s := &view.Sets[i]; s.Code == code && s.Method == models.EveryHole && !s.Meaningless() {
			return s
		}
	}
	return nil
}

// values reads what was typed into a unit.
func values(set models.ReadingSet, unit measure.Unit) ([]float64, error) {
	typed, typedIn := set.Readable()
	out := make([]float64, len(typed))
	for i, text := range typed {
		d, written, err := measure.ParseReadingUnit(text)
		if err != nil {
			return nil, fmt.Errorf("value %d: %w", i+1, err)
		}
		if written == "" {
			written = measure.Unit(typedIn)
		}
		if d, err = measure.Convert(d, written, unit); err != nil {
			return nil, fmt.Errorf("value %d: %w", i+1, err)
		}
		out[i] = d.Float()
	}
	if len(set.Index) < len(out) {
		return nil, fmt.Errorf("%d values at %d places", len(out), len(set.Index))
	}
	return out, nil
}

// place puts the values of a set at their spokes.
func place(set models.ReadingSet, at []float64, unit measure.Unit) error {
	read, err := values(set, unit)
	if err != nil {
		return err
	}
	for i, v := range read {
		if p := set.Index[i].Place; p >= 0 && p < len(at) {
			at[p] = v
		}
	}
	return nil
}

// stations gives a run-out by spoke hole as the results use it: the repeat of
// station 0 taken out as drift, and what was masked filled by the shape of the
// others.
func stations(set models.ReadingSet, holes int) ([]float64, error) {
	read, err := values(set, measure.MM)
	if err != nil {
		return nil, err
	}
	var reread *float64
	judged := holes - len(set.Masks)
	if len(read) > judged && judged > 0 {
		reread = &read[judged]
		read = read[:judged]
	}
	if len(read) != judged {
		return nil, fmt.Errorf("%d values for %d holes", len(read), holes)
	}
	y := make([]float64, holes)
	for i, v := range read {
		if p := set.Index[i].Place; p >= 0 && p < holes {
			y[p] = v
		}
	}
	return wheel.Stations(y, reread, kinds.WheelMasks(set.Masks))
}

// toDish refers lateral readings to the dish gauge: their mean becomes the
// offset it showed, or the target where it was not read, so that an arbitrary
// zero of the indicator is not trued away.
func (t taken) toDish(target float64) []float64 {
	mean := target
	if t.dish != nil {
		mean = *t.dish
	}
	return shifted(t.Lateral, mean-average(t.Lateral))
}

func shifted(values []float64, by float64) []float64 {
	out := make([]float64, len(values))
	for i, v := range values {
		out[i] = v + by
	}
	return out
}

func average(values []float64) float64 {
	sum := 0.0
	for _, v := range values {
		sum += v
	}
	return sum / float64(max(1, len(values)))
}

func spread(values []float64) float64 {
	low, high := math.Inf(1), math.Inf(-1)
	for _, v := range values {
		low, high = math.Min(low, v), math.Max(high, v)
	}
	return math.Max(0, high-low)
}

// condition sums up a wheel; lateral is referred to the dish.
func condition(lateral, radial, tension []float64) (Condition, error) {
	c := Condition{LateralTIR: spread(lateral), LateralMean: average(lateral), RadialTIR: spread(radial), Lowest: math.Inf(1)}
	for side, into := range []struct{ mean, deviation, cv *float64 }{{&c.MeanA, &c.DeviationA, &c.CVA}, {&c.MeanB, &c.DeviationB, &c.CVB}} {
		var index []int
		var values []float64
		for j := side; j < len(tension); j += 2 {
			index, values = append(index, j), append(values, math.Max(0, tension[j]))
		}
		s, err := wheel.SideStatistics(index, values, len(tension))
		if err != nil {
			return Condition{}, fmt.Errorf("tension of side %d: %w", side+1, err)
		}
		*into.mean, *into.deviation, *into.cv = s.Mean, s.MaxDevPct, s.CVPct
		c.Highest, c.Lowest = math.Max(c.Highest, s.Max), math.Min(c.Lowest, s.Min)
	}
	return c, nil
}
