package models

import "testing"

// Of several verdicts the worst is told, in whichever order they come: a failure
// before a guard band, a guard band before a pass; what has no limit counts for
// nothing.
func TestWorstVerdict(t *testing.T) {
	of := func(verdicts ...string) (list []Result) {
		for _, v := range verdicts {
			list = append(list, Result{Verdict: v})
		}
		return list
	}
	for _, c := range []struct {
		want     string
		verdicts []string
	}{
		{"", nil},
		{"", []string{VerdictNone}},
		{VerdictPass, []string{VerdictNone, VerdictPass, VerdictNone}},
		{VerdictConditionalPass, []string{VerdictPass, VerdictConditionalPass, VerdictConformity}},
		{VerdictNotVerified, []string{VerdictNotVerified, VerdictConditionalPass}},
		{VerdictFail, []string{VerdictPass, VerdictFail, VerdictNotVerified}},
		{VerdictFail, []string{VerdictNotVerified, VerdictNone, VerdictFail}},
		{VerdictConditionalFail, []string{VerdictConditionalPass, VerdictConditionalFail, VerdictPass}},
		{VerdictNonconformity, []string{VerdictNonconformity, VerdictFail}},
	} {
		list := of(c.verdicts...)
		for range 2 {
			if got := WorstVerdict(list); got != c.want {
				t.Errorf("of %q the worst is %q, want %q", c.verdicts, got, c.want)
			}
			for i, j := 0, len(list)-1; i < j; i, j = i+1, j-1 {
				list[i], list[j] = list[j], list[i]
			}
		}
	}
}
