package gauges

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"

	"tracewright/models"
	"tracewright/models/numbers/measure"
)

// mostChecks is how many short checks one instrument may have at a time.
const mostChecks = 6

// chartedReadings is how many readings of a check are charted.
const chartedReadings = 120

// NewCheck is a short check as a person defines it: a value that is known and
// the limits of what the instrument may read of it.
type NewCheck struct {
	What      string
	Piece     string // as it is marked; the code of one of the register passes its failures on
	Reference string
	Low, High string
}

// AddCheck defines a short check of an instrument.
func (s *Service) AddCheck(ctx context.Context, actor models.Actor, code string, in NewCheck) (models.GaugeCheck, error) {
	v, err := s.Instrument(ctx, code)
	if err != nil {
		return models.GaugeCheck{}, err
	}
	invalid := &models.InvalidError{}
	c := models.GaugeCheck{ID: models.NewID(), InstrumentID: v.Instrument.ID, What: strings.TrimSpace(in.What), Piece: text(invalid, "piece", in.Piece, longestText, false)}
	if !slices.Contains(models.GaugeCheckKinds, c.What) {
		invalid.Add("what", "unknown_choice", "typed", models.Shortened(in.What))
	}
	if c.Piece != "" {
		found, err := s.store.InstrumentsByCode(ctx, []string{c.Piece})
		if err != nil {
			return models.GaugeCheck{}, fmt.Errorf("instrument %.40q: %w", c.Piece, err)
		}
		if len(found) > 0 && found[0].ID == v.Instrument.ID {
			invalid.Add("piece", "standard_is_itself", "instrument", v.Instrument.Code)
		} else if len(found) > 0 {
			c.StandardID = &found[0].ID
		}
	}
	limits(invalid, in, &c)
	list, err := s.store.GaugeChecks(ctx, []string{v.Instrument.ID})
	if err != nil {
		return models.GaugeCheck{}, fmt.Errorf("checks of %s: %w", v.Instrument.Code, err)
	}
	if open := slices.DeleteFunc(list, func(x models.GaugeCheck) bool { return x.EndedAt != nil }); len(open) >= mostChecks {
		invalid.Add("what", "checks_too_many", "most", fmt.Sprint(mostChecks))
	}
	if err := invalid.OrNil(); err != nil {
		return models.GaugeCheck{}, err
	}
	if c, err = s.store.AddGaugeCheck(ctx, models.NewStamp(actor, s.now()), c); err != nil {
		return models.GaugeCheck{}, fmt.Errorf("check of %s: %w", v.Instrument.Code, err)
	}
	return c, nil
}

// limits reads the value that is known and the limits about it.
func limits(invalid *models.InvalidError, in NewCheck, c *models.GaugeCheck) {
	var read [3]measure.Decimal
	good := true
	for i, x := range []struct {
		field, typed string
		into         *string
	}{{"low", in.Low, &c.Low}, {"reference", in.Reference, &c.Reference}, {"high", in.High, &c.High}} {
		*x.into = strings.TrimSpace(x.typed)
		if *x.into == "" {
			invalid.Add(x.field, "missing")
			good = false
			continue
		}
		d, ok := decimal(invalid, x.field, x.into, false)
		read[i], good = d, good && ok
	}
	if good && (read[0].Cmp(read[1]) > 0 || read[1].Cmp(read[2]) > 0) {
		invalid.Add("reference", "reference_outside_limits")
	}
}

// EndCheck ends a short check; its readings stay.
func (s *Service) EndCheck(ctx context.Context, actor models.Actor, code, id string) error {
	if _, _, err := s.check(ctx, code, id); err != nil {
		return err
	}
	if err := s.store.EndGaugeCheck(ctx, models.NewStamp(actor, s.now()), id); err != nil {
		return fmt.Errorf("end a check of %s: %w", code, err)
	}
	return nil
}

func (s *Service) check(ctx context.Context, code, id string) (models.Instrument, models.GaugeCheck, error) {
	v, err := s.Instrument(ctx, code)
	if err != nil {
		return models.Instrument{}, models.GaugeCheck{}, err
	}
	c, err := s.store.GaugeCheck(ctx, id)
	if err == nil && c.InstrumentID != v.Instrument.ID {
		err = models.ErrNotFound
	}
	if err != nil {
		return models.Instrument{}, models.GaugeCheck{}, fmt.Errorf("check %.40q of %s: %w", id, v.Instrument.Code, err)
	}
	return v.Instrument, c, nil
}

// Checked is what came of a short check. Trace stands where it failed.
type Checked struct {
	Reading models.GaugeReading
	Trace   *models.GaugeTrace
}

