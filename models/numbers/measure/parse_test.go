package measure

import (
	"errors"
	"strings"
	"testing"

	"tracewright/testdata/cases"
)

func TestParse(t *testing.T) {
	accepted := []string{
		"0", "0.210", "-3", "12.860", "0.00", "9999999999999999999", "-9999999999999999999",
		"0.0000000000000000001", "1234567890.123456789", "10", "100.0",
	}
	for _, text := range accepted {
		if d, err := Parse(text); err != nil || d.String() != text {
			t.Errorf("Parse(%q) = %v, %v; want the same digits", text, d, err)
		}
	}
	refused := []string{
		"", " ", "-", "+", ".", "+1", "1.", ".5", "-.5", "007", "00", "-0", "-0.00", "1e3", "1E3", "0x10", "1_000",
		"1,5", "1 000", " 1", "1 ", "1.2.3", "--1", "NaN", "Inf", "infinity", "1\x00", "\u0661", "1\u00a0", "\u22121",
		"10000000000000000000", "0.00000000000000000001", "1.2345678901234567890", strings.Repeat("9", 1000),
	}
	for _, text := range refused {
		if d, err := Parse(text); !errors.Is(err, ErrNotANumber) {
			t.Errorf("Parse(%q) = %v, %v; want ErrNotANumber", text, d, err)
		}
	}
}

func TestParseTooLong(t *testing.T) {
	for _, text := range []string{"10000000000000000000", "0.00000000000000000001", "1.2345678901234567890"} {
		if _, err := Parse(text); !errors.Is(err, ErrTooLong) || !errors.Is(err, ErrNotANumber) {
			t.Errorf("Parse(%q): %v; want ErrTooLong, which is an ErrNotANumber", text, err)
		}
	}
}

func TestParseReading(t *testing.T) {
	tests := []struct{ typed, want string }{
		{"0,12", "0.12"},
		{".21", "0.21"},
		{",21", "0.21"},
		{"-.21", "-0.21"},
		{"-,5", "-0.5"},
		{"+0.3", "0.3"},
		{"\u22120,10", "-0.10"},
		{"  12.860\r\n", "12.860"},
		{"\u00a012\u202f", "12"},
		{"007.50", "7.50"},
		{"-0.00", "0.00"},
		{"0", "0"},
		{"000000000000000000000001", "1"},
		{"+.5", "0.5"},
	}
	for _, test := range tests {
		d, err := ParseReading(test.typed)
		if err != nil || d.String() != test.want {
			t.Errorf("ParseReading(%q) = %v, %v; want %s", test.typed, d, err, test.want)
		}
	}
	refused := []string{
		"", " ", "-", "\u2212", "+", ".", ",", "-.", "1.2.3", "1,2,3", "1.234,5", "1,234.5", "1 000", "1'000", "1e999", "1e3",
		"5.", "5,", "0.", "--1", "+-1", "-+1", "-\u22121", "- 1", "NaN", "inf", "12mm", "W26000051", "1\t2", "\u0661", "0x1p4",
		"12345678901234567890", "0.12345678901234567890",
	}
	for _, typed := range refused {
		if d, err := ParseReading(typed); !errors.Is(err, ErrNotANumber) {
			t.Errorf("ParseReading(%q) = %v, %v; want ErrNotANumber", typed, d, err)
		}
	}
}

// Cases of kind parse_reading: the value, the flag for a decimal more than the
// instrument shows, the refusals.
func TestParseReadingCases(t *testing.T) {
	for _, c := range cases.OfKind(t, "parse_reading") {
		t.Run(c.ID, func(t *testing.T) {
			in := cases.Decode[struct {
				Typed    string
				Decimals int
			}](t, c.Input)
			want := cases.Decode[struct{ Value, Flag, Error string }](t, c.Expected)
			d, err := ParseReading(in.Typed)
			if want.Error != "" {
				if want.Error != "NOT_A_NUMBER" || !errors.Is(err, ErrNotANumber) {
					t.Fatalf("ParseReading(%q) = %v, %v; want %s", in.Typed, d, err, want.Error)
				}
				return
			}
			if err != nil || d.String() != want.Value {
				t.Fatalf("ParseReading(%q) = %v, %v; want %s", in.Typed, d, err, want.Value)
			}
			resolution, err := Round(0, in.Decimals)
			if err != nil {
				t.Fatal(err)
			}
			if flagged := Finer(d, resolution); flagged != (want.Flag == "FINER_THAN_RESOLUTION") {
				t.Errorf("Finer(%v, %d decimals) = %t; want flag %q", d, in.Decimals, flagged, want.Flag)
			}
		})
	}
}

