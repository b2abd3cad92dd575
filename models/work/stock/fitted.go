package stock

import (
	"context"
	"fmt"
	"slices"
	"time"

	"tracewright/models"
)

// doubts are the reasons that stay with a block when it is built in; that its
// reading is old, or that it lies in a match, do not.
var doubts = []string{"case_not_sound", "reading_failed", "block_low", "block_reversed_or_dead", "resistance_off", "resistance_risen", "block_too_old", "loses_charge", "loses_against_lot", "lot_suspect"}

// Against gives, by their keys, what spoke against blocks when they were fitted:
// what the stock knew at that moment, by readings that still stand. A person who
// released a block after its newest reading then has seen it, also when that is
// done once it is fitted. Blocks without a word against them, and other parts, are
// left out.
func (s *Service) Against(ctx context.Context, parts []models.FittedPart) (map[string][]models.Remark, error) {
	out, lots := map[string][]models.Remark{}, map[string]Screening{}
	for _, p := range parts {
		if p.PartID == nil || p.Role != models.KindBlock {
			continue
		}
		stored, err := s.store.StockBlock(ctx, *p.PartID)
		if err != nil {
			return nil, fmt.Errorf("block %s as it was fitted: %w", *p.PartID, err)
		}
		if stored.Item.ProductID == nil {
			continue // Of one without a model nothing can be said.
		}
		against, err := s.against(ctx, stored, p.FittedAt, lots)
		if err != nil {
			return nil, fmt.Errorf("what speaks against block %s: %w", stored.Item.Name(), err)
		}
		if len(against) > 0 {
			out[*p.PartID] = against
		}
	}
	return out, nil
}

// against weighs one block as of a moment; lots keeps the screenings made so far.
func (s *Service) against(ctx context.Context, stored models.StockBlock, at time.Time, lots map[string]Screening) ([]models.Remark, error) {
	asOf(&stored, at)
	if d := stored.Disposition; d != nil && d.Decision == models.Release && (len(stored.Readings) == 0 || d.DecidedAt.After(stored.Readings[len(stored.Readings)-1].MeasuredAt)) {
		return nil, nil
	}
	_, form, err := s.model(ctx, *stored.Item.ProductID, "model")
	if err != nil {
		return nil, err
	}
	b := Block{StockBlock: stored}
	var suspect []models.Remark
	if stored.Receipt != nil && stored.Receipt.LotID != nil {
		screening, err := s.lotAsOf(ctx, *stored.Item.ProductID, form, *stored.Receipt.LotID, at, lots)
		if err != nil {
			return nil, err
		}
		suspect, b.Loss = screening.Reasons, screening.lossOf(stored.Item.ID)
	}
	if err := b.weigh(form, at.In(s.zone(ctx)), suspect); err != nil {
		return nil, err
	}
	return slices.DeleteFunc(b.Reasons, func(r models.Remark) bool { return !slices.Contains(doubts, r.Code) }), nil
}

// lotAsOf screens the blocks of one model in a lot by what was read until then.
func (s *Service) lotAsOf(ctx context.Context, productID string, form models.BlockForm, lotID string, at time.Time, lots map[string]Screening) (Screening, error) {
	key := productID + " " + lotID + " " + at.String()
	if v, known := lots[key]; known {
		return v, nil
	}
	blocks, err := s.store.StockOfLot(ctx, lotID)
	if err != nil {
		return Screening{}, err
	}
	model, err := s.store.StockOf(ctx, productID)
	if err != nil {
		return Screening{}, err
	}
	for _, list := range [][]models.StockBlock{blocks, model} {
		for i := range list {
			asOf(&list[i], at)
		}
	}
	blocks = slices.DeleteFunc(blocks, func(b models.StockBlock) bool { return b.Item.ProductID == nil || *b.Item.ProductID != productID })
	v, err := s.screen(form, lotID, "", blocks, resistances(model))
	lots[key] = v
	return v, err
}

// asOf leaves out what was read after a moment.
func asOf(b *models.StockBlock, at time.Time) {
	b.Readings = slices.DeleteFunc(b.Readings, func(r models.StockReading) bool { return r.MeasuredAt.After(at) })
}
