package gauges

import (
	"errors"
	"fmt"
	"regexp"
	"strings"
	"time"

	"tracewright/models"
	"tracewright/models/numbers/measure"
	"tracewright/models/trade/kinds"
)

const longestText = 80

// codeForm keeps a code fit for a label, an address and a scanner.
var codeForm = regexp.MustCompile(`^[A-Za-z0-9][A-Za-z0-9._-]{0,19}$`)

// check notes everything that is wrong with an instrument, and brings its texts
// to the form in which they are stored.
func check(invalid *models.InvalidError, i *models.Instrument) {
	for _, t := range []struct {
		field  string
		value  *string
		needed bool
	}{
		{"code", &i.Code, true}, {"kind", &i.Kind, true}, {"name", &i.Name, true}, {"place", &i.Place, false},
		{"unit", &i.Unit, true}, {"certificate_number", &i.CertificateNumber, false},
	} {
		if *t.value = models.Trimmed(*t.value); *t.value == "" && t.needed {
			invalid.Add(t.field, "missing")
		}
		invalid.Line(t.field, *t.value, longestText)
	}
	if i.Code != "" && !codeForm.MatchString(i.Code) {
		invalid.Add("code", "code_form")
	}
	if i.State == "" {
		i.State = models.InstrumentInUse
	}
	switch i.State {
	case models.InstrumentInUse, models.InstrumentOut, models.InstrumentRetired:
	default:
		invalid.Add("state", "unknown_choice", "typed", models.Shortened(i.State))
	}
	checkUnit(invalid, i)
	checkNumbers(invalid, i)
	checkDays(invalid, i)
}

// checkUnit refuses a kind that nothing takes, and a unit in which the kind's
// readings cannot be given.
func checkUnit(invalid *models.InvalidError, i *models.Instrument) {
	switch i.Kind {
	case "":
		return
	case models.InstrumentReference:
		if i.Unit != "" && !measure.Unit(i.Unit).Known() {
			invalid.Add("unit", "unknown_unit", "unit", models.Shortened(i.Unit))
		}
		return
	}
	taken, err := readIn()
	if err != nil {
		invalid.Add("kind", "unknown_choice", "typed", models.Shortened(i.Kind))
		return
	}
	unit, ok := taken[i.Kind]
	switch {
	case !ok:
		invalid.Add("kind", "unknown_choice", "typed", models.Shortened(i.Kind))
	case i.Unit == "":
	case !measure.Unit(i.Unit).Known():
		invalid.Add("unit", "unknown_unit", "unit", models.Shortened(i.Unit))
	case !measure.Convertible(measure.Unit(i.Unit), unit):
		invalid.Add("unit", "unit_not_accepted", "unit", i.Unit, "units", string(unit))
	}
}

// readIn gives, for each kind of instrument that some characteristic takes, the
// unit of that characteristic.
func readIn() (map[string]measure.Unit, error) {
	units := map[string]measure.Unit{}
	for _, kind := range kinds.Catalogue() {
		list, err := kind.DefaultSpecification(kind.Grades[0], models.ProductForm{})
		if err != nil {
			return nil, fmt.Errorf("what a %s is measured with: %w", kind.Name, err)
		}
		for _, c := range list {
			if c.Instrument != "" {
				units[c.Instrument] = measure.Unit(c.Unit)
			}
		}
	}
	return units, nil
}

func checkNumbers(invalid *models.InvalidError, i *models.Instrument) {
	low, okLow := decimal(invalid, "range_low", &i.RangeLow, false)
	high, okHigh := decimal(invalid, "range_high", &i.RangeHigh, false)
	if okLow && okHigh && low.Cmp(high) > 0 {
		invalid.Add("range_low", "low_above_high")
	}
	decimal(invalid, "resolution", &i.Resolution, true)
	decimal(invalid, "uncertainty", &i.Uncertainty, true)
}

// decimal reads *value, which may be empty, and stores it plainly.
func decimal(invalid *models.InvalidError, field string, value *string, positive bool) (measure.Decimal, bool) {
	*value = strings.TrimSpace(*value)
	if *value == "" {
		return measure.Decimal{}, false
	}
	d, err := measure.ParseReading(*value)
	switch {
	case errors.Is(err, measure.ErrTooLong):
		invalid.Add(field, "too_many_digits", "typed", models.Shortened(*value))
	case err != nil:
		invalid.Add(field, "not_a_number", "typed", models.Shortened(*value))
	case positive && d.Sign() < 0:
		invalid.Add(field, "negative_not_possible")
	case positive && d.Sign() == 0:
		invalid.Add(field, "zero_not_possible")
	default:
		*value = d.String()
		return d, true
	}
	return measure.Decimal{}, false
}

func checkDays(invalid *models.InvalidError, i *models.Instrument) {
	good := true
	for _, d := range []struct {
		field string
		day   *string
	}{{"calibrated_on", &i.CalibratedOn}, {"due_on", &i.DueOn}} {
		*d.day = strings.TrimSpace(*d.day)
		if *d.day == "" {
			continue
		}
		if day, err := time.Parse(time.DateOnly, *d.day); err != nil {
			invalid.Add(d.field, "bad_date", "typed", models.Shortened(*d.day))
			good = false
		} else if invalid.TooEarly(d.field, day.Year()) {
			good = false
		}
	}
	if good && i.CalibratedOn != "" && i.DueOn != "" && i.DueOn < i.CalibratedOn {
		invalid.Add("due_on", "end_before_start")
	}
}

// notAhead refuses a day of a calibration that lies ahead, where it does not stand there
// already: the register would show it at once, and what is read until then is not judged
// by it.
func notAhead(invalid *models.InvalidError, day, known, today string) {
	if _, err := time.Parse(time.DateOnly, day); err == nil && day > today && day != known {
		invalid.Add("calibrated_on", "calibration_in_future")
	}
}
