package api

import (
	"net/http"

	"github.com/gin-gonic/gin"

	"tracewright/models"
	"tracewright/models/numbers/measure"
	"tracewright/models/work/studies"
	"tracewright/server/httpx"
)

// budgetLine is an uncertainty budget in a list.
type budgetLine struct {
	ID       string  `json:"id"`
	FamilyID string  `json:"family_id"`
	Result   string  `json:"result"`
	Revision int     `json:"revision"`
	Unit     string  `json:"unit"`
	U        string  `json:"u"`
	MadeAt   instant `json:"made_at"`
}

// budgetShape is one revision with what its lines come to.
type budgetShape struct {
	budgetLine
	Coverage string              `json:"coverage"`
	Combined string              `json:"combined"`
	K        string              `json:"k"`
	Freedom  string              `json:"freedom,omitempty"` // left out for infinitely many
	Lines    []models.BudgetLine `json:"lines"`
	Shares   []float64           `json:"shares"` // of each line in the combined variance
	Floor    *float64            `json:"noise_floor,omitempty"`
	Reason   string              `json:"reason"`
}

func budgetLineOf(b models.UncertaintyBudget) budgetLine {
	return budgetLine{ID: b.ID, FamilyID: b.FamilyID, Result: b.Result, Revision: b.Revision, Unit: b.Unit, U: b.U, MadeAt: instant(b.MadeAt)}
}

func budgetOf(v studies.BudgetView) budgetShape {
	s := budgetShape{budgetLine: budgetLineOf(v.UncertaintyBudget), Coverage: v.Coverage, Combined: v.Combined, K: v.K, Freedom: v.Freedom, Lines: v.Lines, Shares: make([]float64, len(v.Contributions)), Reason: v.Reason}
	for i, x := range v.Contributions {
		s.Shares[i] = x.Share
	}
	if v.Floor != nil {
		s.Floor = &v.Floor.Mean
	}
	return s
}

func (a *api) budgets(c *gin.Context) error {
	q := query(c)
	budgets, err := a.services.Studies.Budgets(c.Request.Context(), q["family"])
	if err != nil {
		return err
	}
	lines := make([]budgetLine, len(budgets))
	for i, b := range budgets {
		lines[i] = budgetLineOf(b)
	}
	return answer(c, http.StatusOK, gin.H{"budgets": lines})
}

func (a *api) budget(c *gin.Context) error {
	v, err := a.services.Studies.Budget(c.Request.Context(), c.Param("id"))
	if err != nil {
		return err
	}
	return answer(c, http.StatusOK, budgetOf(v))
}

func (a *api) reviseBudget(c *gin.Context) error {
	var in struct {
		Family   string              `json:"family"`
		Result   string              `json:"result"`
		From     int                 `json:"from" needed:"yes"`
		Coverage string              `json:"coverage"`
		Lines    []models.BudgetLine `json:"lines"`
		Reason   string              `json:"reason"`
	}
	if err := httpx.DecodeJSON(c, &in); err != nil {
		return err
	}
	v, err := a.services.Studies.ReviseBudget(c.Request.Context(), httpx.Actor(c), studies.BudgetChange{FamilyID: in.Family, Result: in.Result, From: in.From, Coverage: in.Coverage, Lines: in.Lines, Reason: in.Reason})
	if err != nil {
		return err
	}
	return created(c, "/budgets/"+v.ID, budgetOf(v))
}

// costShape is what a rule does to a thousand items of the process.
type costShape struct {
	Rule         string  `json:"rule"`
	GuardFactor  string  `json:"guard_factor"`
	FalseAccepts float64 `json:"false_accepts"`
	FalseRejects float64 `json:"false_rejects"`
	Undecided    float64 `json:"undecided"`
	Unfit        bool    `json:"unfit"` // the guard bands leave nothing to accept
}

// expanded reads an uncertainty as a reading is read: with a point or a comma.
func expanded(typed string) (string, error) {
	u, err := measure.ParseReading(typed)
	switch {
	case err != nil:
		return "", models.Invalid("u", "not_a_number", "typed", models.Shortened(typed))
	case u.Sign() < 0:
		return "", models.Invalid("u", "negative_not_possible")
	case u.Sign() == 0:
		return "", models.Invalid("u", "zero_not_possible")
	}
	return u.String(), nil
}

// ruleCosts holds the rules side by side for a result, with the uncertainty asked
// for or the one in force.
func (a *api) ruleCosts(c *gin.Context) error {
	q := query(c)
	ctx := c.Request.Context()
	spec, err := a.services.Specify.InForce(ctx, q["family"], nil)
	if err != nil {
		return err
	}
	limit, _, found := spec.Limit(q["result"])
	if !found {
		return models.Invalid("result", "unknown_code", "code", models.Shortened(q["result"]))
	}
	if q["u"] != "" {
		if limit.U, err = expanded(q["u"]); err != nil {
			return err
		}
	}
	costs, basis, err := a.services.Studies.Costs(ctx, q["family"], limit)
	if err != nil {
		return err
	}
	if !basis.Known {
		costs = nil
	}
	shapes := make([]costShape, len(costs))
	for i, x := range costs {
		shapes[i] = costShape{x.Rule, x.Factor, x.FalseAccepts, x.FalseRejects, x.Undecided, x.Refused}
	}
	return answer(c, http.StatusOK, gin.H{"u": limit.U, "rules": shapes, "basis": gin.H{"values": basis.N, "first_sets": basis.FirstSets, "few": basis.Few, "swamped": basis.Swamped}})
}
