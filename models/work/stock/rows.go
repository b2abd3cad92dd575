package stock

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"

	"tracewright/models"
	"tracewright/models/numbers/measure"
	"tracewright/models/trade/ident"
	"tracewright/models/trade/kinds"
	"tracewright/models/trade/pack"
)

// fahrenheit is a room in degrees Fahrenheit, and no temperature that blocks are
// measured at in degrees Celsius: 77 is 25 degrees.
const fahrenheit = 60

// copied is how many rows alike, one after the other, look as if they had been
// copied: meters that show millivolts and hundredths of a milliohm do not give
// the same pair three times running. Common practice, no source.
const copied = 3

// checkRows looks at what a row itself says; the readings are tried after.
func (in *intake) checkRows(today time.Time) {
	ids, numbers := map[string]bool{}, map[string]bool{}
	in.made, in.age = make([]string, len(in.Rows)), make([]int, len(in.Rows))
	if in.MeasuredAt.IsZero() && slices.ContainsFunc(in.Rows, Row.read) {
		in.invalid.Add("measured_at", "missing")
	}
	for i, r := range in.Rows {
		field := fmt.Sprintf("rows[%d].", i)
		add := func(name, code string, values ...string) { in.invalid.Add(field+name, code, values...) }
		switch {
		case !models.IsID(r.ID):
			add("id", "bad_id")
		case ids[r.ID]:
			add("id", "row_twice")
		}
		ids[r.ID] = true
		in.checkNumber(i, numbers, add)
		in.checkDate(i, today, add)
		in.checkReading(i, add)
	}
	in.checkCopies()
}

func (in *intake) checkNumber(i int, numbers map[string]bool, add func(name, code string, values ...string)) {
	r := in.Rows[i]
	switch {
	case len(r.Number) > 80:
		add("number", "too_long", "most", "80")
	case r.Number != "" && r.Count > 1:
		add("count", "number_or_count")
	case r.Number != "" && numbers[strings.ToUpper(r.Number)]:
		add("number", "number_twice", "number", r.Number)
	case r.Number == "" && in.Stage == models.SecondReading:
		add("number", "missing")
	case r.Number == "" && r.Count < 1:
		add("number", "number_or_count")
	case r.Count < 0 || r.Count > mostOfARow:
		add("count", "too_big", "most", fmt.Sprint(mostOfARow))
	case r.Count > 1 && r.read():
		add("count", "one_reading_for_many")
	}
	if strings.TrimSpace(r.Number) != r.Number {
		add("number", "blanks_around")
	} else if models.Unprinted(r.Number, false) {
		add("number", "not_text")
	}
	if r.Number != "" {
		numbers[strings.ToUpper(r.Number)] = true
	}
	if _, err := ident.Normalise(r.Number); errors.Is(err, ident.ErrCheck) {
		add("number", "serial_check", "serial", models.Shortened(r.Number))
	}
}

// dateCode is the row's own, that of the delivery, or the lot's.
func (in *intake) dateCode(i int) string {
	switch {
	case in.Rows[i].DateCode != "":
		return in.Rows[i].DateCode
	case in.DateCode != "":
		return in.DateCode
	case in.lot != nil:
		return in.lot.DateCode
	}
	return ""
}

// checkDate reads when a block was made. A code that cannot be read, or lies in
// the future, is wrong; one that says the block is old is not.
func (in *intake) checkDate(i int, today time.Time, add func(name, code string, values ...string)) {
	code := in.dateCode(i)
	if code == "" {
		return
	}
	if len(code) > 40 {
		add("date_code", "too_long", "most", "40")
		return
	}
	if in.form.DateCode == "" {
		if in.Rows[i].DateCode != "" {
			add("date_code", "date_code_unread", "product", in.product.Name)
		}
		return
	}
	made, err := pack.MadeOn(code, in.form.DateCode)
	if err != nil {
		add("date_code", "date_code_impossible", "typed", models.Shortened(code))
		return
	}
	age, err := pack.BlockAge(pack.Dates{Made: made, LastCharge: made, Today: today}, pack.AgeLimits{})
	if err != nil || slices.Contains(age.Reasons, pack.DateImpossible) {
		add("date_code", "date_code_future", "typed", models.Shortened(code), "date", made.Format(time.DateOnly))
		return
	}
	in.made[i], in.age[i] = made.Format(time.DateOnly), age.AgeDays
}

