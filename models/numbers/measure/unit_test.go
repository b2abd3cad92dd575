package measure

import (
	"errors"
	"testing"

	"pgregory.net/rapid"
)

func TestUnitTable(t *testing.T) {
	spelled := map[string]Unit{}
	for _, entry := range units {
		if !entry.unit.Known() {
			t.Errorf("%s is not known", entry.unit)
		}
		if _, err := Parse(entry.perBase); err != nil {
			t.Errorf("%s: factor %v", entry.unit, err)
		}
		if entry.unit == One {
			continue
		}
		for _, text := range []string{string(entry.unit), entry.symbol} {
			if got, err := ParseUnit(text); err != nil || got != entry.unit {
				t.Errorf("ParseUnit(%q) = %q, %v; want %q", text, got, err, entry.unit)
			}
			if other, taken := spelled[text]; taken && other != entry.unit {
				t.Errorf("%q is spelled for %s and %s", text, other, entry.unit)
			}
			spelled[text] = entry.unit
		}
	}
	if len(Units()) != len(units) {
		t.Error("Units leaves some out")
	}
	if Unit("furlong").Known() || Unit("").Known() {
		t.Error("an unknown unit is known")
	}
}

func TestSymbols(t *testing.T) {
	for unit, want := range map[Unit]string{Milliohm: "m\u03a9", Celsius: "\u00b0C", Microohm: "\u00b5\u03a9", MM: "mm", One: "", "odd": "odd"} {
		if got := unit.Symbol(); got != want {
			t.Errorf("symbol of %q is %q; want %q", unit, got, want)
		}
	}
}

// Exact products from the definitions of the units (3rd CGPM 1901 for g; the
// yard and pound agreement of 1959); quotients worked by long division.
func TestConvert(t *testing.T) {
	tests := []struct {
		value    string
		from, to Unit
		want     string
	}{
		{"1", KilogramForce, Newton, "9.80665"},
		{"105", KilogramForce, Newton, "1029.69825"},
		{"1", PoundForce, Newton, "4.4482216152605"},
		{"9.80665", Newton, KilogramForce, "1"},
		{"1029.69825", Newton, KilogramForce, "105"},
		{"4.4482216152605", Newton, PoundForce, "1"},
		{"0.45359237", KilogramForce, PoundForce, "1"},
		{"1", Inch, MM, "25.4"},
		{"25.4", MM, Inch, "1"},
		{"0.5", Inch, MM, "12.70"},
		{"0.03", MM, Micrometre, "30.00"},
		{"14.2", Milliohm, Ohm, "0.0142"},
		{"14200", Microohm, Milliohm, "14.200"},
		{"0.0142", Ohm, Microohm, "14200.0000"},
		{"12.86", Volt, Millivolt, "12860.00"},
		{"5", Siemens, Ohm, "0.2"},
		{"70", Siemens, Milliohm, "14.2857142857"},
		{"3000", Siemens, Milliohm, "0.333333333333"},
		{"14.2857142857", Milliohm, Siemens, "70.0000000001"}, // 70.00000000007 to 12 digits.
		{"0.25", Ohm, Siemens, "4"},
		{"80", Percent, One, "0.80"},
		{"0.805", One, Percent, "80.500"},
		{"-3.10", Celsius, Celsius, "-3.10"},
		{"0.210", MM, MM, "0.210"},
	}
	for _, test := range tests {
		got, err := Convert(dec(t, test.value), test.from, test.to)
		if err != nil || !got.Equal(dec(t, test.want)) {
			t.Errorf("%s %s = %v %s, %v; want %s", test.value, test.from, got, test.to, err, test.want)
		}
	}
}

func TestConvertRefuses(t *testing.T) {
	one := FromInt(1)
	for _, pair := range [][2]Unit{{MM, Newton}, {Volt, Ohm}, {"", MM}, {MM, ""}, {"furlong", "furlong"}, {Ampere, AmpereHour}, {Siemens, Volt}, {One, MM}} {
		if got, err := Convert(one, pair[0], pair[1]); !errors.Is(err, ErrUnit) {
			t.Errorf("1 %s in %s = %v, %v; want ErrUnit", pair[0], pair[1], got, err)
		}
		if Convertible(pair[0], pair[1]) {
			t.Errorf("%s to %s counts as convertible", pair[0], pair[1])
		}
	}
	if got, err := Convert(FromInt(0), Siemens, Milliohm); !errors.Is(err, ErrOutOfRange) {
		t.Errorf("0 S = %v mohm, %v; want ErrOutOfRange", got, err)
	}
	if got, err := Convert(dec(t, "9999999999999999999"), Volt, Millivolt); !errors.Is(err, ErrOutOfRange) {
		t.Errorf("too many millivolts: %v, %v; want ErrOutOfRange", got, err)
	}
	if !Convertible(Siemens, Milliohm) || !Convertible(KilogramForce, PoundForce) || !Convertible(MM, MM) {
		t.Error("units of one quantity are convertible")
	}
}

// Readings of up to six digits survive the way into any unit of the same
// quantity and back.
func TestConvertThereAndBack(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		d, err := Round(float64(rapid.IntRange(1, 999999).Draw(r, "digits"))/1000, 3)
		if err != nil {
			r.Fatal(err)
		}
		from := rapid.SampledFrom(Units()).Draw(r, "from")
		to := rapid.SampledFrom(Units()).Draw(r, "to")
		if !Convertible(from, to) {
			return
		}
		there, err := Convert(d, from, to)
		if err != nil {
			r.Fatal(err)
		}
		back, err := Convert(there, to, from)
		if err != nil || !back.RoundTo(6).Equal(d) {
			r.Fatalf("%v %s is %v %s and back %v, %v", d, from, there, to, back, err)
		}
	})
}
