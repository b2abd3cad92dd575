package web

import (
	"testing"

	"tracewright/models/numbers/spc"
	"tracewright/models/words"
)

// Every run rule has words, by its name alone and with each side that its signals
// may have.
func TestEveryRunRuleHasWords(t *testing.T) {
	c := words.In("en")
	for _, r := range spc.RunRules() {
		sides := []spc.Side{spc.SideHigh, spc.SideLow}
		if r.Pattern != spc.PatternBeyond && r.Pattern != spc.PatternTrend {
			sides = []spc.Side{spc.SideEither}
		}
		codes := []string{r.Name}
		for _, side := range sides {
			codes = append(codes, r.Name+"_"+string(side))
		}
		for _, code := range codes {
			if !c.Has(code) {
				t.Errorf("%s has no words", code)
			}
		}
	}
}
