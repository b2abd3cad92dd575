package truing

import (
	"context"
	"fmt"
	"slices"

	"tracewright/models"
)

// subject is an inspection with what its list is made from.
type subject struct {
	view     models.InspectionView
	item     models.Item
	product  models.Product
	form     models.ProductRevision // the newest
	wheel    models.WheelForm
	people   map[string]string
	notWheel []models.Remark // why there can be no list at all
}

// subject finds an inspection with its item and product. One of another kind of
// item, or of a one-off item, has no list.
func (s *Service) subject(ctx context.Context, inspectionID string) (subject, error) {
	var out subject
	var err error
	if out.view, err = s.store.InspectionView(ctx, inspectionID); err != nil {
		return out, err
	}
	if out.item, err = s.store.Item(ctx, out.view.Inspection.ItemID); err != nil {
		return out, err
	}
	people, err := s.store.People(ctx)
	if err != nil {
		return out, err
	}
	out.people = make(map[string]string, len(people))
	for _, p := range people {
		out.people[p.ID] = p.Name
	}
	if out.item.Kind != models.KindWheel {
		return out, fmt.Errorf("the turn list of inspection %s, which is of no wheel: %w", inspectionID, models.ErrNotFound)
	}
	if out.view.Inspection.ProductID == nil {
		out.notWheel = []models.Remark{models.NewRemark("product")}
		return out, nil
	}
	if out.product, err = s.store.Product(ctx, *out.view.Inspection.ProductID); err != nil {
		return out, err
	}
	if out.form, err = s.store.ProductForm(ctx, out.product.ID); err != nil {
		return out, err
	}
	if out.form.Form.Wheel == nil {
		out.notWheel = []models.Remark{models.NewRemark("product")}
		return out, nil
	}
	out.wheel = *out.form.Form.Wheel
	return out, nil
}

// stale says why readings are too old for a list: the wheel was read again, or
// turned since by a list of other readings. Nil where they are not.
func (s *Service) stale(ctx context.Context, of subject) (*models.Remark, error) {
	newer, err := s.newer(ctx, of.view.Inspection)
	if err != nil {
		return nil, err
	}
	if newer {
		r := models.NewRemark("read_again_since")
		return &r, nil
	}
	if of.item.TurnsOpen == nil {
		return nil, nil
	}
	done, err := s.store.TurnsDone(ctx, *of.item.TurnsOpen)
	if err != nil {
		return nil, err
	}
	for _, d := range standing(done) {
		if d.At.After(of.view.Inspection.MeasuredAt) {
			r := models.NewRemark("turned_since")
			return &r, nil
		}
	}
	return nil, nil
}

// newer says whether the item was read again later, or these readings were
// corrected: its turn list then comes from those.
func (s *Service) newer(ctx context.Context, i models.Inspection) (bool, error) {
	if i.SupersededBy != nil {
		return true, nil
	}
	all, err := s.store.InspectionsOf(ctx, i.ItemID)
	return slices.ContainsFunc(all, func(x models.Inspection) bool {
		return x.ID != i.ID && x.SupersededBy == nil && x.MeasuredAt.After(i.MeasuredAt)
	}), err
}
