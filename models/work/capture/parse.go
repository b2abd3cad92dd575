package capture

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"

	"tracewright/models"
	"tracewright/models/numbers/measure"
	"tracewright/models/trade/kinds"
	"tracewright/models/trade/wheel"
)

// parsed is one set as sent, read into exact decimals.
type parsed struct {
	sent       models.SentSet
	field      string // "sets[2]"
	set        kinds.Set
	instrument *models.Instrument
	shows      showing           // of the instrument
	table      *wheel.GaugeTable // of the instrument, where divisions were read
	converted  []string          // newtons, by the table
	unread     bool              // a reading lies beyond the table: nothing is computed from the set
	remarks    []models.Remark
}

// readSets parses every set against the specification and adds every problem
// it finds to invalid.
func readSets(sub models.Submission, kind kinds.Kind, form models.ProductForm, spec models.Specification, instruments []models.Instrument, tables []models.GaugeTable, measured time.Time, day string, invalid *models.InvalidError) []parsed {
	list := make([]parsed, 0, len(sub.Sets))
	seen := map[[2]string]bool{}
	for i, sent := range sub.Sets {
		p := parsed{sent: sent, field: fmt.Sprintf("sets[%d]", i)}
		characteristic, ok := spec.Characteristic(sent.Characteristic)
		if !ok {
			invalid.Add(p.field+".characteristic", "unknown_characteristic", "code", models.Shortened(sent.Characteristic))
			continue
		}
		key := [2]string{sent.Characteristic, sent.Method}
		if seen[key] {
			invalid.Add(p.field, "characteristic_twice", "characteristic", sent.Characteristic, "method", sent.Method)
			continue
		}
		seen[key] = true
		before := len(invalid.Problems)
		p.readSet(characteristic, instruments, tables, form, measured, day, invalid)
		if len(invalid.Problems) == before {
			if remark := kind.Place(form, &p.set); remark != nil {
				invalid.Problems = append(invalid.Problems, models.Problem{Field: p.misplaced(remark.Code), Code: remark.Code, Values: remark.Values})
			}
		}
		list = append(list, p)
	}
	return list
}

// misplaced is the field of a problem with the places of a set: the index where
// the tablet sent one and it is at fault, else the values.
func (p *parsed) misplaced(code string) string {
	switch code {
	case "index_twice", "index_out_of_range", "position_missing", "wrong_side", "reread_is_of_station_0":
		if len(p.sent.Index) > 0 {
			return p.field + ".index"
		}
	}
	return p.field + ".values"
}

func (p *parsed) readSet(c models.Characteristic, instruments []models.Instrument, tables []models.GaugeTable, form models.ProductForm, measured time.Time, day string, invalid *models.InvalidError) {
	p.set = kinds.Set{Characteristic: c, Method: p.sent.Method, Manner: models.Trimmed(p.sent.Manner), Index: slices.Clone(p.sent.Index), Unit: measure.Unit(c.Unit)}
	if !methodKnown(c, p.sent.Method) {
		invalid.Add(p.field+".method", "method_not_accepted", "code", models.Shortened(p.sent.Method))
	}
	if c.Form == models.Ticked || c.Form == models.Chosen {
		p.readAnswer(c, instruments, invalid)
		return
	}
	if len(p.sent.Values) == 0 {
		invalid.Add(p.field+".values", "too_few_readings", "got", "0", "want", "1")
	}
	if len(p.sent.Index) > 0 && len(p.sent.Index) != len(p.sent.Values) {
		invalid.Add(p.field+".index", "index_mismatch", "got", fmt.Sprint(len(p.sent.Index)), "want", fmt.Sprint(len(p.sent.Values)))
	}
	if len(p.sent.Moments) > 0 && len(p.sent.Moments) != len(p.sent.Values) {
		invalid.Add(p.field+".moments", "moments_mismatch", "got", fmt.Sprint(len(p.sent.Moments)), "want", fmt.Sprint(len(p.sent.Values)))
	}
	p.readMasks(c, form, invalid)
	unit := measure.Unit(p.sent.Unit)
	if p.sent.Unit == "" {
		unit = writtenUnit(p.sent.Values, c)
	}
	if !slices.Contains(c.Units, string(unit)) {
		invalid.Add(p.field+".unit", "unit_not_accepted", "unit", models.Shortened(p.sent.Unit), "units", strings.Join(c.Units, ", "))
		return
	}
	p.sent.Unit = string(unit)
	p.findInstrument(c, instruments, day, invalid)
	if unit == measure.Division && !p.findTable(tables, form, measured, invalid) {
		return
	}
	p.set.Values = make([]measure.Decimal, len(p.sent.Values))
	for j, typed := range p.sent.Values {
		if code, values := p.readValue(j, typed, unit); code != "" {
			invalid.Add(fmt.Sprintf("%s.values[%d]", p.field, j), code, values...)
		}
	}
}

