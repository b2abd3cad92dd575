package stands

import (
	"errors"
	"strings"
	"time"
	"unicode"
	"unicode/utf8"

	"github.com/google/uuid"

	"tracewright/models"
	"tracewright/models/numbers/measure"
)

// mostTyped is the longest text of a value with its unit, and mostCode that of
// an instrument's code.
const (
	mostTyped = 64
	mostCode  = 64
)

// Reading is one value that a gauge shows. Value is the number as the gauge
// wrote it, without its unit; Unit is a code of [measure.Units].
type Reading struct {
	ID         string
	Value      string
	Unit       string
	Instrument string     // code; empty where the gauge does not say
	At         *time.Time // when it was read, by the gauge's clock
}

// Check reads what a gauge sent: the id a UUID of version 7, the value an exact
// decimal as a person types it, its unit known and said once or twice alike. All
// that is wrong comes back as one [*models.InvalidError].
func Check(sent Reading) (Reading, error) {
	invalid := &models.InvalidError{}
	if id, err := uuid.Parse(sent.ID); err != nil || id.String() != sent.ID || id.Version() != 7 {
		invalid.Add("id", "bad_id")
	}
	sent.Instrument = strings.TrimSpace(sent.Instrument)
	if utf8.RuneCountInString(sent.Instrument) > mostCode {
		invalid.Add("instrument", "too_long", "most", "64")
	}
	sent.Value, sent.Unit = checkValue(invalid, sent.Value, sent.Unit)
	if sent.At != nil {
		at := sent.At.UTC().Truncate(time.Millisecond)
		sent.At = &at
	}
	if err := invalid.OrNil(); err != nil {
		return Reading{}, err
	}
	return sent, nil
}

func checkValue(invalid *models.InvalidError, typed, named string) (value, unit string) {
	if utf8.RuneCountInString(typed) > mostTyped {
		invalid.Add("value", "too_long", "most", "64")
		return "", ""
	}
	if strings.TrimSpace(typed) == "" {
		invalid.Add("value", "missing")
		return "", ""
	}
	_, written, err := measure.ParseReadingUnit(typed)
	switch {
	case errors.Is(err, measure.ErrUnit):
		invalid.Add("value", "unit_not_understood", "typed", typed)
	case errors.Is(err, measure.ErrTooLong):
		invalid.Add("value", "too_many_digits", "typed", typed)
	case err != nil:
		invalid.Add("value", "not_a_number", "typed", typed)
	}
	if strings.TrimSpace(named) == "" {
		if err == nil && written == "" {
			invalid.Add("unit", "missing")
		}
		return number(typed), string(written)
	}
	known, unknown := measure.ParseUnit(named)
	switch {
	case unknown != nil:
		invalid.Add("unit", "unknown_unit", "unit", models.Shortened(named))
	case written != "" && written != known:
		invalid.Add("value", "other_unit_typed", "typed", typed, "unit", string(known))
	}
	return number(typed), string(known)
}

// number is what was typed before its unit.
func number(typed string) string {
	text := strings.TrimSpace(typed)
	if cut := strings.IndexFunc(text, func(r rune) bool { return unicode.IsLetter(r) || strings.ContainsRune("%\"\u00b0\u2103", r) }); cut >= 0 {
		text = strings.TrimSpace(text[:cut])
	}
	return text
}

// same says whether two readings of one id say the same.
func (r Reading) same(other Reading) bool {
	at := func(t *time.Time) int64 {
		if t == nil {
			return -1
		}
		return t.UnixMilli()
	}
	return r.Value == other.Value && r.Unit == other.Unit && r.Instrument == other.Instrument && at(r.At) == at(other.At)
}
