package failures

import (
	"context"
	"fmt"

	"tracewright/models"
)

// MostItems is how many items a list shows.
const MostItems = 200

// ItemQuery asks for the items behind a bar or a point.
type ItemQuery struct {
	Query    // its Code: only those that failed so
	PersonID string
	LotID    string
	Failed   bool // those that failed, whatever in
}

// Items are the items behind a count, newest first, and how many there are.
type Items struct {
	Query ItemQuery
	Kind  string
	List  []models.FirstSet
	Total int
}

// Items lists the first sets behind a bar or a point. Who measured is left out for
// whoever does not see it; whoever asks for another builder's without seeing
// builders is refused with models.ErrForbidden.
func (s *Service) Items(ctx context.Context, actor models.Actor, q ItemQuery) (Items, error) {
	if q.PersonID != "" && q.PersonID != actor.PersonID && !SeesPeople(actor) {
		return Items{}, fmt.Errorf("first sets of another person: %w", models.ErrForbidden)
	}
	a, err := s.settle(ctx, q.Query)
	if err != nil {
		return Items{}, err
	}
	q.Query = a.Query
	out := Items{Query: q, Kind: a.kind}
	if len(a.ids) == 0 {
		return out, nil
	}
	zone := s.zone(ctx)
	from, err := models.ReadDay(a.From, zone)
	if err != nil {
		return Items{}, fmt.Errorf("first day: %w", err)
	}
	to, err := models.ReadDay(a.To, zone)
	if err != nil {
		return Items{}, fmt.Errorf("last day: %w", err)
	}
	out.List, out.Total, err = s.store.FirstSets(ctx, models.FirstSetQuery{Families: a.ids, From: from, To: models.DayOf(to, 1), ProductID: a.ProductID, Place: a.Place, PersonID: q.PersonID, LotID: q.LotID, Failed: q.Failed, Code: q.Query.Code, Limit: MostItems})
	if err != nil {
		return Items{}, fmt.Errorf("first sets: %w", err)
	}
	if !SeesPeople(actor) {
		for i := range out.List {
			if out.List[i].PersonID != actor.PersonID {
				out.List[i].PersonID = ""
			}
		}
	}
	return out, nil
}
