package words

import (
	"maps"
	"regexp"
	"slices"
	"testing"

	"tracewright/models"
)

// The records say in which languages paper is printed, the catalogue has them.
func TestLanguagesOfTheRecordsAreThoseOfTheCatalogue(t *testing.T) {
	var tags []string
	for _, c := range All() {
		tags = append(tags, c.Language())
		if c.Name() == "" {
			t.Errorf("%s has no name of its own", c.Language())
		}
	}
	if !slices.Equal(tags, models.Languages) {
		t.Errorf("the catalogue has %v, the records %v", tags, models.Languages)
	}
}

// paperCodes are all codes that paper is printed from, with English words.
func paperCodes() map[string]string {
	codes := map[string]string{}
	for _, g := range englishPaper {
		for code, text := range g.words {
			codes[g.prefix+code] = text
		}
	}
	return codes
}

// others are the languages beside English.
var others = []language{german}

func TestEveryLanguageHasAllOfPaper(t *testing.T) {
	if len(others)+1 != len(models.Languages) {
		t.Fatalf("%d languages are tested, there are %d", len(others)+1, len(models.Languages))
	}
	want := paperCodes()
	for _, l := range others {
		t.Run(l.tag, func(t *testing.T) {
			have := map[string]string{}
			for _, g := range l.groups {
				for code, text := range g.words {
					if _, twice := have[g.prefix+code]; twice {
						t.Errorf("%s%s stands there twice", g.prefix, code)
					}
					have[g.prefix+code] = text
				}
			}
			for code, text := range want {
				if have[code] == "" {
					t.Errorf("%s has no words; in English %q", code, text)
				}
			}
			for code := range have {
				if _, known := want[code]; !known && (len(code) < 5 || code[:5] != "unit.") {
					t.Errorf("%s is no code of paper", code)
				}
			}
		})
	}
}

// A figure that stands in a sentence stands in it in each language: another is
// another statement.
func TestFiguresAreTheSameInEveryLanguage(t *testing.T) {
	figure := regexp.MustCompile(`\d+`)
	figures := func(text string) []string {
		return slices.Sorted(slices.Values(figure.FindAllString(inBraces.ReplaceAllString(text, ""), -1)))
	}
	english := paperCodes()
	for _, l := range others {
		for _, g := range l.groups {
			for code, text := range g.words {
				if want, known := english[g.prefix+code]; known && !slices.Equal(figures(text), figures(want)) {
					t.Errorf("%s, %s%s: %q has other figures than %q", l.tag, g.prefix, code, text, want)
				}
			}
		}
	}
}

// A sentence takes the same values in each language: one that is left out would
// not be printed, one too many would stand there in braces.
func TestPlaceholdersAreTheSameInEveryLanguage(t *testing.T) {
	names := func(text string) []string {
		found := map[string]bool{}
		for _, m := range inBraces.FindAllStringSubmatch(text, -1) {
			found[m[1]] = true
		}
		return slices.Sorted(maps.Keys(found))
	}
	want := paperCodes()
	for _, l := range others {
		for _, g := range l.groups {
			for code, text := range g.words {
				if english := want[g.prefix+code]; english != "" && !slices.Equal(names(text), names(english)) {
					t.Errorf("%s %s%s takes %v, in English %v", l.tag, g.prefix, code, names(text), names(english))
				}
			}
		}
	}
}

// Forms by DIN 5008 (dates in digits, day first, with points; a decimal comma)
// and DIN 1301 (units as they are).
func TestGermanForms(t *testing.T) {
	c := In("de")
	for _, test := range []struct{ name, got, want string }{
		{"a day", c.Date("2027-02-09"), "09.02.2027"},
		{"a stored moment", c.MomentUTC("2027-02-09T14:42:07.123Z"), "09.02.2027, 14:42 UTC"},
		{"a stored moment by the shop's clock", c.MomentAt("2027-02-09T14:42:07.123Z", "+01:00"), "09.02.2027, 15:42 UTC+1"},
		{"a decimal comma", c.Number("-0.11"), "\u22120,11"},
		{"a plus where signs matter", c.Signed("0.11"), "+0,11"},
		{"zero has no sign", c.Signed("0.00"), "0,00"},
		{"a value with its unit", c.Quantity("12.40", "mohm"), "12,40\u00a0mΩ"},
		{"a gauge's own divisions", c.Quantity("22.5", "div"), "22,5\u00a0Skt."},
		{"a noun keeps its capital inside a sentence", c.Inside("Seitenschlag"), "Seitenschlag"},
		{"a list", c.Join([]string{"a", "b", "c"}), "a, b und c"},
		{"a share", c.Of(2, 36), "2 von 36"},
		{"figures of a remark", c.Remark(models.NewRemark("grade_b", "lowest", "12.884", "range", "0.042")), "Güte B nach Spannung: kleinster Block 12,884 V, Spanne aller Blöcke 0,042 V."},
		{"a rest with its unit", c.Remark(models.NewRemark("rest_too_short", "rest", "5.5 h", "least", "24 h")), "Ruhezeit vor der Messung 5,5 h, weniger als die verlangten 24 h."},
		{"a place is no figure", c.Remark(models.NewRemark("block_reads_negative", "position", "1.3", "value", "-12.5")), "Block 1.3 zeigt −12,5 V: Er ist verpolt, oder die Leitungen des Messgeräts sind es. Vor jedem Verbinden nachsehen."},
		{"a clock that was off", c.Remark(models.NewRemark("clock_differs", "offset", "2 h 05 min ahead")), "Die Uhr des Tablets ging 2 h 05 min vor; die Zeit des Servers ist daneben festgehalten."},
		{"a sentence of pages is in English", c.Say("already_lifted", nil), "The hold is lifted already."},
	} {
		if test.got != test.want {
			t.Errorf("%s: got %q, want %q", test.name, test.got, test.want)
		}
	}
}
