package kinds

import (
	"math"
	"strconv"
	"strings"
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

// RecordedRest is what charges on record say of the rest at a moment.
type RecordedRest struct {
	Charge   models.ChargeView // the one that ended last, or has not ended; or a discharge
	Charging bool              // it had not ended then
	Hours    float64           // since it ended, h
}

// RestAt finds the rest at a moment by the charges and discharges of an item and
// its parts; ok is false where none had begun. While it is discharged nothing rests.
func RestAt(charges []models.ChargeView, at time.Time) (rest RecordedRest, ok bool) {
	for _, c := range charges {
		if at.Before(c.StartedAt) {
			continue
		}
		if c.Kind == models.Discharge {
			if hours := max(0, at.Sub(c.End.EndedAt).Hours()); !ok || hours < rest.Hours {
				rest, ok = RecordedRest{Charge: c, Hours: hours}, true
			}
			continue
		}
		if c.End == nil || at.Before(c.End.EndedAt) {
			return RecordedRest{Charge: c, Charging: true}, true
		}
		if hours := at.Sub(c.End.EndedAt).Hours(); !ok || hours < rest.Hours {
			rest, ok = RecordedRest{Charge: c, Hours: hours}, true
		}
	}
	return rest, ok
}

// RestedSince says whether a reading was taken after a moment and, but for what
// typed rests are rounded by, at least so many hours after it.
func RestedSince(since, read time.Time, leastH float64) bool {
	hours := read.Sub(since).Hours()
	return hours >= 0 && hours+restSlackH+restSlackShare*hours >= leastH
}

// Text is the rest in hours, rounded down to a hundredth: a limit is not reached
// by rounding.
func (r RecordedRest) Text() string {
	text := strconv.FormatFloat(math.Floor(r.Hours*100+1e-6)/100, 'f', 2, 64)
	return strings.TrimSuffix(strings.TrimRight(text, "0"), ".")
}

// Against compares what was typed with the record: the conditions to judge by,
// and the code of what to say where they contradict each other, with its values.
// What had not ended is a reading on the charger; of two rests the shorter holds.
func (r RecordedRest) Against(typed models.Conditions) (judged models.Conditions, code string, values []string) {
	judged = typed
	if r.Charging {
		judged.OnCharger = true
		if typed.OnCharger {
			return judged, "", nil
		}
		return judged, "charge_not_ended", nil
	}
	hours, err := measure.ParseReading(typed.RestHours)
	if err != nil || math.Abs(hours.Float()-r.Hours) <= restSlackH+restSlackShare*r.Hours {
		return judged, "", nil // Not said, which is told elsewhere; or as recorded.
	}
	if judged.RestHours = hours.String(); r.Hours < hours.Float() {
		judged.RestHours = r.Text()
	}
	code = "rest_contradicts"
	if r.Charge.Kind == models.Discharge {
		code = "discharge_rest_contradicts"
	}
	return judged, code, []string{"typed", hours.String() + " h", "recorded", r.Text() + " h", "judged", judged.RestHours}
}

// JudgedRest is the rest, h, that an inspection was judged by: the typed one,
// unless its remarks say that the record contradicted it.
func JudgedRest(typed string, remarks []models.Remark) string {
	for _, r := range remarks {
		if judged := r.Values["judged"]; judged != "" && strings.HasSuffix(r.Code, "rest_contradicts") {
			return judged
		}
	}
	return typed
}
