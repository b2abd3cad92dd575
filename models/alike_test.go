package models_test

import (
	"testing"

	"tracewright/models"
)

// Of numbers that differ in capitals alone the one that is written just so is meant;
// where none is, and there are several, nobody knows which.
func TestTheNumberWrittenSoIsMeant(t *testing.T) {
	carrying := func(numbers ...string) (found []models.Item) {
		for _, n := range numbers {
			found = append(found, models.Item{ID: n, MakerNumber: &n})
		}
		return found
	}
	for _, c := range []struct {
		found      []models.Item
		item, code string
	}{
		{carrying("ab-1", "AB-1"), "AB-1", ""},
		{carrying("ab-1"), "ab-1", ""},
		{carrying("ab-1", "Ab-1"), "", "number_not_unique"},
		{carrying("AB-1", "AB-1", "ab-1"), "", "number_not_unique"},
		{append(carrying("AB-1"), models.Item{ID: "a serial alone"}), "AB-1", ""},
		{nil, "", "unknown_number"},
	} {
		if item, code := models.OnlyItem(models.WrittenSo(c.found, "AB-1")); item.ID != c.item || code != c.code {
			t.Errorf("of %d: %q %s, want %q %s", len(c.found), item.ID, code, c.item, c.code)
		}
	}
}
