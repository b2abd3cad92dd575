package models

import (
	"slices"
	"strings"
	"testing"
)

func TestPlacesAreOrderedAsPeopleCount(t *testing.T) {
	for _, want := range []string{
		"1.1 1.2 1.9 1.10 1.11 2.1 2.10",
		"1 2 10 A A1 A2 A10 b",
	} {
		got := strings.Fields(want)
		slices.Sort(got) // As text: 1.1 1.10 1.11 1.2.
		slices.SortFunc(got, ComparePlaces)
		if text := strings.Join(got, " "); text != want {
			t.Errorf("%s, want %s", text, want)
		}
	}
	for _, place := range []string{"", "1.10", "left"} {
		if ComparePlaces(place, place) != 0 {
			t.Errorf("%q is not itself", place)
		}
	}
	if ComparePlaces("", "1") >= 0 || ComparePlaces("1", "") <= 0 {
		t.Error("no place does not come first")
	}
}
