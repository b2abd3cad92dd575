package models_test

import (
	"strings"
	"testing"

	"tracewright/models"
)

// What nobody sees is refused, and what scripts and pictures are joined by stays.
func TestTextsAreWhatIsSeen(t *testing.T) {
	for _, c := range []struct {
		name, text  string
		line, lines string // what is wrong with it as one line, and as several
	}{
		{"plain", "Ada Brenn, 2.34 mm", "", ""},
		{"letters with marks of their own", "Zoe\u0308 Müller", "", ""},
		{"a joiner between letters", "\u0645\u06cc\u200c\u062e\u0648\u0627\u0647\u0645 \u0915\u094d\u200d\u0937", "", ""},
		{"a picture made of pictures", "\U0001F468\u200d\U0001F527 \u2764\ufe0f\u200d\U0001F525", "", ""},
		{"joiners beside digits and marks", "\u06f3\u200c\u0645\u06cc\u200c\u0644\u06cc 5\u200c\u062a\u0627\u06cc\u06cc \u00ab\u0622\u0646\u200c\u00bb", "", ""},
		{"a flag with tags", "\U0001F3F4\U000E0067\U000E0062\U000E0073\U000E0063\U000E0074\U000E007F", "", ""},
		{"tags of no flag", "Ada\U000E0067", "not_printed", "not_printed"},
		{"no characters", "a\ufffeb", "not_printed", "not_printed"},
		{"no characters of a later plane", "a\U0001ffffb", "not_printed", "not_printed"},
		{"a space that does not break", "5\u00a0mm", "", ""},
		{"two lines", "Quay 4\n9921 Sundhavn", "not_printed", ""},
		{"two lines of another system, and a tab", "Quay\r\n9921\tSund", "not_printed", ""},
		{"a bell and an escape", "ctl\u0007\u001b", "not_printed", "not_printed"},
		{"another direction", "in \u202eecnarg", "not_printed", "not_printed"},
		{"a space of no width", "Ada\u200bBrenn", "not_printed", "not_printed"},
		{"a joiner at an end", "Ada\u200d", "not_printed", "not_printed"},
		{"a joiner that joins nothing", "Ada \u200dBrenn", "not_printed", "not_printed"},
		{"a separator of lines", "a\u2028b", "not_printed", "not_printed"},
		{"no letters of this encoding", "a\xffb", "not_printed", "not_printed"},
		{"as long as may be", strings.Repeat("ä", 20), "", ""},
		{"one longer", strings.Repeat("ä", 21), "too_long", "too_long"},
	} {
		t.Run(c.name, func(t *testing.T) {
			for want, check := range map[*string]func(*models.InvalidError, string, string, int){&c.line: (*models.InvalidError).Line, &c.lines: (*models.InvalidError).Lines} {
				invalid := &models.InvalidError{}
				if check(invalid, "name", c.text, 20); len(invalid.Problems) > 1 || len(invalid.Problems) == 1 != (*want != "") || len(invalid.Problems) == 1 && invalid.Problems[0].Code != *want {
					t.Errorf("%q: %v, want %q", c.text, invalid.Problems, *want)
				}
			}
		})
	}
	for typed, want := range map[string]string{
		"\u202a+47 22 00 00 00\u202c":                      "+47 22 00 00 00", // out of a list of contacts
		"\u2068Ada Brenn\u2069":                            "Ada Brenn",
		"\u200eAda\u200f":                                  "Ada",
		"Werk\u00adstatt\u00adstra\u00dfe 4\nOslo":         "Werkstattstra\u00dfe 4\nOslo",
		"Ada \u200bBrenn":                                  "Ada Brenn",
		"\ufeffSP-1":                                       "SP-1",
		"10\u2060mm\ufeff \u200b":                          "10mm",
		"in \u202eecnarg":                                  "in ecnarg",
		"\u0645\u06cc\u200c\u062e\u0648\u0627\u0647\u0645": "\u0645\u06cc\u200c\u062e\u0648\u0627\u0647\u0645",
		"\U0001F468\u200d\U0001F527":                       "\U0001F468\u200d\U0001F527",
		"a\u00ad\xffb":                                     "a\u00ad\xffb", // refused, and not made another text
		"a\u0007b":                                         "a\u0007b",
	} {
		if got := models.Trimmed(typed); got != want {
			t.Errorf("%q is %q, want %q", typed, got, want)
		}
		if text := models.Trimmed(typed); models.Unprinted(text, true) != (strings.Contains(typed, "\xff") || strings.Contains(typed, "\a")) {
			t.Errorf("%q is refused: %v", text, models.Unprinted(text, true))
		}
	}
	for typed, want := range map[string]string{" Ada \n": "Ada", "\u200b": "", "\u200b\u2060 \ufeff": "", "\u3164": "", "\u0308": "", "\u2764\ufe0f": "\u2764\ufe0f", "-": "-", "\u0007": ""} {
		if got := models.Trimmed(typed); got != want {
			t.Errorf("%q is %q, want %q", typed, got, want)
		}
	}
}
