package monitor

import (
	"cmp"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"strconv"
	"time"

	"tracewright/models"
	"tracewright/models/numbers/spc"
)

const (
	longestNote  = 300
	longestWords = 80
)

// NewBaseline is the stretch that somebody chooses.
type NewBaseline struct {
	models.ChartKey
	First, Last string // inspections of its first and last point
	Excluded    []models.ChartExclusion
	Note        string
}

// AddBaseline freezes the limits that the chosen stretch gives. They hold from its
// first point on, until another baseline is chosen. Errors: [models.InvalidError]
// with every problem.
func (s *Service) AddBaseline(ctx context.Context, actor models.Actor, in NewBaseline) (models.ChartBaseline, error) {
	v, characteristic, err := s.subject(ctx, ChartQuery{FamilyID: in.FamilyID, ProductID: in.ProductID, Place: in.Place, Result: in.Result})
	if err != nil {
		return models.ChartBaseline{}, err
	}
	r, err := s.reader(ctx, &v, characteristic)
	if err != nil {
		return models.ChartBaseline{}, err
	}
	in.Note = models.OneLine(in.Note)
	invalid := &models.InvalidError{}
	invalid.Line("note", in.Note, longestNote)
	points, err := r.chosenStretch(ctx, invalid, in)
	if err != nil {
		return models.ChartBaseline{}, err
	}
	values := make([]float64, len(points))
	for i, p := range points {
		values[i] = p.ValueF
	}
	r.nameChart(values)
	excluded := exclusions(invalid, points, in)
	switch n := len(points) - len(excluded); {
	case len(points) > mostPoints:
		invalid.Add("last", "baseline_long", "most", strconv.Itoa(mostPoints))
	case n < spc.FewestForLimits:
		invalid.Add("last", "baseline_short", "n", strconv.Itoa(n), "needed", strconv.Itoa(spc.FewestForLimits))
	}
	if err := invalid.OrNil(); err != nil {
		return models.ChartBaseline{}, err
	}
	limits, err := r.freeze(points, excluded)
	if err != nil {
		return models.ChartBaseline{}, err
	}
	if limits.Facts.NoLimits {
		return models.ChartBaseline{}, models.Invalid("last", "baseline_"+limits.Facts.NoLimitsReason, "needed", strconv.Itoa(r.fewest()))
	}
	frozen, err := json.Marshal(limits)
	if err != nil {
		return models.ChartBaseline{}, fmt.Errorf("freeze limits of %s: %w", in.Result, err)
	}
	holds := points[0].MeasuredAt
	if v.Grouped != "" {
		holds = points[0].Began
	}
	b := models.ChartBaseline{ID: models.NewID(), FamilyID: in.FamilyID, ProductID: orNil(in.ProductID), Place: in.Place, Result: in.Result, SpecificationID: v.Specification.ID,
		FirstInspection: points[0].InspectionID, LastInspection: points[len(points)-1].InspectionID, HoldsFrom: holds,
		Limits: string(frozen), Excluded: in.Excluded, Note: in.Note}
	stamp := models.NewStamp(actor, s.now())
	b.MadeBy, b.MadeAt = actor.String(), stamp.At
	if err := s.store.AddChartBaseline(ctx, stamp, b); err != nil {
		return models.ChartBaseline{}, fmt.Errorf("choose a baseline of %s: %w", in.Result, err)
	}
	s.Reconsider()
	return b, nil
}

// chosenStretch reads the points of a baseline.
func (r *reader) chosenStretch(ctx context.Context, invalid *models.InvalidError, in NewBaseline) ([]Point, error) {
	first, last := r.pointAt(ctx, invalid, "first", in.First), r.pointAt(ctx, invalid, "last", in.Last)
	if err := invalid.OrNil(); err != nil {
		return nil, err
	}
	if r.v.Grouped != "" {
		return r.stretchOfGroups(ctx, in.First, in.Last)
	}
	if last.Before(first) {
		return nil, models.Invalid("last", "end_before_start")
	}
	found, err := r.series(ctx, func(q *models.SeriesQuery) {
		q.From, q.To, q.Limit, q.Oldest = first, last.Add(time.Millisecond), mostPoints+1, true
	})
	points := make([]Point, len(found))
	for i, p := range found {
		points[i] = pointOf(p)
	}
	return points, err
}

// pointAt is the moment of an inspection.
func (s *Service) pointAt(ctx context.Context, invalid *models.InvalidError, field, id string) time.Time {
	if id == "" {
		invalid.Add(field, "missing")
		return time.Time{}
	}
	inspection, err := s.store.Inspection(ctx, id)
	if err != nil {
		invalid.Add(field, "no_such_point")
	}
	return inspection.MeasuredAt
}

// exclusions finds the points that are to have no part, each with its reason.
func exclusions(invalid *models.InvalidError, points []Point, in NewBaseline) []spc.Exclusion {
	var out []spc.Exclusion
	for i := range in.Excluded {
		e := &in.Excluded[i]
		e.Reason = models.OneLine(e.Reason)
		at := slices.IndexFunc(points, func(p Point) bool { return p.Has(e.InspectionID) })
		switch {
		case at < 0:
			invalid.Add("excluded", "outside_baseline")
		case e.Reason == "":
			invalid.Add("excluded", "reason_needed")
		case slices.ContainsFunc(out, func(x spc.Exclusion) bool { return x.Index == at }):
			invalid.Add("excluded", "twice")
		default:
			out = append(out, spc.Exclusion{Index: at, Name: cmp.Or(points[at].Group, points[at].Serial, points[at].InspectionID), Reason: e.Reason})
		}
		invalid.Line("excluded", e.Reason, longestNote)
	}
	return out
}

