package finder_test

import (
	"testing"

	"tracewright/models/work/finder"
	"tracewright/models/work/worktest"
)

// A search of 960 wheels of one result, one stand of which wears.
func BenchmarkSearch(b *testing.B) {
	store := invent(7, func(stand string, day int) float64 {
		if stand == "stand 2" {
			return 0.004 * float64(max(0, day-60))
		}
		return 0
	})
	for b.Loop() {
		s := finder.New(store, clock, worktest.Zone)
		if _, err := s.Find(b.Context()); err != nil {
			b.Fatal(err)
		}
		s.Close()
	}
}
