package assembly

import (
	"context"
	"errors"
	"fmt"

	"tracewright/models"
)

// Check finds what lists say was built into many items, and says of each item
// what is wrong: all that Change refuses, a part that two of the items name, and
// more of a lot than all of them may take. Nothing is stored.
func (s *Service) Check(ctx context.Context, list []models.PartsToFit) ([][]models.FittedPart, []*models.InvalidError, error) {
	known := &Service{store: remembering(s.store), now: s.now, zone: s.zone}
	fitted, problems := make([][]models.FittedPart, len(list)), make([]*models.InvalidError, len(list))
	more, holder := map[string]int{}, map[string]models.Item{}
	for i, x := range list {
		problems[i] = &models.InvalidError{}
		in := make([]In, len(x.In))
		for k, p := range x.In {
			in[k] = In{SentPart: p, Reason: p.Reason}
		}
		var err error
		if fitted[i], err = known.fittings(ctx, x.Item, in, nil, x.There, more, problems[i]); err != nil {
			return nil, nil, err
		}
		if err := known.intoPack(ctx, x.Item, fitted[i], nil, x.There, problems[i]); err != nil {
			return nil, nil, err
		}
		for k, p := range fitted[i] {
			if p.PartID == nil {
				continue
			}
			if other, twice := holder[*p.PartID]; twice && other.ID != x.Item.ID {
				problems[i].Add(fmt.Sprintf("in[%d].number", k), "part_in_already", "number", models.Shortened(x.In[k].Number), "serial", other.Name())
			}
			holder[*p.PartID] = x.Item
		}
	}
	return fitted, problems, nil
}

// remembered asks the store once for what many items have in common: lots, what
// was decided about them, materials, forms.
type remembered struct {
	Store
	lots      map[string]models.Lot // by code; without a key where there is none
	stops     map[string][]models.LotStop
	totals    map[string]models.LotTotals
	materials map[string]models.Material
	forms     map[string]models.ProductRevision
}

func remembering(store Store) *remembered {
	return &remembered{Store: store, lots: map[string]models.Lot{}, stops: map[string][]models.LotStop{}, totals: map[string]models.LotTotals{},
		materials: map[string]models.Material{}, forms: map[string]models.ProductRevision{}}
}

// once answers from what is known, or asks and keeps the answer.
func once[T any](known map[string]T, key string, ask func() (T, error)) (T, error) {
	if x, ok := known[key]; ok {
		return x, nil
	}
	x, err := ask()
	if err == nil {
		known[key] = x
	}
	return x, err
}

func (r *remembered) LotByCode(ctx context.Context, code string) (models.Lot, error) {
	lot, err := once(r.lots, code, func() (models.Lot, error) {
		lot, err := r.Store.LotByCode(ctx, code)
		if errors.Is(err, models.ErrNotFound) {
			return models.Lot{}, nil
		}
		return lot, err
	})
	if err == nil && lot.ID == "" {
		return lot, models.ErrNotFound
	}
	return lot, err
}

func (r *remembered) LotStops(ctx context.Context, lotIDs []string) ([]models.LotStop, error) {
	if len(lotIDs) != 1 {
		return r.Store.LotStops(ctx, lotIDs)
	}
	return once(r.stops, lotIDs[0], func() ([]models.LotStop, error) { return r.Store.LotStops(ctx, lotIDs) })
}

func (r *remembered) LotTotals(ctx context.Context, lotIDs []string) (map[string]models.LotTotals, error) {
	if len(lotIDs) != 1 {
		return r.Store.LotTotals(ctx, lotIDs)
	}
	t, err := once(r.totals, lotIDs[0], func() (models.LotTotals, error) {
		all, err := r.Store.LotTotals(ctx, lotIDs)
		return all[lotIDs[0]], err
	})
	return map[string]models.LotTotals{lotIDs[0]: t}, err
}

func (r *remembered) Material(ctx context.Context, code string) (models.Material, error) {
	return once(r.materials, code, func() (models.Material, error) { return r.Store.Material(ctx, code) })
}

func (r *remembered) ProductForm(ctx context.Context, productID string) (models.ProductRevision, error) {
	return once(r.forms, productID, func() (models.ProductRevision, error) { return r.Store.ProductForm(ctx, productID) })
}
