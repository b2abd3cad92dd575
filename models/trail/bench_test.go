package trail

import "testing"

// The readings of a wheel of 36 spokes: three sets of 36.
func BenchmarkCanonical(b *testing.B) {
	type set struct {
		Characteristic string   `json:"characteristic"`
		Unit           string   `json:"unit"`
		Values         []string `json:"values"`
		Index          []int    `json:"index"`
	}
	sets := make([]set, 3)
	for i := range sets {
		sets[i] = set{Characteristic: "lateral run-out", Unit: "mm", Values: make([]string, 36), Index: make([]int, 36)}
		for j := range 36 {
			sets[i].Values[j], sets[i].Index[j] = "-0.12", j
		}
	}
	b.ReportAllocs()
	for b.Loop() {
		if _, err := Canonical(sets); err != nil {
			b.Fatal(err)
		}
	}
}

// The same readings as records encode themselves: plain maps and lists.
func BenchmarkCanonicalRecord(b *testing.B) {
	sets := make([]any, 3)
	for i := range sets {
		values, index := make([]any, 36), make([]any, 36)
		for j := range 36 {
			values[j], index[j] = "-0.12", j
		}
		sets[i] = map[string]any{"characteristic": "lateral run-out", "unit": "mm", "values": values, "index": index}
	}
	b.ReportAllocs()
	for b.Loop() {
		if _, err := Canonical(sets); err != nil {
			b.Fatal(err)
		}
	}
}
