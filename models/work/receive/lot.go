package receive

import (
	"context"
	"errors"
	"fmt"
	"time"

	"tracewright/models"
)

// mostInLot is more than any delivery to a workshop; a greater number is a slip.
const mostInLot = 10_000_000

// LotsOfCode gives the lot of a code, or none.
func (s *Service) LotsOfCode(ctx context.Context, code string) ([]models.Lot, error) {
	lots, err := s.store.LotsByCode(ctx, []string{code})
	if err != nil {
		return nil, fmt.Errorf("lot %.40q: %w", code, err)
	}
	return lots, nil
}

// Lots lists every lot, last received first.
func (s *Service) Lots(ctx context.Context) ([]models.Lot, error) {
	lots, err := s.store.Lots(ctx)
	if err != nil {
		return nil, fmt.Errorf("lots: %w", err)
	}
	return lots, nil
}

// AddLot takes in a lot. Code and material are needed; the lot counts as
// received now unless ReceivedAt says when. A code that was scanned loses what
// the scanner put before it, a supplier is written as the register has it, and a
// supplier's GS1 code fills in what it says.
func (s *Service) AddLot(ctx context.Context, actor models.Actor, in models.Lot) (models.Lot, error) {
	invalid := &models.InvalidError{}
	s.fromLabels(ctx, &in, invalid)
	check(invalid, field{"code", &in.Code, true, longestCode}, field{"material", &in.Material, true, longestText},
		field{"description", &in.Description, false, longestText}, field{"supplier", &in.Supplier, false, longestText},
		field{"supplier_code", &in.SupplierCode, false, longestText}, field{"date_code", &in.DateCode, false, longestText})
	if in.Material != "" {
		switch _, err := s.store.Material(ctx, in.Material); {
		case errors.Is(err, models.ErrNotFound):
			invalid.Add("material", "unknown_choice", "typed", models.Shortened(in.Material))
		case err != nil:
			return models.Lot{}, fmt.Errorf("material %s: %w", in.Material, err)
		}
	}
	switch {
	case in.Quantity < 0:
		invalid.Add("quantity", "negative_not_possible")
	case in.Quantity > mostInLot:
		invalid.Add("quantity", "too_big", "most", fmt.Sprint(mostInLot))
	}
	stamp := models.NewStamp(actor, s.now())
	if in.ReceivedAt.IsZero() {
		in.ReceivedAt = stamp.At
	}
	if in.ReceivedAt.After(stamp.At.Add(24 * time.Hour)) {
		invalid.Add("received_at", "in_the_future")
	}
	if err := invalid.OrNil(); err != nil {
		return models.Lot{}, err
	}
	var err error
	if in.Supplier, err = s.supplier(ctx, in.Supplier); err != nil {
		return models.Lot{}, err
	}
	in.ID, in.ReceivedAt, in.ReceivedBy = models.NewID(), models.Moment(in.ReceivedAt), actor.String()
	if err := s.store.AddLot(ctx, stamp, in); err != nil {
		if errors.Is(err, models.ErrConflict) {
			return models.Lot{}, models.Invalid("code", "taken", "value", in.Code)
		}
		return models.Lot{}, fmt.Errorf("add lot %s: %w", in.Code, err)
	}
	return in, nil
}
