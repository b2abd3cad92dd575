package gauges

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"strings"
	"sync"
	"time"

	"tracewright/models"
	"tracewright/models/numbers/measure"
)

// Store is what this package keeps its records in. Each change writes its
// trail entry in the same transaction.
type Store interface {
	// Instruments lists every instrument by code, retired ones too.
	Instruments(ctx context.Context) ([]models.Instrument, error)
	// InstrumentsByCode gives those that exist of the codes asked for.
	InstrumentsByCode(ctx context.Context, codes []string) ([]models.Instrument, error)
	// AddInstrument returns ErrConflict when the code is taken.
	AddInstrument(ctx context.Context, s models.Stamp, instrument models.Instrument) error
	// ChangeInstrument lets change decide about an instrument as it stands now, and
	// writes what it leaves. Two at the same moment come one after the other; an error
	// of change is given back and leaves it as it was.
	ChangeInstrument(ctx context.Context, s models.Stamp, id string, change func(*models.Instrument) error) (models.Instrument, error)
	// HowGaugesStood gives what was known of instruments at any time, each one's oldest
	// first.
	HowGaugesStood(ctx context.Context, instrumentIDs []string, measured time.Time) (models.GaugesStood, error)
	// GaugeTables lists every table of some instruments, newest first for each
	// spoke.
	GaugeTables(ctx context.Context, instrumentIDs []string) ([]models.GaugeTable, error)
	// AddGaugeTable numbers the table and returns it.
	AddGaugeTable(ctx context.Context, s models.Stamp, table models.GaugeTable) (models.GaugeTable, error)

	// CalibrationsOf lists calibrations as they were entered, CalibrationReports what
	// was found, by moment.
	CalibrationsOf(ctx context.Context, instrumentIDs []string) ([]models.Calibration, error)
	CalibrationReports(ctx context.Context, instrumentIDs []string) ([]models.CalibrationReport, error)
	CalibrationReport(ctx context.Context, id string) (models.CalibrationReport, error)
	// AddCalibrationReport writes the calibration, its report and its instrument as
	// change leaves it as it stands, and returns the report with its number; since is
	// when the instrument was put into the state in which it is.
	AddCalibrationReport(ctx context.Context, s models.Stamp, calibration models.Calibration, report models.CalibrationReport, change func(i *models.Instrument, since time.Time)) (models.CalibrationReport, error)

	GaugeChecks(ctx context.Context, instrumentIDs []string) ([]models.GaugeCheck, error)
	GaugeCheck(ctx context.Context, id string) (models.GaugeCheck, error)
	AddGaugeCheck(ctx context.Context, s models.Stamp, check models.GaugeCheck) (models.GaugeCheck, error)
	EndGaugeCheck(ctx context.Context, s models.Stamp, id string) error
	// AddGaugeReading returns ErrConflict when its key is known.
	AddGaugeReading(ctx context.Context, s models.Stamp, reading models.GaugeReading) error
	GaugeReading(ctx context.Context, id string) (models.GaugeReading, error)
	// GaugeReadings gives the newest readings of a check, oldest first.
	GaugeReadings(ctx context.Context, checkID string, limit int) ([]models.GaugeReading, error)
	// LastGaugeReadings gives the newest reading of each of some checks that was done.
	LastGaugeReadings(ctx context.Context, checkIDs []string) ([]models.GaugeReading, error)
	// LastGoodReading gives the last good reading of the same check before one, or
	// ErrNotFound.
	LastGoodReading(ctx context.Context, before models.GaugeReading) (models.GaugeReading, error)

	// ComparisonsWith lists what was held against an instrument after a moment, and
	// ComparisonsOf what it was held against.
	ComparisonsWith(ctx context.Context, instrumentID string, after time.Time) ([]models.Comparison, error)
	ComparisonsOf(ctx context.Context, instrumentID string, after time.Time) ([]models.Comparison, error)
	// OutputsOfParts follows parts into everything that held them, through all levels.
	OutputsOfParts(ctx context.Context, partIDs []string) (models.Traced, error)
	// SetsTakenWith lists what an instrument gave after a moment up to and with
	// another, StandingSets what stands of items; both by moment.
	SetsTakenWith(ctx context.Context, instrumentID string, after, until time.Time) ([]models.TakenSet, error)
	StandingSets(ctx context.Context, itemIDs []string) ([]models.TakenSet, error)
	InspectionViews(ctx context.Context, ids []string) ([]models.InspectionView, error)
	ItemsByID(ctx context.Context, ids []string) ([]models.Item, error)
	LastShipments(ctx context.Context, itemIDs []string) (map[string]models.Shipment, error)
	// AddGaugeTrace numbers the answer within its cause and returns it.
	AddGaugeTrace(ctx context.Context, s models.Stamp, trace models.GaugeTrace) (models.GaugeTrace, error)
	// TraceLacksNothing says of a reverse trace that it holds what came up to its
	// ArrivedAt, as that was read; what came since still counts.
	TraceLacksNothing(ctx context.Context, id string, arrived time.Time) error
	// GaugeTraces lists those of an instrument, newest first, without their content.
	GaugeTraces(ctx context.Context, instrumentID string) ([]models.GaugeTrace, error)
	GaugeTrace(ctx context.Context, id string) (models.GaugeTrace, error)
	// UntracedFailures lists the failures since a moment that have no trace and were
	// entered before another, or to whose newest trace readings from before it came, the
	// last of them before that: instrument and cause of it, and the key of that trace.
	UntracedFailures(ctx context.Context, since, before time.Time) ([]models.GaugeTrace, error)
	// NewestGaugeTraces lists the newest answer for each failure since a moment, without
	// content; RecalledTraces the keys of those by which something was called back.
	NewestGaugeTraces(ctx context.Context, since time.Time) ([]models.GaugeTrace, error)
	RecalledTraces(ctx context.Context) ([]string, error)
	// HoldForGauge puts those of the items on hold that are here, and answers which.
	HoldForGauge(ctx context.Context, s models.Stamp, code string, itemIDs []string) ([]string, error)
	HoldsForGauge(ctx context.Context, code string, itemIDs []string) ([]models.Hold, error)
}

