package gauges

import (
	"context"
	"errors"
	"fmt"
	"slices"

	"tracewright/models"
	"tracewright/models/numbers/measure"
	"tracewright/models/trade/wheel"
)

// NewTable is what the divisions of a tension gauge mean on a type of spoke.
type NewTable struct {
	SpokeType string
	Points    []models.GaugePoint // in any order
	Reason    string              // where it comes from
}

const (
	longestSpoke  = 100
	longestReason = 300
	mostPoints    = 100
)

// TensionGauge is the kind of instrument that a table belongs to.
const TensionGauge = "tension_gauge"

// Tables gives every table of an instrument, newest first for each spoke.
func (s *Service) Tables(ctx context.Context, code string) ([]models.GaugeTable, error) {
	v, err := s.Instrument(ctx, code)
	if err != nil {
		return nil, err
	}
	tables, err := s.store.GaugeTables(ctx, []string{v.Instrument.ID})
	if err != nil {
		return nil, fmt.Errorf("tables of %s: %w", v.Instrument.Code, err)
	}
	return tables, nil
}

// AddTable adds a table. It stands from now on: what was measured before, though it
// arrive later, keeps the newtons that the table of its time gave. A table whose tensions turn back
// is refused, for one reading would then mean two tensions.
func (s *Service) AddTable(ctx context.Context, actor models.Actor, code string, in NewTable) (models.GaugeTable, error) {
	v, err := s.Instrument(ctx, code)
	if err != nil {
		return models.GaugeTable{}, err
	}
	invalid := &models.InvalidError{}
	if v.Instrument.Kind != TensionGauge {
		invalid.Add("instrument", "no_table_for_kind", "instrument", v.Instrument.Code)
	}
	in.SpokeType, in.Reason = models.SpokeType(in.SpokeType), models.Trimmed(in.Reason)
	if in.SpokeType == "" {
		invalid.Add("spoke_type", "missing")
	}
	if in.Reason == "" {
		invalid.Add("reason", "missing")
	}
	invalid.Line("spoke_type", in.SpokeType, longestSpoke)
	invalid.Lines("reason", in.Reason, longestReason)
	points := checkPoints(in.Points, invalid)
	if err := invalid.OrNil(); err != nil {
		return models.GaugeTable{}, err
	}
	known, err := s.store.GaugeTables(ctx, []string{v.Instrument.ID})
	if err != nil {
		return models.GaugeTable{}, fmt.Errorf("tables of %s: %w", v.Instrument.Code, err)
	}
	if same := models.GaugeTableFor(known, v.Instrument.ID, in.SpokeType, s.now()); same != nil {
		in.SpokeType = same.SpokeType // One spoke has one name, whatever letters are large: the tables of a name are numbered.
	}
	table := models.GaugeTable{InstrumentID: v.Instrument.ID, SpokeType: in.SpokeType, Points: points, Reason: in.Reason}
	added, err := s.store.AddGaugeTable(ctx, models.NewStamp(actor, s.now()), table)
	if err != nil {
		return models.GaugeTable{}, fmt.Errorf("add a table of %s: %w", v.Instrument.Code, err)
	}
	return added, nil
}

// checkPoints reads the points, puts them in order and asks whether a curve
// goes through them.
func checkPoints(in []models.GaugePoint, invalid *models.InvalidError) []models.GaugePoint {
	if len(in) < 2 || len(in) > mostPoints {
		invalid.Add("points", "point_count", "got", fmt.Sprint(len(in)), "least", "2", "most", fmt.Sprint(mostPoints))
		return nil
	}
	type read struct{ reading, tension measure.Decimal }
	all := make([]read, len(in))
	before := len(invalid.Problems)
	for i, p := range in {
		for _, x := range []struct {
			name, typed string
			into        *measure.Decimal
		}{{"reading", p.Reading, &all[i].reading}, {"tension", p.Tension, &all[i].tension}} {
			d, err := measure.ParseReading(x.typed)
			if err != nil {
				invalid.Add(fmt.Sprintf("points[%d].%s", i, x.name), "not_a_number", "typed", models.Shortened(x.typed))
			}
			*x.into = d
		}
	}
	if len(invalid.Problems) > before {
		return nil
	}
	slices.SortStableFunc(all, func(a, b read) int { return a.reading.Cmp(b.reading) })
	points, curve := make([]models.GaugePoint, len(all)), make([]wheel.TablePoint, len(all))
	for i, p := range all {
		points[i] = models.GaugePoint{Reading: p.reading.String(), Tension: p.tension.String()}
		curve[i] = wheel.TablePoint{Reading: p.reading.Float(), TensionN: p.tension.Float()}
		if i > 0 && p.reading.Cmp(all[i-1].reading) == 0 {
			invalid.Add("points", "reading_twice", "reading", points[i].Reading)
			return nil
		}
	}
	if _, err := wheel.NewGaugeTable("", "", curve); err != nil {
		if errors.Is(err, wheel.ErrNotMonotone) {
			invalid.Add("points", "table_turns_back")
		} else {
			invalid.Add("points", "no_table_of_this")
		}
		return nil
	}
	return points
}
