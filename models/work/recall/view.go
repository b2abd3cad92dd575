package recall

import (
	"context"
	"fmt"
	"slices"

	"tracewright/models"
)

// View is a recall with its items as they are now, and how far it has come.
type View struct {
	models.RecallView
	About string // what it is about, as people name it
	Rows  []Row
	// Shipped, Here and Scrapped split the newest answer; New and Gone are against
	// the one before.
	Shipped, Here, Scrapped int
	New, Gone               []models.Item
	// Notified and Answered are of the shipped ones: effectiveness is answered
	// over notified.
	Notified, Answered int
	People             map[string]string
}

// Row is one item of the newest answer.
type Row struct {
	models.RecallItem
	Of       models.Item
	Response *models.RecallResponse // the newest
	Shipment *models.ShipmentView   // that it went with
}

// Recalls lists them, the newest first.
func (s *Service) Recalls(ctx context.Context) ([]View, error) {
	list, err := s.store.Recalls(ctx)
	if err != nil {
		return nil, fmt.Errorf("recalls: %w", err)
	}
	out := make([]View, len(list))
	for i, r := range list {
		out[i].RecallView = r
		if out[i].About, err = s.about(ctx, r.Scope); err != nil {
			return nil, err
		}
		out[i].count()
	}
	return out, nil
}

// Recall gives one by its number, with its items.
func (s *Service) Recall(ctx context.Context, number string) (View, error) {
	found, err := s.store.RecallNumbered(ctx, number)
	if err != nil {
		return View{}, fmt.Errorf("recall %.40q: %w", number, err)
	}
	v := View{RecallView: found}
	if v.About, err = s.about(ctx, found.Scope); err != nil {
		return View{}, err
	}
	v.count()
	if err := s.rows(ctx, &v); err != nil {
		return View{}, err
	}
	people, err := s.store.People(ctx)
	if err != nil {
		return View{}, fmt.Errorf("names of people: %w", err)
	}
	v.People = models.NamesOf(people)
	return v, nil
}

func (s *Service) about(ctx context.Context, scope models.RecallScope) (string, error) {
	switch {
	case scope.Lot != "":
		lots, err := s.store.LotsByID(ctx, []string{scope.Lot})
		if err != nil || len(lots) == 0 {
			return "", err
		}
		return lots[0].Code, nil
	case scope.Part != "":
		item, err := s.store.Item(ctx, scope.Part)
		return item.Name(), err
	}
	return scope.Place, nil
}

// newest is the last response of an item, nil for none.
func (v *View) newest(itemID string) *models.RecallResponse {
	for i := len(v.Responses) - 1; i >= 0; i-- {
		if v.Responses[i].ItemID == itemID {
			return &v.Responses[i]
		}
	}
	return nil
}

func (v *View) count() {
	for _, x := range v.Newest().Items {
		switch x.Where {
		case models.RecallShipped:
			v.Shipped++
		case models.RecallScrapped:
			v.Scrapped++
		default:
			v.Here++
		}
		if r := v.newest(x.Item); r != nil && x.Where == models.RecallShipped {
			v.Notified++
			if r.Response != "notified" && r.Response != "not_reached" {
				v.Answered++
			}
		}
	}
}

func (s *Service) rows(ctx context.Context, v *View) error {
	var before []models.RecallItem
	if n := len(v.Runs); n > 1 {
		before = v.Runs[n-2].Items
	}
	now := v.Newest().Items
	ids := keys(append(slices.Clone(now), before...))
	items, err := s.store.ItemsByID(ctx, ids)
	if err != nil {
		return fmt.Errorf("items of recall %s: %w", v.Number, err)
	}
	byID := map[string]models.Item{}
	for _, i := range items {
		byID[i.ID] = i
	}
	for _, x := range now {
		row := Row{RecallItem: x, Of: byID[x.Item], Response: v.newest(x.Item)}
		if x.Where == models.RecallShipped {
			shipments, err := s.store.ShipmentsOf(ctx, x.Item)
			if err != nil {
				return fmt.Errorf("shipment of %s: %w", row.Of.Name(), err)
			}
			for i := range shipments {
				if shipments[i].Void == nil && row.Shipment == nil {
					row.Shipment = &shipments[i]
				}
			}
		}
		v.Rows = append(v.Rows, row)
		if len(v.Runs) > 1 && !slices.ContainsFunc(before, func(b models.RecallItem) bool { return b.Item == x.Item }) {
			v.New = append(v.New, row.Of)
		}
	}
	for _, b := range before {
		if !slices.ContainsFunc(now, func(x models.RecallItem) bool { return x.Item == b.Item }) {
			v.Gone = append(v.Gone, byID[b.Item])
		}
	}
	order := map[string]int{models.RecallShipped: 0, models.RecallHere: 1, models.RecallScrapped: 2}
	slices.SortStableFunc(v.Rows, func(a, b Row) int { return order[a.Where] - order[b.Where] })
	return nil
}

func keys(items []models.RecallItem) []string {
	var ids []string
	for _, x := range items {
		ids = append(ids, x.Item)
	}
	slices.Sort(ids)
	return slices.Compact(ids)
}
