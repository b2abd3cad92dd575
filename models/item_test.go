package models

import (
	"strings"
	"testing"
)

// More than one item of an end are named, so that the right one can be typed.
func TestOneItemOfAnEnd(t *testing.T) {
	item := func(serial string) Item { return Item{Serial: &serial} }
	for _, c := range []struct {
		found        []Item
		code, values string
	}{
		{nil, "serial_tail_unknown", "typed 00051"},
		{[]Item{item("W26000051")}, "", ""},
		{[]Item{item("W26000051"), item("P25000051")}, "serial_tail_several", "typed 00051 serials W26000051,P25000051"},
	} {
		got, code, values := OnlyOfTail("00051", c.found)
		if code != c.code || strings.Join(values, " ") != c.values || code == "" && got.Name() != "W26000051" {
			t.Errorf("%d items: %+v, %q, %v", len(c.found), got, code, values)
		}
	}
}
