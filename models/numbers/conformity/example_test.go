package conformity_test

import (
	"fmt"

	"tracewright/models/numbers/conformity"
	"tracewright/models/numbers/measure"
)

// A run-out of 0.27 mm against a limit of 0.30 mm, known to 0.04 mm: simple
// acceptance passes it, guarded acceptance does not.
func ExampleJudge() {
	value, _ := measure.Parse("0.27")
	limit, _ := measure.Parse("0.30")
	uncertainty, _ := measure.Parse("0.04")
	for _, rule := range []conformity.Rule{conformity.Simple, conformity.Guarded} {
		judgement, err := conformity.Judge(conformity.Question{
			Value: value, Limits: conformity.Limits{High: &limit}, Rule: rule, U: &uncertainty,
		})
		if err != nil {
			fmt.Println(err)
			return
		}
		fmt.Println(rule, judgement.Outcome, judgement.AcceptHigh, judgement.Reason)
	}
	// Output:
	// simple pass 0.30 within
	// guarded fail 0.26 in_guard_band
}
