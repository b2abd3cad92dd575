package conformity

import (
	"fmt"

	"tracewright/models/numbers/measure"
)

// Impact says what has to happen to an item after the gauge that accepted it
// was found out of tolerance.
type Impact string

const (
	// NoImpact: the item still passes with the error taken off. The finding is
	// recorded with the item, nothing else.
	NoImpact Impact = "none"
	// HoldItem: it no longer passes, or never did. The item is held, and one that
	// has left the shop goes on the list of recalls.
	HoldItem Impact = "hold"
)

// Reevaluation is a verdict looked at again.
type Reevaluation struct {
	Corrected     measure.Decimal
	Before, After Judgement
	Impact        Impact
}

// Reevaluate judges a value again that was taken with a gauge later found to
// read wrong by error at that value (what it showed less what was there, as
// found before any adjustment):
//
//	corrected = value - error
//
// under the same rule, limits and uncertainty as in the question. The error is
// taken to have been there for the whole time in doubt. Everything is exact.
//
// Only an outcome that accepts is without impact: an item in a guard band needs
// somebody's decision now as it did then (ISO 9001:2015, 7.1.5.2 asks for the
// validity of earlier results to be judged).
func Reevaluate(q Question, asFoundError measure.Decimal) (Reevaluation, error) {
	before, err := Judge(q)
	if err != nil {
		return Reevaluation{}, err
	}
	corrected, err := q.Value.Sub(asFoundError)
	if err != nil {
		return Reevaluation{}, fmt.Errorf("corrected value: %w", err)
	}
	q.Value = corrected
	after, err := Judge(q)
	if err != nil {
		return Reevaluation{}, err
	}
	r := Reevaluation{Corrected: corrected, Before: before, After: after, Impact: HoldItem}
	if after.Outcome.Accepts() {
		r.Impact = NoImpact
	}
	return r, nil
}