func TestParseReadingUnit(t *testing.T) {
	tests := []struct {
		typed, want string
		unit        Unit
	}{
		{"0,12 mm", "0.12", MM},
		{"104kgf", "104", KilogramForce},
		{"104", "104", ""},
		{"14.2 m\u03a9", "14.2", Milliohm},
		{"14.2m\u2126", "14.2", Milliohm},
		{"14200 \u00b5\u03a9", "14200", Microohm},
		{"14200 \u03bcohm", "14200", Microohm},
		{"21.5 \u00b0C", "21.5", Celsius},
		{"21.5C", "21.5", Celsius},
		{"-3 degC", "-3", Celsius},
		{"80 %", "80", Percent},
		{".5\"", "0.5", Inch},
		{"12.86 v", "12.86", Volt},
		{"250 LBF", "250", PoundForce},
	}
	for _, test := range tests {
		d, unit, err := ParseReadingUnit(test.typed)
		if err != nil || d.String() != test.want || unit != test.unit {
			t.Errorf("ParseReadingUnit(%q) = %v, %q, %v; want %s, %q", test.typed, d, unit, err, test.want, test.unit)
		}
	}
	for _, typed := range []string{"mm", "", "1e3", "1e999", "1.2.3 mm", "0x10", "- mm", "12 mm 3"} {
		if d, unit, err := ParseReadingUnit(typed); !errors.Is(err, ErrNotANumber) {
			t.Errorf("ParseReadingUnit(%q) = %v, %q, %v; want ErrNotANumber", typed, d, unit, err)
		}
	}
	// A capital M is mega and a small s a second; neither is guessed at.
	for _, typed := range []string{"12 parsec", "5 MV", "5 s", "5 Mohm", "5 mm mm"} {
		if d, unit, err := ParseReadingUnit(typed); !errors.Is(err, ErrUnit) {
			t.Errorf("ParseReadingUnit(%q) = %v, %q, %v; want ErrUnit", typed, d, unit, err)
		}
	}
}

func TestLongTextMakesAShortError(t *testing.T) {
	if _, err := ParseReading(strings.Repeat("\u03a9", 1<<20)); err == nil || len(err.Error()) > 200 {
		t.Errorf("error of %d bytes", len(err.Error()))
	}
}

// Parse, print, parse again: what is accepted keeps its digits, and what people
// Zeros in front count for nothing, however many.
func TestParseReadingBehindZeros(t *testing.T) {
	zeros := strings.Repeat("0", 400)
	for typed, want := range map[string]string{
		zeros + "1234567890123456789":        "1234567890123456789",
		"-" + zeros + "1234567890.123456789": "-1234567890.123456789",
		zeros + ".1234567890123456789":       "0.1234567890123456789",
		zeros:                                "0",
	} {
		if d, err := ParseReading(typed); err != nil || d.String() != want {
			t.Errorf("%s behind zeros: %v, %v", want, d, err)
		}
	}
}

// type is stored in a form that is read back as the same number.
func FuzzParseReading(f *testing.F) {
	for _, seed := range []string{"0.210", "0,12", ".21", "-,5", "\u22123", "1e999", "1.2.3", " 12 ", "007", "-0.00", "9999999999999999999", "104kgf"} {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, typed string) {
		d, err := ParseReading(typed)
		if err != nil {
			if !errors.Is(err, ErrNotANumber) {
				t.Errorf("ParseReading(%q): %v is not an ErrNotANumber", typed, err)
			}
			return
		}
		again, err := Parse(d.String())
		if err != nil || again != d {
			t.Errorf("%q became %v, read back as %v, %v", typed, d, again, err)
		}
		_, behind, marked := strings.Cut(strings.Replace(strings.TrimSpace(typed), ",", ".", 1), ".")
		if marked && len(behind) != d.Decimals() {
			t.Errorf("%q became %v: decimals changed", typed, d)
		}
		if d2, unit, err := ParseReadingUnit(typed); err != nil || unit != "" || d2 != d {
			t.Errorf("ParseReadingUnit(%q) = %v, %q, %v; want %v without unit", typed, d2, unit, err, d)
		}
	})
}

func FuzzParse(f *testing.F) {
	for _, seed := range []string{"0.210", "-3", "0", "12.", "1e3", "-0", "00.1"} {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, text string) {
		if d, err := Parse(text); err == nil && d.String() != text {
			t.Errorf("Parse(%q) prints %q", text, d)
		}
	})
}
