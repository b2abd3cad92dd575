package words

import (
	"go/ast"
	"go/parser"
	"go/token"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"
	"unicode"

	"tracewright/models"
)

var inBraces = regexp.MustCompile(`\{([^}]*)\}`)

func TestEveryPlaceholderIsDescribedAndUsed(t *testing.T) {
	used := map[string]bool{}
	c := In("en")
	for _, code := range c.Codes() {
		for _, found := range inBraces.FindAllStringSubmatch(c.words[code], -1) {
			used[found[1]] = true
			if Placeholders[found[1]] == "" {
				t.Errorf("%s: {%s} is not described in placeholders.go", code, found[1])
			}
		}
	}
	for name := range Placeholders {
		if !used[name] {
			t.Errorf("{%s} is described in placeholders.go but stands in no sentence", name)
		}
	}
}

func TestNoCodeIsGivenTwice(t *testing.T) {
	seen := map[string]bool{}
	for _, g := range englishLanguage.groups {
		for code := range g.words {
			if seen[g.prefix+code] {
				t.Errorf("%s%s stands in two tables", g.prefix, code)
			}
			seen[g.prefix+code] = true
		}
	}
}

func TestSentencesAreWellWritten(t *testing.T) {
	for _, c := range All() {
		for _, code := range c.Codes() {
			text := c.words[code]
			switch {
			case text == "" || strings.TrimSpace(text) != text:
				t.Errorf("%s: %q is empty or has spaces around it", code, text)
			case strings.ContainsAny(text, "!\"'\n\t"):
				t.Errorf("%s: %q has an exclamation mark, a straight quotation mark or a line break", code, text)
			case strings.Contains(text, "  "):
				t.Errorf("%s: %q has two spaces in a row", code, text)
			}
		}
		for _, table := range []struct {
			prefix string
			like   map[string]string
		}{{"", enProblems}, {"", enRefusals}, {"", enRemarks}, {"", enShelfRemarks}, {"caution.", enCautions}, {"reason.", enReasons}, {"rule_in_words.", enRulesInWords}} {
			for code := range table.like {
				text := c.words[table.prefix+code]
				if first := []rune(text)[0]; !unicode.IsUpper(first) && !strings.ContainsRune("{“", first) {
					t.Errorf("%s: %q does not begin like a sentence", code, text)
				}
				if !strings.HasSuffix(text, ".") && !strings.HasSuffix(text, "?") {
					t.Errorf("%s: %q does not end like a sentence", code, text)
				}
			}
		}
	}
}

// Every code of the records' own tables has words.
func TestCodesOfRecordsResolve(t *testing.T) {
	c := In("en")
	type list struct {
		group string
		say   func(string) string
		codes []string
	}
	roles, acts := []string{}, []string{}
	for _, r := range models.Roles {
		roles = append(roles, string(r))
	}
	for _, a := range models.Acts {
		acts = append(acts, string(a))
	}
	for _, l := range []list{
		{"kind", c.Kind, []string{models.KindWheel, models.KindPack, models.KindKit, models.KindMotor, models.KindBlock}},
		{"stage", c.Stage, []string{models.BeforeRelief, models.AfterRelief, models.Recheck, models.Incoming, models.SecondReading, models.Final}},
		{"method", c.Method, []string{models.EveryHole, models.Extremes, models.Sample, models.EveryBlock, models.Whole}},
		{"manner", c.Manner, []string{models.ResistanceAC, models.ResistanceDC}},
		{"verdict", c.Verdict, []string{models.VerdictPass, models.VerdictFail, models.VerdictProvisional, models.VerdictIncomplete, models.VerdictNone}},
		{"item state", c.State, []string{models.StateInProcess, models.StateConforming, models.StateHeld, models.StateReleased}},
		{"certificate state", c.State, []string{models.Issued, models.Superseded, models.Void}},
		{"instrument state", c.State, []string{models.InstrumentInUse, models.InstrumentOut, models.InstrumentRetired}},
		{"hold lift", c.HoldLift, models.HoldLiftCodes},
		{"role", c.Role, roles},
		{"act", c.Act, acts},
	} {
		for _, code := range l.codes {
			if got := l.say(code); got == "" || strings.HasPrefix(got, "[") {
				t.Errorf("%s %q has no words", l.group, code)
			}
		}
	}
}