// writtenUnit is the unit of a set that names none: the one that each of its values
// has written behind it, where the characteristic takes it, else the
// characteristic's own. Values that say different things are refused one by one.
func writtenUnit(values []string, c models.Characteristic) measure.Unit {
	own := measure.Unit(c.Unit)
	var unit measure.Unit
	for _, typed := range values {
		_, written, err := measure.ParseReadingUnit(typed)
		if err != nil || written == "" || unit != "" && written != unit || !slices.Contains(c.Units, string(written)) {
			return own
		}
		unit = written
	}
	if unit == "" {
		return own
	}
	return unit
}

// methodKnown accepts the methods that are enough for a verdict and, beside
// them, any fuller one that the specification names a result for.
func methodKnown(c models.Characteristic, method string) bool {
	if slices.Contains(c.Methods, method) {
		return true
	}
	for _, l := range c.Results {
		if slices.Contains(l.Required, method) {
			return true
		}
	}
	return false
}

func (p *parsed) readAnswer(c models.Characteristic, instruments []models.Instrument, invalid *models.InvalidError) {
	choices := []string{"yes", "no", "na"}
	if c.Form == models.Chosen {
		choices = c.Choices
	}
	if len(p.sent.Masks) > 0 {
		invalid.Add(p.field+".masks", "mask_not_here", "characteristic", c.Code)
	}
	if len(p.sent.Values) != 1 {
		invalid.Add(p.field+".values", "one_answer", "got", fmt.Sprint(len(p.sent.Values)))
		return
	}
	if p.sent.Unit != "" {
		invalid.Add(p.field+".unit", "no_unit_here", "unit", models.Shortened(p.sent.Unit))
	}
	switch whole := (models.Position{}); {
	case len(p.sent.Index) > 1:
		invalid.Add(p.field+".index", "index_mismatch", "got", fmt.Sprint(len(p.sent.Index)), "want", "1")
	case len(p.sent.Index) == 1 && p.sent.Index[0] != whole:
		invalid.Add(p.field+".index", "index_out_of_range", "position", p.sent.Index[0].Shown())
	}
	if _, known := models.CodedAs(instruments, p.sent.Instrument); p.sent.Instrument != "" && !known {
		invalid.Add(p.field+".instrument", "unknown_instrument", "code", models.Shortened(p.sent.Instrument))
	}
	if !slices.Contains(choices, p.sent.Values[0]) {
		invalid.Add(p.field+".values[0]", "unknown_choice", "typed", models.Shortened(p.sent.Values[0]))
	}
	p.set.Answer, p.set.Unit = p.sent.Values[0], measure.One
}

