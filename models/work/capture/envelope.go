package capture

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"

	"github.com/google/uuid"

	"tracewright/models"
	"tracewright/models/numbers/measure"
)

const (
	mostSets     = 64
	mostReadings = 1000
	mostText     = 2000
	mostOfAPart  = 100_000 // built into one item
	// longestTake is the longest time from opening the form to a reading.
	longestTake = 90 * 24 * time.Hour
	// mostRestH is more than any block that is still measured has rested, h: ten
	// years.
	mostRestH = 10 * 8766
)

// checkEnvelope checks what can be checked without knowing the item; tablet is
// the tablet's clock at this moment.
func checkEnvelope(sub models.Submission, tablet time.Time) error {
	invalid := &models.InvalidError{}
	if id, err := uuid.Parse(sub.ID); err != nil || id.String() != sub.ID || id.Version() != 7 {
		invalid.Add("id", "bad_id")
	}
	switch named := sub.Part != (models.PartName{}); {
	case sub.Serial == "" && !named:
		invalid.Add("serial", "missing")
	case sub.Serial != "" && named:
		invalid.Add("part", "serial_or_number")
	case named && sub.Part.Number == "":
		invalid.Add("part.number", "missing")
	}
	if sub.Stage == "" {
		invalid.Add("stage", "missing")
	}
	if len(sub.Sets) == 0 {
		invalid.Add("sets", "missing")
	}
	if len(sub.Sets) > mostSets {
		invalid.Add("sets", "too_big", "most", fmt.Sprint(mostSets))
	}
	checkTimes(sub, tablet, invalid)
	for i, set := range sub.Sets {
		if len(set.Values) > mostReadings {
			invalid.Add(fmt.Sprintf("sets[%d].values", i), "too_big", "most", fmt.Sprint(mostReadings))
		}
		for j, m := range set.Moments {
			if m < 0 || m > longestTake.Milliseconds() {
				invalid.Add(fmt.Sprintf("sets[%d].moments[%d]", i, j), "moment_far", "most", fmt.Sprint(longestTake.Milliseconds()))
			}
		}
	}
	for i, p := range sub.Parts {
		if p.Quantity < 0 || p.Quantity > mostOfAPart {
			invalid.Add(fmt.Sprintf("parts[%d].quantity", i), "too_big", "most", fmt.Sprint(mostOfAPart))
		}
	}
	checkConditions(sub.Conditions, invalid)
	checkTexts(sub, invalid)
	reason := models.Trimmed(sub.Reason)
	if sub.Corrects != "" && reason == "" {
		invalid.Add("reason", "reason_needed")
	}
	if sub.Corrects == sub.ID && sub.ID != "" {
		invalid.Add("corrects", "corrects_itself")
	}
	invalid.Lines("reason", reason, mostText)
	return invalid.OrNil()
}

// checkSoFar checks what is there as [checkEnvelope] does; what is missing may come yet.
func checkSoFar(sub models.Submission) error {
	var all *models.InvalidError
	if !errors.As(checkEnvelope(sub, sub.FinishedAt), &all) {
		return nil
	}
	all.Problems = slices.DeleteFunc(all.Problems, func(p models.Problem) bool {
		return p.Code == "missing" || p.Code == "reason_needed" || p.Field == "id" && sub.ID == ""
	})
	return all.OrNil()
}

// mostName is how long a place, a code or a number may be.
const mostName = 200

// checkTexts bounds what stands in names, so that no page is filled by one.
func checkTexts(sub models.Submission, invalid *models.InvalidError) {
	bound := func(field, text string) {
		if len(text) > mostName {
			invalid.Add(field, "too_long", "most", fmt.Sprint(mostName))
		}
	}
	line := func(field, text string) { invalid.Line(field, models.Trimmed(text), mostName) }
	// A scanner sends what parts the elements of a code along with them.
	number := func(field, text string) { line(field, strings.ReplaceAll(text, "\x1d", "")) }
	line("place", sub.Place)
	bound("product", sub.Product)
	line("part.supplier", sub.Part.Supplier)
	line("part.model", sub.Part.Model)
	number("part.number", sub.Part.Number)
	for i, set := range sub.Sets {
		at := fmt.Sprintf("sets[%d].", i)
		line(at+"manner", set.Manner)
		bound(at+"instrument", set.Instrument)
		for j, typed := range set.Values {
			if len(typed) > mostName { // A field is not named for each of a hundred readings that are sound.
				bound(fmt.Sprintf("%svalues[%d]", at, j), typed)
			}
		}
	}
	for i, part := range sub.Parts {
		at := fmt.Sprintf("parts[%d].", i)
		bound(at+"place", part.Place)
		bound(at+"lot", part.Lot)
		number(at+"number", part.Number)
		line(at+"supplier", part.Supplier)
		line(at+"model", part.Model)
	}
}

func checkTimes(sub models.Submission, tablet time.Time, invalid *models.InvalidError) {
	switch {
	case sub.StartedAt.IsZero():
		invalid.Add("started_at", "missing")
	case sub.FinishedAt.IsZero():
		invalid.Add("finished_at", "missing")
	case sub.FinishedAt.Before(sub.StartedAt):
		invalid.Add("finished_at", "end_before_start")
	case sub.FinishedAt.Sub(sub.StartedAt) > longestTake:
		invalid.Add("started_at", "start_far", "days", fmt.Sprint(int(longestTake.Hours()/24)))
	case sub.FinishedAt.After(tablet.Add(noticedClock)):
		invalid.Add("finished_at", "in_the_future")
	}
}

// checkConditions reads what was said of the circumstances: decimal texts, the
// rest not negative.
func checkConditions(c models.Conditions, invalid *models.InvalidError) {
	for _, f := range []struct {
		field, typed string
		negative     bool
	}{{"conditions.temperature_c", c.TemperatureC, true}, {"conditions.rest_hours", c.RestHours, false}, {"conditions.load_a", c.LoadA, true}} {
		if f.typed == "" {
			continue
		}
		d, err := measure.ParseReading(f.typed)
		switch {
		case err != nil:
			invalid.Add(f.field, "not_a_number", "typed", models.Shortened(f.typed))
		case !f.negative && d.Sign() < 0:
			invalid.Add(f.field, "negative_not_possible")
		case !f.negative && d.Float() > mostRestH:
			invalid.Add(f.field, "too_big", "most", fmt.Sprint(mostRestH)+" h")
		}
	}
	if c.Tyre != "" && c.Tyre != "on" && c.Tyre != "off" {
		invalid.Add("conditions.tyre", "unknown_choice", "typed", models.Shortened(c.Tyre))
	}
	invalid.Lines("conditions.note", models.Trimmed(c.Note), mostText)
}

// checkReadable checks what a submission for an unknown serial can be checked
// for: it must at least be one that a person could place later.
func checkReadable(sub models.Submission) error {
	invalid := &models.InvalidError{}
	for i, set := range sub.Sets {
		if len(set.Values) == 0 {
			invalid.Add(fmt.Sprintf("sets[%d].values", i), "too_few_readings", "got", "0", "want", "1")
		}
		for j, typed := range set.Values {
			if typed == "yes" || typed == "no" || typed == "na" {
				continue
			}
			if _, _, err := measure.ParseReadingUnit(typed); err != nil {
				invalid.Add(fmt.Sprintf("sets[%d].values[%d]", i, j), "not_a_number", "typed", models.Shortened(typed))
			}
		}
	}
	return invalid.OrNil()
}
