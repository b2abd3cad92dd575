package studies

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"

	"tracewright/models"
	"tracewright/models/numbers/measure"
)

// Next is what is to be read next. It tells nothing of what was read before.
type Next struct {
	Study    models.GaugeStudy
	Turn     int    // index of the study's turns
	PersonID string // who reads
	Person   string // their name
	Item     string
	Read     int // readings that stand, and how many there will be
	All      int
	// Last is the newest standing reading that this person may strike: its id, and
	// what it was of, without its value.
	Last     string
	LastItem string
}

// Next gives the next turn of a person, by their id; "" is the first that is open
// at all. Nothing left is an error of code study_read_for_you, or study_read.
func (s *Service) Next(ctx context.Context, actor models.Actor, number int, personID string) (Next, error) {
	v, err := s.Study(ctx, number)
	if err != nil {
		return Next{}, err
	}
	if v.End != nil {
		return Next{}, refused("study_ended")
	}
	if personID == "" && slices.Contains(v.Study.Persons, actor.PersonID) {
		personID = actor.PersonID
	}
	if personID != "" && !slices.Contains(v.Study.Persons, personID) {
		return Next{}, models.Invalid("person", "not_in_study")
	}
	if err := mayEnter(actor, v.Study, personID); err != nil {
		return Next{}, err
	}
	standing := v.Standing()
	next := Next{Study: v.Study, Turn: -1, All: len(standing)}
	for i, t := range v.Study.Turns {
		if standing[i] != nil {
			next.Read++
			continue
		}
		if next.Turn < 0 && (personID == "" || t.Person == anyone || v.Study.Persons[t.Person] == personID) {
			next.Turn = i
		}
	}
	for i := len(v.Readings) - 1; i >= 0 && next.Last == ""; i-- {
		r := v.Readings[i]
		if _, struck := v.Strikes[r.ID]; !struck && mayStrike(actor, r) && (personID == "" || r.PersonID == personID) {
			next.Last, next.LastItem = r.ID, v.Study.Items[v.Study.Turns[r.Turn].Item].Name
		}
	}
	switch {
	case next.Turn >= 0:
	case next.Read == next.All:
		return next, refused("study_read")
	default:
		return next, refused("study_read_for_you", "left", fmt.Sprint(next.All-next.Read))
	}
	t := v.Study.Turns[next.Turn]
	next.Item = v.Study.Items[t.Item].Name
	switch {
	case t.Person != anyone:
		next.PersonID = v.Study.Persons[t.Person]
	case personID != "":
		next.PersonID = personID
	default:
		next.PersonID = v.Study.Persons[0]
	}
	next.Person = v.People[next.PersonID]
	return next, nil
}

func refused(code string, values ...string) error {
	return &models.RefusedError{Reasons: []models.Remark{models.NewRemark(code, values...)}}
}

// mayEnter refuses whoever does not take part; inspectors and the owner type for
// others what stands on the order sheet.
func mayEnter(actor models.Actor, study models.GaugeStudy, personID string) error {
	if actor.May(models.ActCalibrate) {
		return nil
	}
	if slices.Contains(study.Persons, actor.PersonID) && (personID == "" || personID == actor.PersonID) {
		return nil
	}
	return fmt.Errorf("not taking part in study %d: %w", study.Number, models.ErrForbidden)
}

func mayStrike(actor models.Actor, r models.StudyReading) bool {
	return actor.May(models.ActCalibrate) || r.PersonID == actor.PersonID
}

// Entry is one reading as it is sent.
type Entry struct {
	ID       string // UUIDv7, made with the page that asks
	Turn     int
	PersonID string // who read the gauge; "" is who sends
	Typed    string // the value, with its unit behind it where that is another
}