// Judge judges stored inspections again, as if their readings had been others. An
// inspection without a result any more carries the error that correct gave.
type Judge interface {
	Rejudge(ctx context.Context, views []models.InspectionView, correct func(set models.ReadingSet, unit measure.Unit, value measure.Decimal) (measure.Decimal, error)) (map[string]models.Rejudged, error)
}

// Service keeps the register.
type Service struct {
	store Store
	judge Judge
	now   func() time.Time
	zone  func(context.Context) *time.Location

	frozen   frozenTraces
	mending  sync.Mutex // one at a time traces what was left
	mendNext time.Time  // not before this, where something could not be traced
}

// New returns the service on its store; judge judges again what an instrument had
// measured, now is the clock, zone the shop's time zone, which decides when a day
// ends.
func New(store Store, judge Judge, now func() time.Time, zone func(context.Context) *time.Location) *Service {
	return &Service{store: store, judge: judge, now: now, zone: zone}
}

// Standing is how an instrument stands today.
type Standing string

// The standings.
const (
	InDate  Standing = "in_date"
	DueSoon Standing = "due_soon"
	Overdue Standing = "overdue"
	NoDate  Standing = "no_date" // in use, and nobody said when it is due
	Out     Standing = "out"
	Retired Standing = "retired"
)

// DueSoonDays is how many days ahead a calibration is announced. Common
// practice, no source.
const DueSoonDays = 14

// InstrumentView is an instrument and how it stands today.
type InstrumentView struct {
	Instrument models.Instrument
	Standing   Standing
}

// Instruments lists the register by code.
func (s *Service) Instruments(ctx context.Context) ([]InstrumentView, error) {
	instruments, err := s.store.Instruments(ctx)
	if err != nil {
		return nil, fmt.Errorf("instruments: %w", err)
	}
	today := s.today(ctx)
	views := make([]InstrumentView, len(instruments))
	for i, instrument := range instruments {
		views[i] = InstrumentView{Instrument: instrument, Standing: standing(instrument, today)}
	}
	return views, nil
}

// Instrument returns one by its code.
func (s *Service) Instrument(ctx context.Context, code string) (InstrumentView, error) {
	found, err := s.store.InstrumentsByCode(ctx, []string{strings.TrimSpace(code)})
	if err == nil && len(found) == 0 {
		err = models.ErrNotFound
	}
	if err != nil {
		return InstrumentView{}, fmt.Errorf("instrument %.40q: %w", code, err)
	}
	return InstrumentView{Instrument: found[0], Standing: standing(found[0], s.today(ctx))}, nil
}

