package receive

import (
	"context"
	"errors"
	"fmt"
	"strings"
	"time"

	"tracewright/models"
	"tracewright/models/trade/ident"
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
	unread := &models.InvalidError{}
	s.fromLabels(ctx, &in, unread)
	checked, problems, err := s.CheckLots(ctx, actor, []models.Lot{in})
	if err != nil {
		return models.Lot{}, err
	}
	in, invalid := checked[0], problems[0]
	invalid.Problems = append(unread.Problems, invalid.Problems...)
	if in.Code == "" {
		invalid.Add("code", "missing")
	}
	if err := invalid.OrNil(); err != nil {
		return models.Lot{}, err
	}
	if err := s.store.AddLot(ctx, models.NewStamp(actor, s.now()), in); err != nil {
		if errors.Is(err, models.ErrConflict) {
			return models.Lot{}, models.Invalid("code", "taken", "value", in.Code)
		}
		return models.Lot{}, fmt.Errorf("add lot %s: %w", in.Code, err)
	}
	return in, nil
}

// CheckLots brings lots to the form that AddLot keeps them in, and says of each
// what is wrong with it. It does not ask for a code, and stores nothing.
func (s *Service) CheckLots(ctx context.Context, actor models.Actor, in []models.Lot) ([]models.Lot, []*models.InvalidError, error) {
	materials, err := s.Materials(ctx)
	if err != nil {
		return nil, nil, err
	}
	suppliers, err := s.Suppliers(ctx)
	if err != nil {
		return nil, nil, err
	}
	known, register := map[string]bool{}, map[string]string{}
	for _, m := range materials {
		known[m.Code] = true
	}
	for _, x := range suppliers {
		register[alike(x.Name)] = x.Name
	}
	stamp := models.NewStamp(actor, s.now())
	lots, problems := make([]models.Lot, len(in)), make([]*models.InvalidError, len(in))
	for i, lot := range in {
		problems[i] = &models.InvalidError{}
		checkLot(problems[i], &lot, known, stamp.At)
		lot.Supplier = registered(register, lot.Supplier)
		lot.ID, lot.ReceivedAt, lot.ReceivedBy = models.NewID(), models.Moment(lot.ReceivedAt), actor.String()
		lots[i] = lot
	}
	return lots, problems, nil
}

func checkLot(invalid *models.InvalidError, in *models.Lot, materials map[string]bool, now time.Time) {
	for _, scanned := range []*string{&in.Code, &in.SupplierCode, &in.DateCode} {
		*scanned = ident.WithoutPrefix(*scanned)
	}
	check(invalid, field{"code", &in.Code, false, longestCode}, field{"material", &in.Material, true, longestText},
		field{"description", &in.Description, false, longestText}, field{"supplier", &in.Supplier, false, longestText},
		field{"supplier_code", &in.SupplierCode, false, longestText}, field{"date_code", &in.DateCode, false, longestText})
	if in.Material != "" && !materials[in.Material] {
		invalid.Add("material", "unknown_choice", "typed", models.Shortened(in.Material))
	}
	switch {
	case in.Quantity < 0:
		invalid.Add("quantity", "negative_not_possible")
	case in.Quantity > mostInLot:
		invalid.Add("quantity", "too_big", "most", fmt.Sprint(mostInLot))
	}
	if in.ReceivedAt.IsZero() {
		in.ReceivedAt = now
	}
	if in.ReceivedAt.After(now.Add(24 * time.Hour)) {
		invalid.Add("received_at", "in_the_future")
	}
}

// registered writes a supplier as the register has it, blanks and capitals aside;
// a new one joins it.
func registered(register map[string]string, typed string) string {
	if typed == "" {
		return ""
	}
	if known, ok := register[alike(typed)]; ok {
		return known
	}
	name := strings.Join(strings.Fields(typed), " ")
	register[alike(name)] = name
	return name
}

func alike(name string) string { return strings.ToLower(strings.Join(strings.Fields(name), " ")) }
