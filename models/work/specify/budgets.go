package specify

import (
	"context"
	"errors"
	"fmt"

	"tracewright/models"
)

// budgets checks the uncertainties that say they come from a budget: it is one of
// the family for that result, and without a figure of its own a limit takes the
// budget's over. A figure that was typed otherwise comes from no budget any more.
func (s *Service) budgets(ctx context.Context, c *checker, familyID string, characteristics []models.Characteristic) error {
	for i := range characteristics {
		for j := range characteristics[i].Results {
			l, field := &characteristics[i].Results[j], fmt.Sprintf("characteristics[%d].results[%d]", i, j)
			if l.Budget == "" {
				continue
			}
			b, err := s.store.Budget(ctx, l.Budget)
			if errors.Is(err, models.ErrNotFound) || err == nil && (b.FamilyID != familyID || b.Result != l.Result) {
				c.Add(field+".u", "unknown_budget")
				continue
			}
			if err != nil {
				return fmt.Errorf("budget of %s: %w", l.Result, err)
			}
			if l.U == "" {
				l.U = b.U
			}
			if l.U != b.U {
				l.Budget = ""
			}
		}
	}
	return nil
}
