package capture

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"

	"tracewright/models"
	"tracewright/models/trade/kinds"
)

// make turns an arrival into everything the store is to write.
func (s *Service) make(ctx context.Context, a arrival, t target) (models.NewInspection, error) {
	invalid := &models.InvalidError{}
	stage, known := t.kind.Stage(a.sub.Stage)
	if !known {
		invalid.Add("stage", "unknown_stage", "typed", models.Shortened(a.sub.Stage), "kind", t.kind.Name)
	}
	person, err := s.attribute(ctx, a, invalid)
	if err != nil {
		return models.NewInspection{}, err
	}
	measured := a.sub.FinishedAt.Add(-a.offset)
	day := measured.In(s.zone(ctx)).Format("2006-01-02")
	tables, err := s.gaugeTables(ctx, a.sub, t)
	if err != nil {
		return models.NewInspection{}, err
	}
	stood, traced, err := s.asTheyStood(ctx, t.Instruments, measured, day, a.received)
	if err != nil {
		return models.NewInspection{}, err
	}
	sets := readSets(a.sub, t.kind, t.Form.Form, t.Specification, stood, tables, measured, day, invalid)
	if err := s.blockOverdue(ctx, sets); err != nil {
		return models.NewInspection{}, err
	}
	corrected, err := s.toCorrect(ctx, a.sub)
	if err != nil {
		return models.NewInspection{}, err
	}
	sent, err := s.parts(ctx, a, t, corrected, person, invalid)
	if err != nil {
		return models.NewInspection{}, err
	}
	parts, never, err := s.partsAgain(ctx, a, t, corrected, sent)
	if err != nil {
		return models.NewInspection{}, err
	}
	if err := s.inLife(ctx, a, t, parts, measured, invalid); err != nil {
		return models.NewInspection{}, err
	}
	unknown, err := s.blocks(ctx, t, sent, parts, never, invalid)
	if err != nil {
		return models.NewInspection{}, err
	}
	doubted, err := s.doubtful(ctx, a, sent, parts, invalid)
	if err != nil {
		return models.NewInspection{}, err
	}
	if err := invalid.OrNil(); err != nil {
		return models.NewInspection{}, err
	}
	beyond, err := s.beyond(ctx, a.sub, parts)
	if err != nil {
		return models.NewInspection{}, err
	}
	conditions, contradicted, err := s.rested(ctx, a, t, parts, models.Moment(measured))
	if err != nil {
		return models.NewInspection{}, err
	}
	judged, err := s.judge(a, t, conditions, sets)
	if err != nil {
		return models.NewInspection{}, err
	}
	inspection := models.Inspection{
		ID: a.sub.ID, ItemID: t.Item.ID, FamilyID: t.Family.ID, SpecificationID: t.Specification.ID, Stage: a.sub.Stage,
		PersonID: person, Place: models.Trimmed(a.sub.Place), StartedAt: models.Moment(a.sub.StartedAt.Add(-a.offset)), MeasuredAt: models.Moment(measured),
		OffsetMS: a.offset.Milliseconds(), ReceivedAt: a.received, Conditions: a.sub.Conditions, Verdict: judged.verdict, Remarks: judged.remarks, SentHash: a.hash,
	}
	inspection.Conditions.Note = models.Trimmed(inspection.Conditions.Note)
	inspection.Conditions.OffCharger = false // a draft's alone
	if inspection.Place == "" {
		inspection.Place = a.actor.Place
	}
	inspection.DeviceID = device(a.actor)
	if t.Product != nil {
		revision := t.Form.Revision
		inspection.ProductID, inspection.ProductRevision = &t.Product.ID, &revision
	}
	if a.offset.Abs() > noticedClock {
		inspection.Remarks = append(inspection.Remarks, models.NewRemark("clock_differs", "offset", ahead(a.offset)))
	}
	inspection.Remarks = append(inspection.Remarks, slices.Concat(a.remarks, contradicted, unknown, doubted, beyond)...)
	made := models.NewInspection{Inspection: inspection, Results: judged.results, Parts: parts, Removals: never, NewItem: t.newItem, StateBefore: t.Item.State, Traced: traced}
	if made.NewItem != nil {
		made.NewItem.CreatedBy = a.actor.String()
	}
	for i := range made.Results {
		made.Results[i].InspectionID = inspection.ID
	}
	made.Sets = storedSets(inspection.ID, person, sets)
	for _, set := range made.Sets {
		for _, r := range set.Remarks {
			if ofInstrument[r.Code] && !hasSame(made.Inspection.Remarks, r) {
				made.Inspection.Remarks = append(made.Inspection.Remarks, r)
			}
		}
	}
	return made, s.move(ctx, &made, stage, a, corrected)
}