// Add registers an instrument. The code, kind and name are needed; what else is
// not known stays empty.
func (s *Service) Add(ctx context.Context, actor models.Actor, in models.Instrument) (InstrumentView, error) {
	invalid := &models.InvalidError{}
	check(invalid, &in)
	notAhead(invalid, in.CalibratedOn, "", s.today(ctx))
	if err := invalid.OrNil(); err != nil {
		return InstrumentView{}, err
	}
	all, err := s.store.Instruments(ctx)
	if err != nil {
		return InstrumentView{}, fmt.Errorf("instruments: %w", err)
	}
	for _, i := range all {
		if strings.EqualFold(i.Code, in.Code) { // Two such gauges are one to whoever types the code.
			return InstrumentView{}, models.Invalid("code", "taken", "value", i.Code)
		}
	}
	stamp := models.NewStamp(actor, s.now())
	in.ID, in.OutNote, in.CreatedAt, in.CreatedBy = models.NewID(), "", stamp.At, actor.String()
	if err := s.store.AddInstrument(ctx, stamp, in); err != nil {
		if errors.Is(err, models.ErrConflict) {
			return InstrumentView{}, models.Invalid("code", "taken", "value", in.Code)
		}
		return InstrumentView{}, fmt.Errorf("add instrument %s: %w", in.Code, err)
	}
	return InstrumentView{Instrument: in, Standing: standing(in, s.today(ctx))}, nil
}

// Update writes every field of the instrument with this code anew, but for its
// code and kind. from is the digest of the instrument that the change was made on;
// when it was changed or calibrated meanwhile the error is [models.ErrStale].
func (s *Service) Update(ctx context.Context, actor models.Actor, code, from string, in models.Instrument) (InstrumentView, error) {
	known, err := s.Instrument(ctx, code)
	if err != nil {
		return InstrumentView{}, err
	}
	today := s.today(ctx) // Asked for beforehand: the change holds the database.
	changed, err := s.store.ChangeInstrument(ctx, models.NewStamp(actor, s.now()), known.Instrument.ID, func(i *models.Instrument) error {
		if digest, err := models.Digest(*i); err != nil || from != digest {
			return cmp.Or(err, models.ErrStale)
		}
		return rewrite(i, in, today)
	})
	if err != nil {
		return InstrumentView{}, fmt.Errorf("update instrument %s: %w", known.Instrument.Code, err)
	}
	return InstrumentView{Instrument: changed, Standing: standing(changed, s.today(ctx))}, nil
}

// rewrite puts what is said now in place of what was, or says everything that is
// wrong with it.
func rewrite(old *models.Instrument, in models.Instrument, today string) error {
	in.Code, in.Kind = cmp.Or(in.Code, old.Code), cmp.Or(in.Kind, old.Kind)
	invalid := &models.InvalidError{}
	if in.Code != old.Code {
		invalid.Add("code", "never_changes")
	}
	if in.Kind != old.Kind {
		invalid.Add("kind", "never_changes")
	}
	check(invalid, &in)
	notAhead(invalid, in.CalibratedOn, old.CalibratedOn, today)
	if err := invalid.OrNil(); err != nil {
		return err
	}
	if in.OutNote = ""; in.State == models.InstrumentOut {
		in.OutNote = old.OutNote
	}
	in.ID, in.CreatedAt, in.CreatedBy = old.ID, old.CreatedAt, old.CreatedBy
	*old = in
	return nil
}

// today is the day that it now is in the shop.
func (s *Service) today(ctx context.Context) string {
	return s.now().In(s.zone(ctx)).Format(time.DateOnly)
}

// standing follows from the state a person set and from the due day.
func standing(i models.Instrument, today string) Standing {
	switch i.State {
	case models.InstrumentOut:
		return Out
	case models.InstrumentRetired:
		return Retired
	}
	if i.DueOn == "" {
		return NoDate
	}
	if i.OverdueOn(today) {
		return Overdue
	}
	day, err := time.Parse(time.DateOnly, today)
	if err == nil && i.DueOn <= day.AddDate(0, 0, DueSoonDays).Format(time.DateOnly) {
		return DueSoon
	}
	return InDate
}
