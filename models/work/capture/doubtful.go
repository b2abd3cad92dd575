package capture

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"tracewright/models"
)

// Against says, by their keys, what the stock has against blocks at the moment
// they are fitted.
type Against func(ctx context.Context, parts []models.FittedPart) (map[string][]models.Remark, error)

// Heed takes what the stock knows of blocks into account from now on. It is told
// after New, since the stock records through this service.
func (s *Service) Heed(against Against) { s.against = against }

// longReason bounds why a block is fitted all the same.
const longReason = 200

// doubtful notes the blocks that are fitted although the stock speaks against
// them, each with why: the reason that was sent, or none. sent are the parts as
// named, row by row, fitted what is built in now.
func (s *Service) doubtful(ctx context.Context, a arrival, sent, fitted []models.FittedPart, invalid *models.InvalidError) ([]models.Remark, error) {
	for i, p := range a.sub.Parts {
		invalid.Lines(fmt.Sprintf("parts[%d].reason", i), p.Reason, longReason)
	}
	if s.against == nil || len(fitted) == 0 {
		return nil, nil
	}
	against, err := s.against(ctx, fitted)
	if err != nil {
		return nil, fmt.Errorf("what the stock has against blocks: %w", err)
	}
	var remarks []models.Remark
	for _, p := range fitted {
		if p.PartID == nil || len(against[*p.PartID]) == 0 {
			continue
		}
		block, err := s.store.Item(ctx, *p.PartID)
		if err != nil {
			return nil, fmt.Errorf("a block that is fitted: %w", err)
		}
		why := ""
		if i := slices.IndexFunc(sent, func(x models.FittedPart) bool { return x.ID == p.ID }); i >= 0 && i < len(a.sub.Parts) {
			why = strings.TrimSpace(a.sub.Parts[i].Reason)
		}
		remarks = append(remarks, models.NewRemark("block_against_stock", "number", block.Name(), "against", models.Codes(against[*p.PartID]), "why_fitted", why))
	}
	return remarks, nil
}
