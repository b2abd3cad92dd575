package models

import "testing"

func TestAShareAboveNothingNeverReadsAsNone(t *testing.T) {
	for share, want := range map[float64]string{0: "0", 1e-9: "0.0001", 2e-6: "0.0002", 0.00004: "0.0040", 0.0002: "0.02", 0.0099: "0.99", 0.01: "1.0", 0.4567: "45.7", 1: "100.0"} {
		if got := Percent(share); got != want {
			t.Errorf("%v is written %s %%, want %s", share, got, want)
		}
	}
}