// Enter keeps one reading. The same entry again is no change. A turn that another
// tablet has read meanwhile is [models.ErrStale].
func (s *Service) Enter(ctx context.Context, actor models.Actor, number int, in Entry) error {
	v, err := s.Study(ctx, number)
	if err != nil {
		return err
	}
	if in.PersonID == "" {
		in.PersonID = actor.PersonID
	}
	if err := mayEnter(actor, v.Study, in.PersonID); err != nil {
		return err
	}
	invalid := &models.InvalidError{}
	if !models.IsID(in.ID) {
		invalid.Add("id", "bad_id")
	}
	if in.Turn < 0 || in.Turn >= len(v.Study.Turns) {
		invalid.Add("turn", "too_big", "most", fmt.Sprint(len(v.Study.Turns)-1))
		return invalid
	}
	turn := v.Study.Turns[in.Turn]
	if turn.Person == anyone && !slices.Contains(v.Study.Persons, in.PersonID) || turn.Person != anyone && v.Study.Persons[turn.Person] != in.PersonID {
		invalid.Add("person", "not_their_turn")
	}
	value, unit := typed(invalid, v, in.Typed)
	if err := invalid.OrNil(); err != nil {
		return err
	}
	r := models.StudyReading{ID: in.ID, StudyID: v.Study.ID, Turn: in.Turn, Typed: strings.TrimSpace(in.Typed), TypedUnit: unit, Value: value, PersonID: in.PersonID}
	if actor.DeviceID != "" {
		device := actor.DeviceID
		r.DeviceID = &device
	}
	if err := s.store.AddStudyReading(ctx, models.NewStamp(actor, s.now()), r); err != nil {
		return fmt.Errorf("enter a reading of study %d: %w", number, err)
	}
	return nil
}

// typed reads a value as at the stand: comma or point, a sign, the unit behind it
// where it is another than the study's, within the range of the gauge.
func typed(invalid *models.InvalidError, v View, text string) (value, unit string) {
	if strings.TrimSpace(text) == "" {
		invalid.Add("value", "missing")
		return "", ""
	}
	d, written, err := measure.ParseReadingUnit(text)
	switch {
	case errors.Is(err, measure.ErrUnit):
		invalid.Add("value", "unit_not_understood", "typed", models.Shortened(text))
	case errors.Is(err, measure.ErrTooLong):
		invalid.Add("value", "too_many_digits", "typed", models.Shortened(text))
	case err != nil:
		invalid.Add("value", "not_a_number", "typed", models.Shortened(text))
	}
	if err != nil {
		return "", ""
	}
	own := measure.Unit(v.Study.Unit)
	if written == "" {
		written = own
	} else if !slices.Contains(v.Study.Units, string(written)) {
		invalid.Add("value", "unit_not_accepted", "unit", string(written), "units", strings.Join(v.Study.Units, ", "))
		return "", ""
	}
	if outside(d, written, v.Instrument) {
		invalid.Add("value", "outside_range", "typed", models.Shortened(text), "instrument", v.Instrument.Code, "low", v.Instrument.RangeLow, "high", v.Instrument.RangeHigh, "unit", v.Instrument.Unit)
		return "", ""
	}
	if d, err = measure.Convert(d, written, own); err != nil {
		invalid.Add("value", "not_a_number", "typed", models.Shortened(text))
		return "", ""
	}
	return d.String(), string(written)
}

// outside says whether a gauge cannot have shown a value. A gauge that shows
// divisions, or whose range is not known, refuses nothing.
func outside(d measure.Decimal, unit measure.Unit, i models.Instrument) bool {
	d, err := measure.Convert(d, unit, measure.Unit(i.Unit))
	if err != nil {
		return false
	}
	low, errLow := measure.Parse(i.RangeLow)
	high, errHigh := measure.Parse(i.RangeHigh)
	return errLow == nil && d.Cmp(low) < 0 || errHigh == nil && d.Cmp(high) > 0
}

// Strike takes a reading out; its turn is read again. Those who read it may, and
// inspectors and the owner.
func (s *Service) Strike(ctx context.Context, actor models.Actor, number int, readingID, reason string) error {
	v, err := s.Study(ctx, number)
	if err != nil {
		return err
	}
	k := slices.IndexFunc(v.Readings, func(r models.StudyReading) bool { return r.ID == readingID })
	if k < 0 {
		return fmt.Errorf("reading %.40q of study %d: %w", readingID, number, models.ErrNotFound)
	}
	if !mayStrike(actor, v.Readings[k]) {
		return fmt.Errorf("reading of another person: %w", models.ErrForbidden)
	}
	invalid := &models.InvalidError{}
	reason = models.Trimmed(reason)
	if invalid.Reason("reason", reason); len(invalid.Problems) > 0 {
		return invalid
	}
	if err := s.store.StrikeStudyReading(ctx, models.NewStamp(actor, s.now()), models.StudyStrike{ReadingID: readingID, Reason: reason}); err != nil {
		return fmt.Errorf("strike a reading of study %d: %w", number, err)
	}
	return nil
}
