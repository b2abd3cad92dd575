package capture

import (
	"math"
	"strconv"
	"time"

	"tracewright/models"
	"tracewright/models/numbers/measure"
)

// Half an hour and a twentieth: so far a typed rest may lie from the recorded
// one, since both are rounded. Common practice, no source.
const (
	restSlackH     = 0.5
	restSlackShare = 0.05
)

// restByRecord compares the rest that was typed with the charge on record: a
// remark where they contradict each other. Neither is changed; the typed one is
// judged by.
func restByRecord(charge *models.ChargeView, c models.Conditions, measured time.Time) []models.Remark {
	if charge == nil || measured.Before(charge.StartedAt) {
		return nil
	}
	if charge.End == nil || measured.Before(charge.End.EndedAt) {
		if c.OnCharger {
			return nil
		}
		return []models.Remark{models.NewRemark("charge_not_ended")}
	}
	typed, err := measure.ParseReading(c.RestHours)
	if err != nil {
		return nil // Said elsewhere.
	}
	recorded := measured.Sub(charge.End.EndedAt).Hours()
	if math.Abs(typed.Float()-recorded) <= restSlackH+restSlackShare*recorded {
		return nil
	}
	return []models.Remark{models.NewRemark("rest_contradicts", "typed", typed.String()+" h", "recorded", strconv.FormatFloat(recorded, 'f', 1, 64)+" h")}
}