// Check enters a short check as it was done. A failed one is traced at once, like
// a failed calibration. id is made by whoever enters it, so that sending twice
// is harmless; empty: made here.
func (s *Service) Check(ctx context.Context, actor models.Actor, code, checkID, id, typed string) (Checked, error) {
	i, c, err := s.check(ctx, code, checkID)
	if err != nil {
		return Checked{}, err
	}
	if id == "" {
		id = models.NewID()
	}
	r := models.GaugeReading{ID: id, CheckID: c.ID, InstrumentID: i.ID, Value: strings.TrimSpace(typed), Place: actor.Place, ReadAt: models.Moment(s.now()), ReadBy: actor.String()}
	invalid := &models.InvalidError{}
	if !models.IsID(id) {
		invalid.Add("id", "bad_id")
	}
	if c.EndedAt != nil {
		invalid.Add("value", "check_ended")
	}
	if r.Value == "" {
		invalid.Add("value", "missing")
	}
	value, ok := decimal(invalid, "value", &r.Value, false)
	if err := invalid.OrNil(); err != nil {
		return Checked{}, err
	}
	low, errLow := measure.Parse(c.Low)
	high, errHigh := measure.Parse(c.High)
	if err := errors.Join(errLow, errHigh); err != nil || !ok {
		return Checked{}, fmt.Errorf("limits of a check of %s: %w", i.Code, err)
	}
	r.ValueF, r.Good = value.Float(), value.Cmp(low) >= 0 && value.Cmp(high) <= 0
	if err := s.store.AddGaugeReading(ctx, models.NewStamp(actor, r.ReadAt), r); err != nil {
		if !errors.Is(err, models.ErrConflict) {
			return Checked{}, fmt.Errorf("check of %s: %w", i.Code, err)
		}
		before, found := s.store.GaugeReading(ctx, id)
		if found != nil || before.CheckID != r.CheckID || before.Value != r.Value {
			return Checked{}, fmt.Errorf("check %s is known with other content: %w", id, models.ErrConflict)
		}
		return s.known(ctx, actor, i, before)
	}
	out := Checked{Reading: r}
	if !r.Good {
		trace, err := s.Trace(ctx, actor, code, models.CauseCheck, r.ID)
		if err != nil {
			return Checked{}, err
		}
		out.Trace = &trace
	}
	return out, nil
}

// known answers for a check that was entered before. Where it failed and the program
// stopped before what was measured had been traced, that is done now.
func (s *Service) known(ctx context.Context, actor models.Actor, i models.Instrument, before models.GaugeReading) (Checked, error) {
	out := Checked{Reading: before}
	if before.Good {
		return out, nil
	}
	traces, err := s.store.GaugeTraces(ctx, i.ID)
	if err != nil {
		return Checked{}, fmt.Errorf("reverse traces of %s: %w", i.Code, err)
	}
	if n := slices.IndexFunc(traces, func(t models.GaugeTrace) bool { return t.CauseID == before.ID }); n >= 0 {
		out.Trace = &traces[n]
		return out, nil
	}
	trace, err := s.Trace(ctx, actor, i.Code, models.CauseCheck, before.ID)
	if err != nil {
		return Checked{}, err
	}
	out.Trace = &trace
	return out, nil
}

// CheckView is a short check with its newest readings, oldest first.
type CheckView struct {
	models.GaugeCheck
	Readings []models.GaugeReading
	Today    bool // it was done today, in the shop's zone
}

// Last is the newest reading, nil where it was never done.
func (c CheckView) Last() *models.GaugeReading {
	if len(c.Readings) == 0 {
		return nil
	}
	return &c.Readings[len(c.Readings)-1]
}

// Checks gives the short checks of an instrument that are asked for.
func (s *Service) Checks(ctx context.Context, code string) ([]CheckView, error) {
	v, err := s.Instrument(ctx, code)
	if err != nil {
		return nil, err
	}
	list, err := s.store.GaugeChecks(ctx, []string{v.Instrument.ID})
	if err != nil {
		return nil, fmt.Errorf("checks of %s: %w", v.Instrument.Code, err)
	}
	today, zone := s.today(ctx), s.zone(ctx)
	var views []CheckView
	for _, c := range list {
		if c.EndedAt != nil {
			continue
		}
		view := CheckView{GaugeCheck: c}
		if view.Readings, err = s.store.GaugeReadings(ctx, c.ID, chartedReadings); err != nil {
			return nil, fmt.Errorf("readings of a check of %s: %w", v.Instrument.Code, err)
		}
		if last := view.Last(); last != nil {
			view.Today = last.ReadAt.In(zone).Format(time.DateOnly) == today
		}
		views = append(views, view)
	}
	return views, nil
}
