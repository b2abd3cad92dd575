package shelf

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"time"

	"tracewright/models"
)

// PlaceView is a place with its last temperature.
type PlaceView struct {
	Place string
	Known bool // a temperature of its own is
	TempC float64
	Since time.Time
}

// Places lists every place that something stands in or whose temperature is
// known, by name.
func (s *Service) Places(ctx context.Context) ([]PlaceView, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	known, err := s.upToDate(ctx)
	if err != nil {
		return nil, fmt.Errorf("places of the shelf: %w", err)
	}
	by := map[string]PlaceView{}
	for _, f := range known.order {
		if n := len(f.Places); n > 0 && f.Places[n-1].Place != "" {
			by[f.Places[n-1].Place] = PlaceView{Place: f.Places[n-1].Place}
		}
	}
	for place, history := range known.places {
		last := history[len(history)-1]
		by[place] = PlaceView{Place: place, Known: true, TempC: last.TempC, Since: last.At}
	}
	out := make([]PlaceView, 0, len(by))
	for _, p := range by {
		out = append(out, p)
	}
	slices.SortFunc(out, func(a, b PlaceView) int { return strings.Compare(a.Place, b.Place) })
	return out, nil
}

// Stands gives the place of an item now and the day it is wanted for; empty
// where there is none.
func (s *Service) Stands(ctx context.Context, itemID string) (place, wanted string, err error) {
	facts, err := s.store.ShelfFacts(ctx, []string{itemID})
	if err != nil || len(facts) == 0 {
		return "", "", err
	}
	f := facts[0]
	if n := len(f.Places); n > 0 {
		place = f.Places[n-1].Place
	}
	return place, f.Wanted, nil
}

// Fact gives what the shelf knows of one item.
func (s *Service) Fact(ctx context.Context, itemID string) (models.ShelfFact, error) {
	facts, err := s.store.ShelfFacts(ctx, []string{itemID})
	if err == nil && len(facts) == 0 {
		err = fmt.Errorf("item %s: %w", itemID, models.ErrNotFound)
	}
	if err != nil {
		return models.ShelfFact{}, err
	}
	return facts[0], nil
}
