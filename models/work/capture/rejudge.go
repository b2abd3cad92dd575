package capture

import (
	"context"
	"fmt"

	"tracewright/models"
	"tracewright/models/numbers/measure"
	"tracewright/models/trade/kinds"
)

// Rejudge judges inspections again as if their readings had been others: correct
// gives the value to take for one that was read, in the unit of its
// characteristic. Form, specification, rule and uncertainty are those of the
// time. Nothing is stored. An inspection whose readings have no value any more
// comes back with the error that correct gave.
func (s *Service) Rejudge(ctx context.Context, views []models.InspectionView, correct func(set models.ReadingSet, unit measure.Unit, value measure.Decimal) (measure.Decimal, error)) (map[string]models.Rejudged, error) {
	forms, families := map[string]models.ProductForm{}, map[string]kinds.Kind{}
	out := make(map[string]models.Rejudged, len(views))
	for _, v := range views {
		t := target{Placement: models.Placement{Specification: v.Specification}}
		var err error
		if t.kind, err = s.kindOf(ctx, families, v.Inspection.FamilyID); err != nil {
			return nil, err
		}
		if t.Form.Form, err = s.formOf(ctx, forms, v.Inspection); err != nil {
			return nil, err
		}
		t.Item.ID = v.Inspection.ItemID
		sets, err := corrected(v, correct)
		if err != nil {
			out[v.Inspection.ID] = models.Rejudged{Err: err}
			continue
		}
		judged, err := s.judge(arrival{sub: models.Submission{Stage: v.Inspection.Stage}}, t, v.Inspection.Conditions, sets)
		if err != nil {
			out[v.Inspection.ID] = models.Rejudged{Err: err}
			continue
		}
		out[v.Inspection.ID] = models.Rejudged{Results: judged.results}
	}
	return out, nil
}

func (s *Service) kindOf(ctx context.Context, known map[string]kinds.Kind, familyID string) (kinds.Kind, error) {
	if kind, ok := known[familyID]; ok {
		return kind, nil
	}
	family, err := s.store.Family(ctx, familyID)
	if err != nil {
		return kinds.Kind{}, fmt.Errorf("family of an inspection: %w", err)
	}
	kind, ok := kinds.Named(family.Kind)
	if !ok {
		return kinds.Kind{}, fmt.Errorf("there is no kind %q", family.Kind)
	}
	known[familyID] = kind
	return kind, nil
}

// formOf is the form under which an inspection was judged.
func (s *Service) formOf(ctx context.Context, known map[string]models.ProductForm, i models.Inspection) (models.ProductForm, error) {
	if i.ProductID == nil || i.ProductRevision == nil {
		return models.ProductForm{}, nil
	}
	key := fmt.Sprint(*i.ProductID, " ", *i.ProductRevision)
	if form, ok := known[key]; ok {
		return form, nil
	}
	revision, err := s.store.ProductRevision(ctx, *i.ProductID, *i.ProductRevision)
	if err != nil {
		return models.ProductForm{}, fmt.Errorf("form of an inspection: %w", err)
	}
	known[key] = revision.Form
	return revision.Form, nil
}

// corrected reads the stored sets of an inspection as they were when they came,
// with other values.
func corrected(v models.InspectionView, correct func(set models.ReadingSet, unit measure.Unit, value measure.Decimal) (measure.Decimal, error)) ([]parsed, error) {
	var sets []parsed
	for _, stored := range v.Sets {
		c, ok := v.Specification.Characteristic(stored.Code)
		if !ok {
			return nil, fmt.Errorf("the specification has no %q any more", stored.Code)
		}
		p := parsed{sent: models.SentSet{Characteristic: stored.Code, Method: stored.Method, Manner: stored.Manner}, remarks: stored.Remarks,
			set: kinds.Set{Characteristic: c, Method: stored.Method, Manner: stored.Manner, Index: stored.Index, Unit: measure.Unit(c.Unit), Masks: stored.Masks}}
		if c.Form == models.Ticked || c.Form == models.Chosen {
			p.set.Answer, p.set.Unit = stored.Values[0], measure.One
			sets = append(sets, p)
			continue
		}
		if stored.Meaningless() {
			p.unread = true
			sets = append(sets, p)
			continue
		}
		values, unit := stored.Readable()
		for _, text := range values {
			value, _, err := measure.ParseReadingUnit(text)
			if err != nil {
				return nil, fmt.Errorf("reading %.40q: %w", text, err)
			}
			converted, err := measure.Convert(value, measure.Unit(unit), p.set.Unit)
			if err != nil {
				return nil, fmt.Errorf("reading %.40q: %w", text, err)
			}
			if measure.Unit(unit) != p.set.Unit {
				converted = converted.Trim()
			}
			if converted, err = correct(stored, p.set.Unit, converted); err != nil {
				return nil, err
			}
			p.set.Values = append(p.set.Values, converted)
		}
		sets = append(sets, p)
	}
	return sets, nil
}