// ofInstrument are the remarks on a gauge that the whole inspection carries.
var ofInstrument = map[string]bool{models.BeyondTable: true, "instrument_overdue": true, "overdue_blocked": true, "instrument_out": true, "instrument_out_allowed": true}

// attribute says whose readings these are: the person named, who must exist,
// or whoever sends.
func (s *Service) attribute(ctx context.Context, a arrival, invalid *models.InvalidError) (string, error) {
	if a.by != "" {
		return a.by, nil
	}
	person, err := models.Attribute(a.actor, a.sub.Person, func() ([]models.Person, error) { return s.store.People(ctx) })
	var unusable *models.InvalidError
	if errors.As(err, &unusable) {
		invalid.Problems = append(invalid.Problems, unusable.Problems...)
		return "", nil
	}
	return person, err
}

// left says that whoever is named works here no more, or not at this: a person who
// may place what waits says whether their readings stand. It is asked first, so
// that nothing is kept in the name of somebody whom the sender may not name.
func (s *Service) left(ctx context.Context, a arrival) (bool, error) {
	if a.by != "" {
		return false, nil
	}
	_, err := models.Attribute(a.actor, a.sub.Person, func() ([]models.Person, error) { return s.store.People(ctx) })
	var unusable *models.InvalidError
	switch {
	case errors.Is(err, models.ErrLeft):
		return true, nil
	case errors.As(err, &unusable): // told with all other problems
		return false, nil
	}
	return false, err
}

// judge reduces the sets, read under conditions, and judges the values. Sets that do not belong
// together come back as problems of their field.
func (s *Service) judge(a arrival, t target, conditions models.Conditions, sets []parsed) (judgement, error) {
	input := kinds.Input{Form: t.Form.Form, Stage: a.sub.Stage, Conditions: conditions}
	for _, p := range sets {
		if !p.unread {
			input.Sets = append(input.Sets, p.set)
		}
	}
	reduction, err := t.kind.Reduce(input)
	var unusable *kinds.ReadingError
	if errors.As(err, &unusable) {
		invalid := &models.InvalidError{Problems: []models.Problem{{Field: fieldOf(sets, unusable), Code: unusable.Remark.Code, Values: unusable.Remark.Values}}}
		return judgement{}, invalid
	}
	if err != nil {
		return judgement{}, fmt.Errorf("reduce readings of %s: %w", t.Item.Name(), err)
	}
	judged, err := judge(t.Specification, sets, reduction)
	if err != nil {
		return judgement{}, fmt.Errorf("judge %s: %w", t.Item.Name(), err)
	}
	return judged, nil
}

func fieldOf(sets []parsed, e *kinds.ReadingError) string {
	for _, p := range sets {
		if p.sent.Characteristic == e.Characteristic && p.sent.Method == e.Method {
			return p.field + ".values"
		}
	}
	return "sets"
}

func storedSets(inspectionID, person string, sets []parsed) []models.ReadingSet {
	stored := make([]models.ReadingSet, len(sets))
	for i, p := range sets {
		stored[i] = models.ReadingSet{InspectionID: inspectionID, Code: p.sent.Characteristic, Method: p.sent.Method, PersonID: person, Unit: p.sent.Unit, Manner: p.sent.Manner,
			Values: p.sent.Values, Index: p.set.Index, Moments: p.sent.Moments, Remarks: p.remarks, Converted: p.converted, Masks: p.set.Masks}
		if p.instrument != nil {
			stored[i].InstrumentID = &p.instrument.ID
		}
	}
	slices.SortFunc(stored, func(a, b models.ReadingSet) int {
		return cmp.Or(strings.Compare(a.Code, b.Code), strings.Compare(a.Method, b.Method))
	})
	return stored
}

func hasSame(remarks []models.Remark, r models.Remark) bool {
	return slices.ContainsFunc(remarks, func(x models.Remark) bool {
		return x.Code == r.Code && x.Values["instrument"] == r.Values["instrument"]
	})
}

// ahead says how far a tablet's clock was off, to the minute.
func ahead(offset time.Duration) string {
	word := "ahead"
	if offset < 0 {
		word = "behind"
	}
	d := offset.Abs().Round(time.Minute)
	return fmt.Sprintf("%d h %02d min %s", int(d.Hours()), int(d.Minutes())%60, word)
}

func device(actor models.Actor) *string {
	if actor.DeviceID == "" {
		return nil
	}
	id := actor.DeviceID
	return &id
}
