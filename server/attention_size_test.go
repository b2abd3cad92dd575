package main

import (
	"testing"
	"time"

	"tracewright/models"
	"tracewright/testdata/demo"
)

// The list of what needs attention over a whole invented shop, with everything it
// gathers from other services, comes within 100 ms.
func TestAttentionIsQuick(t *testing.T) {
	s := ask(t, demo.Story, 1)
	owner := models.Actor{Role: models.Owner}
	least := time.Hour
	// What else the machine does only adds: the least of some is what it takes.
	for n := 0; n < 3 || least > 100*time.Millisecond && n < 60; n++ {
		began := time.Now()
		if _, err := s.app.Services.Attention.List(t.Context(), owner); err != nil {
			t.Fatal(err)
		}
		least = min(least, time.Since(began))
	}
	t.Logf("%v at the least", least)
	if least > 100*time.Millisecond {
		t.Errorf("%v at the least, want 100 ms", least)
	}
}

func BenchmarkAttention(b *testing.B) {
	s := ask(b, demo.Story, 1)
	for b.Loop() {
		if _, err := s.app.Services.Attention.List(b.Context(), models.Actor{Role: models.Owner}); err != nil {
			b.Fatal(err)
		}
	}
}