func (p *parsed) findInstrument(c models.Characteristic, instruments []models.Instrument, day string, invalid *models.InvalidError) {
	if c.Instrument == "" {
		return
	}
	if p.sent.Instrument == "" {
		invalid.Add(p.field+".instrument", "instrument_missing", "characteristic", c.Code)
		return
	}
	found, ok := models.CodedAs(instruments, p.sent.Instrument)
	switch {
	case !ok:
		invalid.Add(p.field+".instrument", "unknown_instrument", "code", models.Shortened(p.sent.Instrument))
		return
	case found.Kind != c.Instrument:
		invalid.Add(p.field+".instrument", "wrong_instrument", "instrument", found.Code)
		return
	}
	p.instrument, p.shows = &found, shownBy(found)
	if found.OverdueOn(day) {
		p.remarks = append(p.remarks, models.NewRemark("instrument_overdue", "instrument", found.Code, "due", found.DueOn))
	}
	switch {
	case found.State == models.InstrumentInUse:
	case found.State == models.InstrumentOut && found.OutNote != "":
		p.remarks = append(p.remarks, models.NewRemark("instrument_out_allowed", "instrument", found.Code, "note", found.OutNote))
	default:
		p.remarks = append(p.remarks, models.NewRemark("instrument_out", "instrument", found.Code))
	}
}

// readValue reads one value as typed into the characteristic's unit. It
// answers with the code of a problem, "" when there is none.
func (p *parsed) readValue(j int, typed string, unit measure.Unit) (code string, values []string) {
	value, written, err := measure.ParseReadingUnit(typed)
	switch {
	case errors.Is(err, measure.ErrUnit):
		return "unit_not_understood", []string{"typed", models.Shortened(typed)}
	case err != nil:
		return "not_a_number", []string{"typed", models.Shortened(typed)}
	case written != "" && written != unit:
		return "other_unit_typed", []string{"typed", models.Shortened(typed), "unit", string(unit)}
	}
	if i := p.instrument; i != nil {
		if code, values := p.checkAgainst(*i, typed, value, unit); code != "" {
			return code, values
		}
	}
	if p.table != nil {
		return p.byTable(j, typed, value)
	}
	converted, err := measure.Convert(value, unit, p.set.Unit)
	if err != nil {
		return "not_convertible", []string{"typed", models.Shortened(typed), "unit", string(unit)}
	}
	if unit != p.set.Unit {
		converted = converted.Trim() // the factor's decimals are no resolution
	}
	p.set.Values[j] = converted
	return "", nil
}

// showing is what an instrument can show, in its unit: its range and how finely. What is
// not given is not known.
type showing struct{ low, high, resolution measure.Decimal }

func shownBy(i models.Instrument) showing {
	known := func(text string) measure.Decimal {
		d, _ := measure.Parse(text)
		return d
	}
	return showing{known(i.RangeLow), known(i.RangeHigh), known(i.Resolution)}
}

// checkAgainst compares a value with what the instrument can show: outside its
// range it is refused; finer than its resolution it is kept and flagged once.
func (p *parsed) checkAgainst(i models.Instrument, typed string, value measure.Decimal, unit measure.Unit) (code string, values []string) {
	if unit == measure.Division && measure.Unit(i.Unit) != measure.Division {
		return "", nil // Its range is in newtons: the table has ends of its own.
	}
	shown, err := measure.Convert(value, unit, measure.Unit(i.Unit))
	if err != nil {
		return "instrument_of_other_unit", []string{"instrument", i.Code, "unit", i.Unit}
	}
	if low, high := p.shows.low, p.shows.high; low.Given() && shown.Cmp(low) < 0 || high.Given() && shown.Cmp(high) > 0 {
		return "outside_range", []string{"typed", models.Shortened(typed), "instrument", i.Code, "low", i.RangeLow, "high", i.RangeHigh, "unit", i.Unit}
	}
	if resolution := p.shows.resolution; resolution.Given() && unit == measure.Unit(i.Unit) && measure.Finer(value, resolution) && !hasRemark(p.remarks, "finer_than_resolution") {
		p.remarks = append(p.remarks, models.NewRemark("finer_than_resolution", "instrument", i.Code, "resolution", i.Resolution, "unit", i.Unit, "value", value.String()))
	}
	return "", nil
}

func hasRemark(remarks []models.Remark, code string) bool {
	return slices.ContainsFunc(remarks, func(r models.Remark) bool { return r.Code == code })
}
