package receive

import (
	"context"
	"errors"
	"fmt"
	"slices"
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
	known, register := map[string]bool{}, models.NamesOfSuppliers(suppliers)
	for _, m := range materials {
		known[m.Code] = true
	}
	taken, err := s.codesTaken(ctx, in)
	if err != nil {
		return nil, nil, err
	}
	stamp := models.NewStamp(actor, s.now())
	lots, problems := make([]models.Lot, len(in)), make([]*models.InvalidError, len(in))
	for i, lot := range in {
		problems[i] = &models.InvalidError{}
		checkLot(problems[i], &lot, known, stamp.At)
		if other := taken[strings.ToLower(lot.Code)]; other != "" && other != lot.Code {
			problems[i].Add("code", "taken", "value", other)
		}
		lot.Supplier = register.As(lot.Supplier)
		lot.ID, lot.ReceivedAt, lot.ReceivedBy = models.NewID(), models.Moment(lot.ReceivedAt), actor.String()
		lots[i] = lot
	}
	return lots, problems, nil
}

// codesTaken gives the codes that lots have which are the same but for capitals:
// two such lots are one to whoever types the code.
func (s *Service) codesTaken(ctx context.Context, lots []models.Lot) (map[string]string, error) {
	var codes []string
	for _, lot := range lots {
		if code := ident.WithoutPrefix(lot.Code); code != "" {
			codes = append(codes, strings.TrimSpace(code))
		}
	}
	alike, err := s.store.LotsAlike(ctx, codes)
	if err != nil {
		return nil, fmt.Errorf("codes of lots: %w", err)
	}
	taken, own := map[string]string{}, map[string]bool{}
	for _, code := range codes {
		own[code] = true
	}
	for _, lot := range alike {
		if folded := strings.ToLower(lot.Code); taken[folded] == "" || own[lot.Code] {
			taken[folded] = lot.Code
		}
	}
	return taken, nil
}

// checkCode notes a code that a label, an address or a hand cannot tell from
// something else.
func checkCode(invalid *models.InvalidError, code string) {
	switch _, err := ident.Normalise(code); {
	case err == nil: // Whoever scans it must not be led to an item of the shop.
		invalid.Add("code", "like_a_serial", "number", code)
	case slices.Contains([]string{".", "..", "new"}, strings.ToLower(code)):
		invalid.Add("code", "code_of_page", "value", code)
	}
}

func checkLot(invalid *models.InvalidError, in *models.Lot, materials map[string]bool, now time.Time) {
	for _, scanned := range []*string{&in.Code, &in.SupplierCode, &in.DateCode} {
		*scanned = ident.WithoutPrefix(*scanned)
	}
	check(invalid, field{"code", &in.Code, false, longestCode}, field{"material", &in.Material, true, longestText},
		field{"description", &in.Description, false, longestText}, field{"supplier", &in.Supplier, false, longestText},
		field{"supplier_code", &in.SupplierCode, false, longestText}, field{"date_code", &in.DateCode, false, longestText})
	checkCode(invalid, in.Code)
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
	if !invalid.TooEarly("received_at", in.ReceivedAt.Year()) && in.ReceivedAt.After(now.Add(24*time.Hour)) {
		invalid.Add("received_at", "day_ahead")
	}
}
