package main

import (
	"fmt"
	"os"
	"strconv"
	"testing"

	"tracewright/testdata/demo"
)

func TestDebugFinder(t *testing.T) {
	scenario, seed := demo.Story, 1
	if q := os.Getenv("QUIET"); q != "" {
		scenario = demo.Quiet
		seed, _ = strconv.Atoi(q)
	}
	s := ask(t, scenario, uint64(seed))
	a, err := s.app.Services.Finder.Find(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	fmt.Println(seed, a.Took, a.Questions, a.Cuts, a.Small)
	for _, f := range a.Findings {
		fmt.Printf("%s %s %s[%s] %s %s..%s  %+.4f (%.4f %.4f) %s n=%d/%d days=%d d=%.1f  %d/%d back %d exp %.1f\n", f.Family.Name, f.Measure, f.Factor, f.Name, f.Shape, f.From.Format("2006-01-02"), f.Until.Format("2006-01-02"), f.Effect, f.Low, f.High, f.Unit, f.N, f.Others, f.Days, f.Distance, f.Larger, f.Drawn, f.Back, f.Expected)
		for _, x := range f.Same {
			fmt.Printf("      same: %s[%s] %s %s..%s\n", x.Factor, x.Name, x.Shape, x.From.Format("2006-01-02"), x.Until.Format("2006-01-02"))
		}
	}
}