// Every setting that the records name has words: read from their source, so that
// one which is added without any is missed.
func TestEverySettingHasAName(t *testing.T) {
	file, err := parser.ParseFile(token.NewFileSet(), "../person.go", nil, parser.SkipObjectResolution)
	if err != nil {
		t.Fatal(err)
	}
	known := map[string]bool{}
	ast.Inspect(file, func(n ast.Node) bool {
		if v, ok := n.(*ast.ValueSpec); ok && strings.HasPrefix(v.Names[0].Name, "Setting") {
			name, err := strconv.Unquote(v.Values[0].(*ast.BasicLit).Value)
			if err != nil {
				t.Fatal(err)
			}
			known[name] = true
			if enSettings[name] == "" {
				t.Errorf("setting %s has no name", name)
			}
		}
		return true
	})
	if !known[models.SettingShopName] {
		t.Errorf("the settings of the records were not found: %v", known)
	}
	for name := range enSettings {
		if !known[name] {
			t.Errorf("%s is no setting", name)
		}
	}
}

func TestSay(t *testing.T) {
	for _, test := range []struct {
		name, code string
		values     map[string]string
		want       string
	}{
		{"values are filled in", "too_few_readings", map[string]string{"got": "35", "want": "36"}, "35 readings, 36 are needed."},
		{"a code without words is shown in brackets", "no_such_code", nil, "[no_such_code]"},
		{"a value that is not given stays visible", "too_few_readings", map[string]string{"got": "35"}, "35 readings, {want} are needed."},
		{"braces in a value are only text", "unknown_serial", map[string]string{"serial": "{got}", "got": "x"}, "No item has the serial {got}."},
		{"a name has its prefix", "stage.after_relief", nil, "after stress relief"},
	} {
		t.Run(test.name, func(t *testing.T) {
			if got := In("en").Say(test.code, test.values); got != test.want {
				t.Errorf("Say(%q, %v) = %q, want %q", test.code, test.values, got, test.want)
			}
		})
	}
}

func TestIn(t *testing.T) {
	for language, want := range map[string]string{"en": "en", "EN-GB": "en", "": "en", "xx": "en", "de": "de", "de-AT": "de"} {
		if c := In(language); c == nil || c.Language() != want {
			t.Errorf("In(%q) gives %v, want %s", language, c, want)
		}
	}
}

func TestNamesOfUnknownCodes(t *testing.T) {
	c := In("en")
	if got := c.Stage("noon"); got != "[noon]" {
		t.Errorf("Stage(noon) = %q, want the code in brackets", got)
	}
	if got := c.Stage(""); got != "" {
		t.Errorf("the name of no code is %q, want nothing", got)
	}
}

