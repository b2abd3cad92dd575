package ident

import (
	"errors"
	"slices"
	"strings"
	"testing"

	"tracewright/testdata/cases"
)

// The check digit of the article is worked by hand; the misread one has another.
func TestMakersNumber(t *testing.T) {
	for scanned, want := range map[string]string{"]d2010952100000010021N904": "N904", "(01)09521000000100(21)N904": "N904", "]C1A77": "A77", "]C0N904": "N904", "N904": "N904",
		"]d20109521000000100": "]d20109521000000100", "]d2010952100000011921N904": "]d2010952100000011921N904", "": ""} {
		if got := MakersNumber(scanned); got != want {
			t.Errorf("%q: %q, want %q", scanned, got, want)
		}
	}
}

// Sample numbers of GS1 begin with 952, which it sets aside for examples.
func TestRecognise(t *testing.T) {
	hash := strings.Repeat("0a", 32)
	for _, c := range []struct {
		name, typed, what, text, serial string
		scanned                         bool
	}{
		{"a serial from a Code 128", "]C0W26000051\r", ScanSerial, "W26000051", "W26000051", true},
		{"a serial from a Data Matrix", "]d1W26000051", ScanSerial, "W26000051", "W26000051", true},
		{"a serial from a QR code", "]Q1w26-00005-1", ScanSerial, "w26-00005-1", "W26000051", true},
		{"a serial by hand", " W26 OOOO5-1 ", ScanSerial, "W26 OOOO5-1", "W26000051", false},
		{"one character misread", "W26-00005-A", ScanMisread, "W26-00005-A", "", false},
		{"a certificate's code", "]Q1W26000051 C26-01250/1 " + hash, ScanCertificate, "W26000051 C26-01250/1 " + hash, "W26000051", true},
		{"GS1 by its prefix", "]d201095212345000181126110210SP-2.0/26\x1d21W2600005A", ScanGS1, "01095212345000181126110210SP-2.0/26\x1d21W2600005A", "", true},
		{"GS1 in brackets", "(01)09521234500018(10)A-1", ScanGS1, "(01)09521234500018(10)A-1", "", false},
		{"GS1 that is damaged", "]C1010952123450001", ScanGS1, "010952123450001", "", true},
		{"GS1 in brackets with a slip in it", "(01)09521234500019(10)A-1", ScanGS1, "(01)09521234500019(10)A-1", "", false},
		{"GS1 by its separator", "0109521234500018" + "10A-1\x1d3050", ScanGS1, "010952123450001810A-1\x1d3050", "", false},
		{"brackets around something else", "(left) rim", ScanText, "(left) rim", "", false},
		{"an article number of 13 digits", "]E09521234500018", ScanArticle, "9521234500018", "", true},
		{"one of 13 digits that does not check", "9521234500019", ScanText, "9521234500019", "", false},
		{"an address", "]Q1HTTPS://shop.example/c/abc", ScanLink, "HTTPS://shop.example/c/abc", "", true},
		{"a lot's code", "]C0SP-0214", ScanText, "SP-0214", "", true},
		{"nothing", "", ScanText, "", "", false},
	} {
		t.Run(c.name, func(t *testing.T) {
			got := Recognise(c.typed)
			if got.What != c.what || got.Text != c.text || got.Serial != c.serial || got.Scanned != c.scanned {
				t.Errorf("Recognise(%q) = %+v, want %s %q %q %v", c.typed, got, c.what, c.text, c.serial, c.scanned)
			}
		})
	}
}

