package truing

import (
	"context"
	"fmt"
	"slices"
	"time"

	"tracewright/models"
)

// subject is an inspection with what its list is made from.
type subject struct {
	view     models.InspectionView
	item     models.Item
	product  models.Product
	form     models.ProductRevision // the newest: what a list is made with
	wheel    models.WheelForm       // as it was when the readings were taken
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
	out.people = models.NamesOf(people)
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
	then := out.form
	if n := out.view.Inspection.ProductRevision; n != nil && *n != then.Revision {
		if then, err = s.store.ProductRevision(ctx, out.product.ID, *n); err != nil {
			return out, err
		}
	}
	if then.Form.Wheel == nil {
		out.notWheel = []models.Remark{models.NewRemark("product")}
		return out, nil
	}
	out.wheel = *then.Form.Wheel
	return out, nil
}

// relaced says whether the product is laced otherwise now than when the
// readings were taken: they are of no wheel that it makes.
func (s subject) relaced() bool {
	now := s.form.Form.Wheel
	return now == nil || now.Holes != s.wheel.Holes || now.Crossing != s.wheel.Crossing
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
	done, err := s.store.TurnsOf(ctx, of.item.ID)
	if err != nil {
		return nil, err
	}
	read, err := models.FirstRead(ctx, of.view.Inspection, s.store.Inspection)
	if err != nil {
		return nil, err
	}
	if models.TurnedSince(done, read) {
		r := models.NewRemark("turned_since")
		return &r, nil
	}
	return nil, nil
}

// readSince is when the item was first read at every hole after an inspection,
// zero where it was not: what is turned from then on is turned by the newer
// readings.
func (s *Service) readSince(ctx context.Context, of subject) (time.Time, error) {
	all, err := s.store.InspectionsOf(ctx, of.item.ID)
	var since time.Time
	for _, x := range all {
		if err != nil || x.SupersededBy != nil || !x.MeasuredAt.After(of.view.Inspection.MeasuredAt) {
			continue
		}
		var view models.InspectionView
		if view, err = s.store.InspectionView(ctx, x.ID); err != nil || !everyHole(view) {
			continue
		}
		var read time.Time
		if read, err = models.FirstRead(ctx, x, s.store.Inspection); err == nil && (since.IsZero() || read.Before(since)) {
			since = read
		}
	}
	return since, err
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