// NewCause is what somebody says is behind a signal.
type NewCause struct {
	models.ChartKey
	Rule, Side, InspectionID string
	Code, Note, Action       string
}

// AddCause keeps the cause of a signal that the chart has. A second one corrects
// the first, and both stay. Errors: [models.InvalidError]; [models.ErrStale] when
// the chart no longer has that signal.
func (s *Service) AddCause(ctx context.Context, actor models.Actor, in NewCause) (models.SignalCause, error) {
	in.Note, in.Action = models.OneLine(in.Note), models.OneLine(in.Action)
	invalid := &models.InvalidError{}
	switch {
	case in.Code == "":
		invalid.Add("code", "missing")
	case !slices.Contains(models.SignalCauseCodes, in.Code):
		invalid.Add("code", "unknown_choice", "typed", models.Shortened(in.Code))
	case in.Code == models.CauseOther && in.Note == "":
		invalid.Add("note", "cause_in_words")
	}
	invalid.Line("note", in.Note, longestNote)
	invalid.Line("action", in.Action, longestNote)
	if err := invalid.OrNil(); err != nil {
		return models.SignalCause{}, err
	}
	q := ChartQuery{FamilyID: in.FamilyID, ProductID: in.ProductID, Place: in.Place, Result: in.Result}
	if in.Rule != spc.SmoothedMean && in.Rule != spc.BeyondLimit && in.Rule != SpreadWithin {
		q.Rules = []string{in.Rule}
	}
	stale := fmt.Errorf("signal %.40q at %.40q: %w", in.Rule, in.InspectionID, models.ErrStale)
	v, err := s.chartAt(ctx, q, in.InspectionID)
	switch {
	case errors.Is(err, models.ErrNotFound) && v.Family.ID != "":
		return models.SignalCause{}, stale
	case err != nil:
		return models.SignalCause{}, err
	case !slices.ContainsFunc(v.Signals, func(g Signal) bool {
		return v.IsOf(models.SignalCause{Rule: in.Rule, Side: in.Side, InspectionID: in.InspectionID}, g)
	}):
		return models.SignalCause{}, stale
	}
	stamp := models.NewStamp(actor, s.now())
	c := models.SignalCause{ID: models.NewID(), FamilyID: in.FamilyID, ProductID: orNil(in.ProductID), Place: in.Place, Result: in.Result, Rule: in.Rule, Side: in.Side,
		InspectionID: in.InspectionID, Code: in.Code, Note: in.Note, Action: in.Action, MadeBy: actor.String(), MadeAt: stamp.At}
	if err := s.store.AddSignalCause(ctx, stamp, c); err != nil {
		return models.SignalCause{}, fmt.Errorf("cause of a signal of %s: %w", in.Result, err)
	}
	return c, nil
}

// chartAt is the chart up to the point of an inspection, at which a signal that it
// raised stands last, however many came since. Of weeks and lots it is all of it: the
// point may not be over yet.
func (s *Service) chartAt(ctx context.Context, q ChartQuery, inspection string) (ChartView, error) {
	v, _, err := s.subject(ctx, q)
	if err != nil {
		return v, err
	}
	if v.Grouped == "" {
		raised, err := s.store.Inspection(ctx, inspection)
		if err != nil {
			return v, fmt.Errorf("whose signal it is: %w", err)
		}
		q.To = raised.MeasuredAt.Add(time.Millisecond)
	}
	return s.Chart(ctx, q)
}

// NewEvent is something that happened.
type NewEvent struct {
	FamilyID string // empty: it concerns every family
	Place    string // empty: every place
	At       time.Time
	Words    string
}

// AddEvent keeps it.
func (s *Service) AddEvent(ctx context.Context, actor models.Actor, in NewEvent) (models.ChartEvent, error) {
	in.Words, in.Place = models.OneLine(in.Words), models.OneLine(in.Place)
	invalid := &models.InvalidError{}
	switch {
	case in.At.IsZero():
		invalid.Add("at", "missing")
	case invalid.TooEarly("at", in.At.Year()):
	case in.At.After(s.now().Add(time.Minute)):
		invalid.Add("at", "event_in_future")
	}
	if in.Words == "" {
		invalid.Add("words", "missing")
	}
	invalid.Line("words", in.Words, longestWords)
	invalid.Line("place", in.Place, longestWords)
	if in.FamilyID != "" {
		if _, err := s.store.Family(ctx, in.FamilyID); errors.Is(err, models.ErrNotFound) {
			invalid.Add("family", "unknown_family")
		} else if err != nil {
			return models.ChartEvent{}, fmt.Errorf("family of an event: %w", err)
		}
	}
	if err := invalid.OrNil(); err != nil {
		return models.ChartEvent{}, err
	}
	e := models.ChartEvent{ID: models.NewID(), FamilyID: orNil(in.FamilyID), Place: in.Place, At: models.Moment(in.At), Words: in.Words}
	if err := s.store.AddChartEvent(ctx, models.NewStamp(actor, s.now()), e); err != nil {
		return models.ChartEvent{}, fmt.Errorf("add an event: %w", err)
	}
	return e, nil
}

func orNil(text string) *string {
	if text == "" {
		return nil
	}
	return &text
}
