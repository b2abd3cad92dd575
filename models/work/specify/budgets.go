package specify

import (
	"context"
	"errors"
	"fmt"

	"tracewright/models"
	"tracewright/models/numbers/measure"
)

// budgets checks the uncertainties that say they come from a budget: it is one of
// the family for that result, and without a figure of its own a limit takes the
// budget's over. A figure that was typed otherwise comes from no budget any more. A
// budget worked out for another probability gives none: papers say about 95 %.
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
			switch {
			case l.U != "" && l.U != b.U:
				l.Budget = ""
			case !about95(b.Coverage):
				c.Add(field+".u", "budget_coverage", "value", b.Coverage)
			default:
				l.U = b.U
			}
		}
	}
	return nil
}

// about95 says whether a probability is what an expanded uncertainty is stated for,
// about 95 %: 95.45 goes with a factor of 2, 95 with one of 1.96.
func about95(coverage string) bool {
	p, err := measure.Parse(coverage)
	return err == nil && p.Float() >= 0.945 && p.Float() <= 0.955
}
