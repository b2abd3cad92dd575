package returns

import (
	"context"
	"fmt"
	"slices"
	"time"

	"tracewright/models"
)

// Listed is what stands behind a number: what left in a month, and what came back of
// it.
type Listed struct {
	Family  models.Family
	Lot     string
	Month   string // of shipment; empty: all of the query
	Age     int    // in calendar months; -1: at any
	Shipped []models.ShippedItem
	// More: more left than are listed; asked only with a month or a lot.
	More bool
	Back []models.ReturnedItem
}

// List gives the items and claims behind a number: of a month of shipment, of a lot,
// and of those that came back at an age.
func (s *Service) List(ctx context.Context, q Query, month string, age int) (Listed, error) {
	q, err := settled(q)
	if err != nil {
		return Listed{}, err
	}
	r, err := s.read(ctx, q.FamilyID, q.Months, q.Lot != "", s.now())
	if err != nil {
		return Listed{}, err
	}
	out := Listed{Family: r.family, Lot: q.Lot, Month: month, Age: age}
	from, _ := models.ReadDay(r.from, r.zone)
	to := s.now().AddDate(0, 0, 1)
	if month != "" {
		if from, err = time.ParseInLocation("2006-01", month, r.zone); err != nil {
			return Listed{}, models.Invalid("month", "bad_date", "typed", models.Shortened(month))
		}
		to = from.AddDate(0, 1, 0)
	}
	var lotID string
	if q.Lot != "" {
		lots, err := s.store.LotsByCode(ctx, []string{q.Lot})
		if err != nil {
			return Listed{}, fmt.Errorf("lot %.40q: %w", q.Lot, err)
		}
		if len(lots) == 0 {
			return Listed{}, models.Invalid("lot", "unknown_lot", "lot", models.Shortened(q.Lot))
		}
		lotID, out.Lot = lots[0].ID, lots[0].Code
	}
	for _, item := range r.returned {
		f := failureOf(item, r.zone)
		at := monthNumber(monthOf(f.back)) - monthNumber(monthOf(f.left))
		if lotID != "" && !slices.Contains(item.LotIDs, lotID) || month != "" && monthOf(f.left) != month || age >= 0 && at != age {
			continue
		}
		out.Back = append(out.Back, item)
	}
	if age < 0 && (month != "" || lotID != "") {
		out.Shipped, err = s.store.ShippedItems(ctx, models.ShippedQuery{FamilyID: q.FamilyID, LotID: lotID, From: from, To: to, Limit: mostListed + 1})
		if out.More = len(out.Shipped) > mostListed; out.More {
			out.Shipped = out.Shipped[:mostListed]
		}
	}
	return out, err
}
