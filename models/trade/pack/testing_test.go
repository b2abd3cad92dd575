package pack

import (
	"math"
	"testing"

	"tracewright/models/numbers/measure"
)

// dec reads a decimal or stops the test.
func dec(t testing.TB, text string) measure.Decimal {
	t.Helper()
	d, err := measure.Parse(text)
	if err != nil {
		t.Fatal(err)
	}
	return d
}

// decs reads a list of decimals.
func decs(t testing.TB, texts ...string) []measure.Decimal {
	t.Helper()
	list := make([]measure.Decimal, len(texts))
	for i, text := range texts {
		list[i] = dec(t, text)
	}
	return list
}

// near compares within a tolerance.
func near(t testing.TB, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s: got %.12g, want %.12g within %g", what, got, want, tolerance)
	}
}
