package certificate

import "testing"

func TestAnAddressInOneLine(t *testing.T) {
	for address, want := range map[string]string{
		"":                                "",
		"4 Ropewalk Yard, Harrowmere":     "4 Ropewalk Yard, Harrowmere",
		"4 Ropewalk Yard\nHarrowmere":     "4 Ropewalk Yard, Harrowmere",
		"4 Ropewalk Yard\r\nHarrowmere":   "4 Ropewalk Yard, Harrowmere", // as forms were kept once
		"4 Ropewalk Yard,\n\nHarrowmere ": "4 Ropewalk Yard, Harrowmere",
	} {
		if got := inOneLine(address); got != want {
			t.Errorf("%q: %q, want %q", address, got, want)
		}
	}
}
