package store_test

import (
	"testing"

	"tracewright/models/store"
	"tracewright/models/store/storetest"
)

// A database that rests holds no reading connection of a file, and answers again
// when it is asked.
func TestADatabaseRests(t *testing.T) {
	storetest.Each(t, func(t *testing.T, s *store.Store) {
		must(s.People(t.Context()))
		if err := s.Rest(t.Context()); err != nil {
			t.Fatal(err)
		}
		for _, p := range s.Pools() {
			if p.Name == "reading" && p.Open != 0 {
				t.Errorf("%d reading connections are kept", p.Open)
			}
		}
		must(s.People(t.Context()))
		for _, p := range s.Pools() {
			if p.Name == "reading" && p.Open == 0 {
				t.Error("a connection that was opened anew is not kept for the next question")
			}
		}
	})
}