func TestForms(t *testing.T) {
	c := In("en")
	berlin := time.FixedZone("UTC+1", 3600)
	for _, test := range []struct{ name, got, want string }{
		{"a day", Date("2027-02-09"), "9 Feb 2027"},
		{"a month", c.Month("2027-02"), "February 2027"},
		{"a part of a month", c.Month("2027-02-07/2027-02-28"), "7 to 28 February 2027"},
		{"a day of a month", c.Month("2027-02-07/2027-02-07"), "7 February 2027"},
		{"a result that shows no defect", c.Remark(models.NewRemark("label_fault", "fault", "spokes_seated")), "spokes seated and none missing"},
		{"text that is no day is left", Date("soon"), "soon"},
		{"a moment in its own zone", Moment(time.Date(2027, 2, 9, 15, 42, 7, 0, berlin)), "9 Feb 2027, 15:42"},
		{"a stored moment in UTC", MomentUTC("2027-02-09T14:42:07.123Z"), "9 Feb 2027, 14:42 UTC"},
		{"a stored moment west of UTC", c.MomentAt("2027-02-09T02:42:07.123Z", "-05:00"), "8 Feb 2027, 21:42 UTC\u22125"},
		{"a stored moment in a zone of half an hour", c.MomentAt("2027-02-09T14:42:07.123Z", "+05:30"), "9 Feb 2027, 20:12 UTC+5:30"},
		{"a stored moment a day ahead", c.MomentAt("2026-11-27T18:38:00.000Z", "+14:00"), "28 Nov 2026, 08:38 UTC+14"},
		{"a stored moment of an older content", c.MomentAt("2027-02-09T14:42:07.123Z", ""), "9 Feb 2027, 14:42 UTC"},
		{"a minus sign", Number("-0.11"), "\u22120.11"},
		{"a positive number has no sign", Number("0.11"), "0.11"},
		{"a plus where signs matter", Signed("0.11"), "+0.11"},
		{"zero has no sign", Signed("0.00"), "0.00"},
		{"a negative number where signs matter", Signed("-0.11"), "\u22120.11"},
		{"a unit stands behind a space that does not break", Quantity("-0.24", "mm"), "\u22120.24\u00a0mm"},
		{"per cent", Quantity("15", "%"), "15\u00a0%"},
		{"a plain number has no unit", Quantity("1.52", "1"), "1.52"},
		{"milliohm", Quantity("12.4", "mohm"), "12.4\u00a0m\u03a9"},
		{"an angle", Quantity("40", "deg"), "40°"},
		{"a minus sign in a remark", c.Say("gauge_not_zeroed", c.Readable(map[string]string{"mean": "0.02", "dish": "-0.50"})), "The lateral readings lie about 0.02 mm and the dish gauge shows \u22120.50 mm: set the dial gauge to zero against the dish gauge. The run-out itself holds."},
		{"a share", c.Of(2, 36), "2 of 36"},
		{"serials of one end", c.Say("serial_tail_several", c.Readable(map[string]string{"typed": "00051", "serials": "W26000051,P25000051"})), "00051 is the end of W26-00005-1 and P25-00005-1: type the whole serial."},
		{"one", c.Count(1, "reading"), "1 reading"},
		{"many", c.Count(36, "reading"), "36 readings"},
		{"none", c.Count(0, "reading"), "0 readings"},
		{"a list of three", c.Join([]string{"a", "b", "c"}), "a, b and c"},
		{"a list of two", c.Join([]string{"a", "b"}), "a and b"},
		{"a list of one", c.Join([]string{"a"}), "a"},
		{"a capital", Sentence("élan"), "Élan"},
		{"a serial", Serial("W26000051"), "W26-00005-1"},
		{"a maker's number is left", Serial("OR4-60418"), "OR4-60418"},
	} {
		if test.got != test.want {
			t.Errorf("%s: got %q, want %q", test.name, test.got, test.want)
		}
	}
}

func TestCodesAreSorted(t *testing.T) {
	codes := In("en").Codes()
	if len(codes) == 0 || !slices.IsSorted(codes) {
		t.Error("Codes is empty or not sorted")
	}
}

func TestAClockThatIsFarOffIsSaidInDays(t *testing.T) {
	c := In("en")
	for _, row := range []struct{ hours, want string }{
		{"30", "30 hours ahead"}, {"-1", "1 hour behind"}, {"48", "48 hours ahead"}, {"49", "2 days ahead"},
		{"-35940", "1498 days behind"}, // 35940 / 24 = 1497.5
		{"noon", "noon"},
	} {
		want := "The tablet’s clock was " + row.want + ": nobody can say when this was read."
		if got := c.Remark(models.NewRemark("clock_strange", "hours", row.hours)); got != want {
			t.Errorf("%s hours: %q, want %q", row.hours, got, want)
		}
	}
}

// Powers of ten, as disks are sold (IEC 80000-13: k is 1000), and nothing is 0 kB but nothing.
func TestBytes(t *testing.T) {
	for n, want := range map[int64]string{0: "0 kB", 1: "1 kB", 1000: "1 kB", 1001: "2 kB", 999_000: "999 kB", 1_000_000: "1.0 MB", 2_340_000: "2.3 MB", 1_000_000_000: "1.0 GB", 12_360_000_000: "12.4 GB"} {
		if got := Bytes(n); got != want {
			t.Errorf("%d bytes are %q, want %q", n, got, want)
		}
	}
}