// checkReading looks at the values as typed: what is missing beside them, and
// whether another unit was meant.
func (in *intake) checkReading(i int, add func(name, code string, values ...string)) {
	r := in.Rows[i]
	if !r.read() {
		if in.Stage == models.SecondReading {
			add("voltage", "missing")
		}
		return
	}
	if r.Voltage == "" {
		add("voltage", "missing")
	}
	if r.Resistance == "" && in.Stage == models.Incoming {
		add("resistance", "missing")
	}
	if t := in.temperature(i); t == "" {
		add("temperature_c", "temperature_missing")
	} else if d, err := measure.ParseReading(t); err == nil && d.Float() > fahrenheit {
		add("temperature_c", "temperature_like_fahrenheit", "typed", models.Shortened(t))
	}
	if in.Conditions.RestHours == "" {
		add("rest_hours", "rest_missing")
	}
	if r.Resistance == "" {
		return
	}
	switch method := in.method(i); {
	case method == "":
		add("method", "manner_needed")
	case in.form.ResistanceMethod != "" && method != in.form.ResistanceMethod:
		add("method", "manner_of_model")
	case in.form.ResistanceMethod == "" && method != in.firstMethod():
		add("method", "manner_mixed")
	}
	in.checkUnit(i, add)
}

// checkUnit holds a resistance against the window of its model. What the number
// would be in another unit is offered; nothing is converted for the person.
func (in *intake) checkUnit(i int, add func(name, code string, values ...string)) {
	r := in.Rows[i]
	unit := measure.Unit(in.resistanceUnit(i))
	typed, err := measure.ParseReading(r.Resistance)
	if err != nil || r.AsTyped {
		return
	}
	low, errLow := measure.Parse(in.form.ResistanceLow)
	high, errHigh := measure.Parse(in.form.ResistanceHigh)
	mohm, errUnit := measure.Convert(typed, unit, measure.Milliohm)
	if errLow != nil || errHigh != nil || errUnit != nil {
		return
	}
	guess, value, _, err := pack.GuessUnit(mohm.Float(), low.Float(), high.Float())
	if err != nil || guess == pack.UnitOK {
		return
	}
	if unit != measure.Milliohm { // The guess is about a number in milliohm; here the one typed counts.
		if guess, value, _, err = pack.GuessUnit(typed.Float(), low.Float(), high.Float()); err != nil {
			return
		}
	}
	if guess == pack.UnitImplausible {
		add("resistance", "resistance_outside_window", "typed", models.Shortened(r.Resistance), "low", low.String(), "high", high.String(), "unit", string(measure.Milliohm))
		return
	}
	offered, err := measure.Round(value, 3)
	if err != nil {
		return
	}
	add("resistance", "resistance_unit_offered", "typed", models.Shortened(r.Resistance)+" "+unit.Symbol(), "units", guessed[guess].Symbol(), "value", offered.Trim().String(), "low", low.String(), "high", high.String(), "unit", string(measure.Milliohm))
}

// guessed are the units of the guesses.
var guessed = map[pack.UnitGuess]measure.Unit{pack.UnitOK: measure.Milliohm, pack.InOhm: measure.Ohm, pack.InMicroohm: measure.Microohm, pack.InSiemens: measure.Siemens}

func (in *intake) temperature(i int) string {
	if t := in.Rows[i].Temperature; t != "" {
		return t
	}
	return in.Temperature
}

func (in *intake) method(i int) string {
	if m := in.Rows[i].Method; m != "" {
		return m
	}
	return in.Method
}

// firstMethod is the way of the first row with a resistance.
func (in *intake) firstMethod() string {
	for i, r := range in.Rows {
		if r.Resistance != "" {
			return in.method(i)
		}
	}
	return ""
}

func (in *intake) resistanceUnit(i int) string {
	for _, unit := range []string{in.Rows[i].ResistanceUnit, in.ResistanceUnit} {
		if unit != "" {
			return unit
		}
	}
	return string(measure.Milliohm)
}

