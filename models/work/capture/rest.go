package capture

import (
	"context"
	"fmt"
	"time"

	"tracewright/models"
	"tracewright/models/trade/kinds"
)

// rested gives the conditions that the readings are judged by: those typed, and
// where the record of charges contradicts the rest, what the record says. The
// charges of the blocks in a pack count as its own, also those of the blocks that
// this submission builds in. What was typed is kept as it is.
func (s *Service) rested(ctx context.Context, a arrival, t target, parts []models.FittedPart, measured time.Time) (models.Conditions, []models.Remark, error) {
	typed := a.sub.Conditions
	if t.kind.Name != models.KindPack && t.kind.Name != models.KindBlock {
		return typed, nil, nil
	}
	charges := t.Charges
	for _, p := range parts {
		if p.PartID == nil {
			continue
		}
		more, err := s.store.ChargesReaching(ctx, *p.PartID)
		if err != nil {
			return typed, nil, fmt.Errorf("charges of a part of %s: %w", t.Item.Name(), err)
		}
		charges = append(charges, more...)
	}
	if len(charges) == 0 {
		return typed, nil, nil
	}
	read, err := s.readAt(ctx, a, measured)
	if err != nil {
		return typed, nil, err
	}
	rest, known := kinds.RestAt(charges, read)
	if !known {
		return typed, nil, nil
	}
	judged, code, values := rest.Against(typed)
	switch {
	case code == "":
		return judged, nil, nil
	case rest.Charge.ItemID != t.Item.ID:
		block, err := s.store.Item(ctx, rest.Charge.ItemID)
		if err != nil {
			return typed, nil, fmt.Errorf("the block that was charged: %w", err)
		}
		code, values = "block_"+code, append(values, "number", block.Name())
	}
	return judged, []models.Remark{models.NewRemark(code, values...)}, nil
}

// readAt is when the readings were taken: of a correction, when those it
// corrects were.
func (s *Service) readAt(ctx context.Context, a arrival, measured time.Time) (time.Time, error) {
	corrected, err := s.correction(ctx, a)
	if err != nil || corrected == nil {
		return measured, err
	}
	return models.FirstRead(ctx, *corrected, s.store.Inspection)
}
