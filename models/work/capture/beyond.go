package capture

import (
	"context"
	"fmt"
	"slices"

	"tracewright/models"
)

// beyond says of which lots more is built in with this inspection than they had.
// The readings are kept all the same, and the lot's balance asks why. A correction
// is not asked: what it names was counted before.
func (s *Service) beyond(ctx context.Context, sub models.Submission, fitted []models.FittedPart) ([]models.Remark, error) {
	more, ids := map[string]int{}, []string{}
	for _, p := range fitted {
		if p.LotID == nil || sub.Corrects != "" {
			continue
		}
		if more[*p.LotID] == 0 {
			ids = append(ids, *p.LotID)
		}
		more[*p.LotID] += p.Quantity
	}
	if len(ids) == 0 {
		return nil, nil
	}
	totals, err := s.store.LotTotals(ctx, ids)
	if err != nil {
		return nil, fmt.Errorf("what of the lots is used: %w", err)
	}
	lots, err := s.store.LotsByID(ctx, ids)
	if err != nil {
		return nil, fmt.Errorf("lots that are fitted: %w", err)
	}
	var remarks []models.Remark
	for _, id := range ids {
		i := slices.IndexFunc(lots, func(l models.Lot) bool { return l.ID == id })
		if i < 0 {
			continue
		}
		if over, has := totals[id].Beyond(lots[i], more[id]); over > 0 {
			remarks = append(remarks, models.NewRemark("lot_beyond", "lot", lots[i].Code, "over", fmt.Sprint(over), "quantity", fmt.Sprint(has)))
		}
	}
	return remarks, nil
}
