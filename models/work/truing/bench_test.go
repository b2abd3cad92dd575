package truing_test

import (
	"fmt"
	"testing"

	"tracewright/models/work/worktest"
)

// A turn list through the service and its database, from readings to an answer.
func BenchmarkMake(b *testing.B) {
	for _, holes := range []int{36, 48} {
		b.Run(fmt.Sprint(holes), func(b *testing.B) {
			s := at(worktest.New(b), 1, form(holes)).spoil(0.9)
			id := s.read().Inspection.ID
			for i := 0; b.Loop(); i++ {
				// Made again each time, for another number of nipples.
				if _, made, err := s.truing.Make(b.Context(), s.Operator, id, 11+i%2); err != nil || !made {
					b.Fatal(made, err)
				}
			}
		})
	}
}