// checkCopies finds rows that look copied: three and more alike in a row.
func (in *intake) checkCopies() {
	same := func(i, k int) bool {
		a, b := in.Rows[i], in.Rows[k]
		return a.Voltage != "" && a.Resistance != "" && a.Voltage == b.Voltage && a.Resistance == b.Resistance && in.temperature(i) == in.temperature(k)
	}
	for from := 0; from < len(in.Rows); {
		to := from + 1
		for to < len(in.Rows) && same(from, to) {
			to++
		}
		if to-from >= copied {
			for i := from; i < to; i++ {
				if !in.Rows[i].AsTyped {
					in.invalid.Add(fmt.Sprintf("rows[%d]", i), "rows_alike", "count", fmt.Sprint(to-from))
				}
			}
		}
		from = to
	}
}

// submission is a row as an inspection; which block it is of is filled in later.
func (in *intake) submission(i int) models.Submission {
	r := in.Rows[i]
	conditions := in.Conditions
	conditions.TemperatureC = in.temperature(i)
	sub := models.Submission{ID: r.ID, Stage: in.Stage, Person: in.Person, Place: in.Place, StartedAt: in.MeasuredAt, FinishedAt: in.MeasuredAt, Conditions: conditions}
	set := func(code, gauge, unit, value string) {
		if value != "" {
			sub.Sets = append(sub.Sets, models.SentSet{Characteristic: code, Method: models.Whole, Instrument: gauge, Unit: unit, Values: []string{value}})
		}
	}
	voltUnit := in.VoltageUnit
	if voltUnit == "" {
		voltUnit = string(measure.Volt)
	}
	set(kinds.BlockVoltage, in.Gauges.Voltage, voltUnit, r.Voltage)
	set(kinds.BlockResistance, in.Gauges.Resistance, in.resistanceUnit(i), r.Resistance)
	if n := len(sub.Sets); r.Resistance != "" {
		sub.Sets[n-1].Manner = in.method(i)
	}
	set(kinds.BlockTemperature, in.Gauges.Temperature, string(measure.Celsius), in.temperature(i))
	sound := r.CaseSound
	if sound == "" {
		sound = in.CaseSound
	}
	set(kinds.CaseSound, "", "", sound)
	return sub
}

// told puts what is wrong with an inspection into the fields of its row, each
// problem once.
func (in *intake) told(i int, invalid *models.InvalidError) {
	for _, p := range invalid.Problems {
		p.Field = in.fieldOf(i, p)
		if !slices.ContainsFunc(in.invalid.Problems, func(x models.Problem) bool {
			return x.Field == p.Field && (x.Code == p.Code || strings.HasPrefix(p.Field, "rows["))
		}) {
			in.invalid.Problems = append(in.invalid.Problems, p)
		}
	}
}

// fieldOf names a field of an inspection as the list does.
func (in *intake) fieldOf(i int, p models.Problem) string {
	row := fmt.Sprintf("rows[%d].", i)
	var n int
	if _, err := fmt.Sscanf(p.Field, "sets[%d]", &n); err == nil && n < len(in.subs[i].Sets) {
		field, gauge := namesOf(in.subs[i].Sets[n].Characteristic)
		switch {
		case p.Code == "rest_missing":
			return row + "rest_hours"
		case p.Code == "temperature_missing" || p.Code == "temperature_unusable":
			return row + "temperature_c"
		case strings.HasSuffix(p.Field, ".instrument"):
			return "gauges." + gauge
		case strings.HasSuffix(p.Field, ".manner") || p.Code == "manner_needed" || p.Code == "manner_of_model":
			return row + "method"
		case strings.HasSuffix(p.Field, ".unit"):
			return row + field + "_unit"
		}
		return row + field
	}
	switch p.Field {
	case "id":
		return row + "id"
	case "started_at", "finished_at":
		return "measured_at"
	}
	return strings.TrimPrefix(p.Field, "conditions.")
}

// namesOf are the names of a characteristic in a row, and of its gauge.
func namesOf(characteristic string) (field, gauge string) {
	switch characteristic {
	case kinds.BlockVoltage:
		return "voltage", "voltage"
	case kinds.BlockResistance:
		return "resistance", "resistance"
	case kinds.BlockTemperature:
		return "temperature_c", "temperature"
	}
	return "case_sound", ""
}
