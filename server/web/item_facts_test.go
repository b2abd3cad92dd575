package web

import (
	"testing"

	"tracewright/models"
)

// Beside the verdict of a failed inspection stands what failed: "Fail 14 of 15" was
// read as fourteen that did.
func TestAShareIsReadOneWay(t *testing.T) {
	of := func(verdicts ...string) (v models.InspectionView) {
		for _, x := range verdicts {
			v.Results = append(v.Results, models.Result{Verdict: x})
		}
		return v
	}
	const pass, fail, none, near = models.VerdictPass, models.VerdictFail, models.VerdictNone, models.VerdictConditionalPass
	for name, c := range map[string]struct {
		of   models.InspectionView
		want string
	}{
		"all pass":       {of(pass, pass, none), "2 of 2"},
		"one fails":      {of(pass, fail, pass, none), "1 of 3 failed"},
		"one is open":    {of(pass, near), "1 of 2 passed"},
		"one fails too":  {of(pass, near, fail), "1 of 3 failed"},
		"nothing judged": {of(none), ""},
	} {
		if got := shareWords(c.of); got != c.want {
			t.Errorf("%s: %q, want %q", name, got, c.want)
		}
	}
}