// What the published cases leave out: the cases themselves run with the
// calculations.
func TestElements(t *testing.T) {
	for _, c := range []struct {
		name, scanned string
		want          []Element
		err           error
	}{
		{"in brackets", "(01)09521234500018(11)261102(10)A-1", []Element{{"01", "09521234500018"}, {"11", "261102"}, {"10", "A-1"}}, nil},
		{"a separator behind a fixed length does no harm", "]C10109521234500018\x1d21X", []Element{{"01", "09521234500018"}, {"21", "X"}}, nil},
		{"a piece beyond the total", "]C1800609521234500018" + "0302", nil, ErrGS1Form},
		{"both ways to name the article", "]C1010952123450001880060952123450001801" + "02", nil, ErrGS1Form},
		{"an identifier nobody here knows", "]C1999ABC", nil, ErrGS1Form},
		{"a lot of more than 20", "]C1010952123450001810" + strings.Repeat("A", 21), nil, ErrGS1Form},
		{"the same twice", "(01)09521234500018(01)09521234500018", nil, ErrGS1Form},
		{"the 30th of February", "]d20109521234500018" + "11260230", nil, ErrGS1Date},
		{"nothing", "]d2", nil, ErrGS1Form},
	} {
		t.Run(c.name, func(t *testing.T) {
			got, err := Elements(c.scanned)
			if !slices.Equal(got, c.want) && err == nil || !errors.Is(err, c.err) {
				t.Errorf("Elements(%q) = %v, %v; want %v, %v", c.scanned, got, err, c.want, c.err)
			}
		})
	}
}

// An error names the element that is wrong, with what stands there.
func TestTheWrongElementIsNamed(t *testing.T) {
	for scanned, want := range map[string]Element{
		"(01)09521234500019(10)A-1":             {"01", "09521234500019"},
		"]C1010952123450001811261302":           {"11", "261302"},
		"]C110A-1":                              {"10", "A-1"},
		"]C1010952123450001899ABC":              {"", "99ABC"},
		"(01)09521234500018(10)A-1(30)9 pcs":    {"30", "9 pcs"},
		"]d2010952123450001830123456789\x1d10A": {"30", "123456789"},
	} {
		_, err := Elements(scanned)
		var at *ElementError
		if !errors.As(err, &at) || at.Element != want {
			t.Errorf("%q: %v, want the element %v", scanned, err, want)
		}
	}
}

// By the rule of GS1: 51 or more ahead is the century before, 50 or more behind
// the one after.
func TestDaysOfAStringHaveACentury(t *testing.T) {
	for _, c := range []struct {
		yymmdd string
		now    int
		want   string
	}{
		{"261102", 2026, "2026-11-02"}, {"261100", 2026, "2026-11"}, {"760101", 2026, "2076-01-01"}, {"770101", 2026, "1977-01-01"},
		{"240229", 2026, "2024-02-29"}, {"310229", 2026, ""}, {"310230", 2026, ""}, {"000229", 2026, "2000-02-29"}, {"000229", 2070, ""}, {"310431", 2026, ""},
		{"990101", 2026, "1999-01-01"}, {"100101", 2060, "2110-01-01"}, {"110101", 2060, "2011-01-01"},
	} {
		if got := GS1Day(c.yymmdd, c.now); got != c.want {
			t.Errorf("%s read in %d: %s, want %s", c.yymmdd, c.now, got, c.want)
		}
	}
}

func FuzzRecognise(f *testing.F) {
	for _, s := range []string{"]C0W26000051", "]d2010952123450001811261102", "(01)09521234500018(10)A", "https://a", "9521234500018"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, typed string) {
		s := Recognise(typed)
		if s.What == ScanSerial && KindOf(s.Serial) == 0 {
			t.Errorf("%q is a serial %q", typed, s.Serial)
		}
		if code, values := s.Problem(); code == "" || len(values)%2 != 0 {
			t.Errorf("%q: problem %q with %q", typed, code, values)
		}
	})
}

// The cases of GS1 element strings.
func TestElementsOfTheCases(t *testing.T) {
	refusals := map[string]error{"GTIN_CHECK": ErrGS1Check, "DATE": ErrGS1Date, "REQUIRES_01_OR_8006": ErrGS1Alone}
	for _, c := range cases.OfKind(t, "gs1_parse") {
		in := cases.Decode[struct{ Scan string }](t, c.Input)
		want := cases.Decode[struct {
			Elements [][2]string
			Error    string
		}](t, c.Expected)
		got, err := Elements(in.Scan)
		var pairs [][2]string
		for _, e := range got {
			pairs = append(pairs, [2]string{e.AI, e.Value})
		}
		if !errors.Is(err, refusals[want.Error]) || !slices.Equal(pairs, want.Elements) {
			t.Errorf("%s: Elements(%q) = %v, %v; want %v %s", c.ID, in.Scan, pairs, err, want.Elements, want.Error)
		}
	}
}
