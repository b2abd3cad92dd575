package models

import "slices"

// fromBest are the verdicts of results, the best first. What was not measured stands
// behind what was, and hides nothing that fails.
var fromBest = []string{VerdictConformity, VerdictPass, VerdictConditionalPass, VerdictProvisional, VerdictNotVerified,
	VerdictIncomplete, VerdictNone, VerdictConditionalFail, VerdictFail, VerdictNonconformity}

// Worse says whether a verdict is worse than another. A page, a paper, the gate and
// the interface all tell the worst of several by it.
func Worse(a, b string) bool { return slices.Index(fromBest, a) > slices.Index(fromBest, b) }

// WorstVerdict is the worst verdict of results; one without a limit counts for
// nothing. Of none it is empty.
func WorstVerdict(results []Result) string {
	worst := ""
	for _, r := range results {
		if r.Verdict != VerdictNone && Worse(r.Verdict, worst) {
			worst = r.Verdict
		}
	}
	return worst
}
