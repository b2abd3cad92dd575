package studies

import (
	"math"
	"slices"

	"tracewright/models"
	"tracewright/models/numbers/measure"
)

// stepOf is the step of a study's gauge in the unit of the study, as the register has
// it; where it has none, the least distance between two readings of one item that differ,
// which is no less than the step; 0 where nothing tells it. A full run-out reading is the
// difference of two readings with a step each.
func stepOf(v View, values []float64) float64 {
	step, known := inUnit(v, v.Instrument.Resolution)
	least := step.Float()
	if !known {
		least = leastDistance(v.Study.Turns, values)
	}
	if isRunOut(v.Study.Result) {
		least *= math.Sqrt2
	}
	return least
}

// inUnit turns what the register says of a study's gauge into the study's unit;
// unknown is what is empty, not above 0 or in a unit of something else.
func inUnit(v View, text string) (d measure.Decimal, known bool) {
	d, err := measure.Parse(text)
	if err == nil {
		d, err = measure.Convert(d, measure.Unit(v.Instrument.Unit), measure.Unit(v.Study.Unit))
	}
	return d, err == nil && d.Sign() > 0
}

// leastDistance is between readings of one item: how far items lie apart says nothing
// of the gauge.
func leastDistance(turns []models.StudyTurn, values []float64) float64 {
	byItem := map[int][]float64{}
	for i, t := range turns {
		byItem[t.Item] = append(byItem[t.Item], values[i])
	}
	least := 0.0
	for _, of := range byItem {
		slices.Sort(of)
		for i := 1; i < len(of); i++ {
			if d := of[i] - of[i-1]; d > 0 && (least == 0 || d < least) {
				least = d
			}
		}
	}
	return least
}
