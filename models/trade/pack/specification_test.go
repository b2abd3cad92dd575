package pack

import (
	"errors"
	"testing"

	"tracewright/models/numbers/measure"
)

func TestDefaultLinesAreWhole(t *testing.T) {
	for _, class := range Classes() {
		lines, err := DefaultLines(class)
		if err != nil {
			t.Fatal(err)
		}
		seen := map[string]bool{}
		for _, line := range lines {
			if seen[line.Code] {
				t.Errorf("%s: %s stands twice", class, line.Code)
			}
			seen[line.Code] = true
			if _, err := measure.Parse(line.Text); err != nil {
				t.Errorf("%s: %s is %q: %v", class, line.Code, line.Text, err)
			}
			if line.Origin != Practice && line.Origin != Published && line.Origin != PublishedMemory {
				t.Errorf("%s: %s has no origin", class, line.Code)
			}
			if line.Unit == "" {
				t.Errorf("%s: %s has no unit", class, line.Code)
			}
		}
		for _, code := range []string{"rest_min_h", "incoming_ocv_min_v", "spread_ocv_a_v", "spread_ir_b_pct", "self_discharge_pct_month"} {
			if !seen[code] {
				t.Errorf("%s: no %s", class, code)
			}
		}
		if !class.Chemistry().Known() || class.Cells() < 1 {
			t.Errorf("%s: chemistry %q, %d cells", class, class.Chemistry(), class.Cells())
		}
	}
	if _, err := DefaultLines("potato"); !errors.Is(err, ErrInput) {
		t.Errorf("unknown class: %v", err)
	}
	if c := Class("potato"); c.Chemistry() != "" || c.Cells() != 0 {
		t.Errorf("unknown class: %q, %d", c.Chemistry(), c.Cells())
	}
}

// The shipping limits of a class and those of its chemistry are one statement.
func TestShippingLimitsAgreeWithTheChemistry(t *testing.T) {
	for _, class := range []Class{ClassAGMSmall, ClassAGM, ClassGel, ClassSixVolt} {
		limits, err := DefaultReadyLimits(class.Chemistry())
		if err != nil {
			t.Fatal(err)
		}
		for code, perTwelve := range map[string]string{"ship_ocv_min_a_v": limits.LowestA, "ship_ocv_min_b_v": limits.LowestB, "spread_ocv_a_v": limits.RangeA, "spread_ocv_b_v": limits.RangeB} {
			text, err := Limit(class, code)
			if err != nil {
				t.Fatal(err)
			}
			block, err := dec(t, text).MulExact(measure.FromInt(CellsPer12V / int64(class.Cells())))
			if err != nil || !block.Equal(dec(t, perTwelve)) {
				t.Errorf("%s %s: %s is %s per 12 V, want %s (%v)", class, code, text, block, perTwelve, err)
			}
		}
	}
	for _, code := range []string{"ship_ocv_min_a_v", "no such line"} {
		if _, err := Limit(ClassLiIon, code); !errors.Is(err, ErrNoTable) {
			t.Errorf("%s of lithium: got %v, want ErrNoTable", code, err)
		}
	}
}

// 2.07 V a cell is one maker's lowest voltage before recharge.
// Every default lies within the bounds of its limit, and those are said in its unit.
func TestBoundsHoldTheDefaults(t *testing.T) {
	for _, class := range Classes() {
		lines, err := DefaultLines(class)
		if err != nil {
			t.Fatal(err)
		}
		for _, l := range lines {
			least, most, unit, ok := Bounds(l.Code)
			if unit != l.Unit {
				t.Errorf("%s: bounds in %q, limit in %q", l.Code, unit, l.Unit)
			}
			low, high, is := mustParse(t, least, ok), mustParse(t, most, ok), mustParse(t, l.Text, true)
			if ok && (is.Cmp(low) < 0 || is.Cmp(high) > 0) {
				t.Errorf("%s of %s: %s is outside %s to %s", l.Code, class, l.Text, least, most)
			}
		}
	}
	for code := range bounds {
		if !KnownLimit(code) {
			t.Errorf("%s is bounded and no limit", code)
		}
	}
}

func mustParse(t *testing.T, text string, there bool) measure.Decimal {
	t.Helper()
	if !there {
		return measure.Decimal{}
	}
	d, err := measure.Parse(text)
	if err != nil {
		t.Fatal(err)
	}
	return d
}

func TestMakersMinimumIsPerCell(t *testing.T) {
	for _, class := range []Class{ClassAGMSmall, ClassAGM, ClassGel, ClassSixVolt} {
		text, err := Limit(class, "maker_ocv_min_v")
		if err != nil {
			t.Fatal(err)
		}
		near(t, string(class), dec(t, text).Float(), 2.07*float64(class.Cells()), 1e-12)
	}
}

// The window holds what one maker's sheet says of a 40 Ah block, under 8 mohm, and
// shrinks with capacity; resistance times capacity is roughly 150 to 250 mohm Ah
// (common practice).
func TestResistanceWindow(t *testing.T) {
	for _, ah := range []float64{7, 9.5, 12, 19, 26, 36.5} {
		w, err := WindowFor(ClassAGM, ah)
		if err != nil {
			t.Fatal(err)
		}
		if !(w.PlausibleLow < w.TypicalLow && w.TypicalLow < w.TypicalHigh && w.TypicalHigh < w.PlausibleHigh) {
			t.Errorf("%g Ah: %+v", ah, w)
		}
		if product := ah * (w.TypicalLow + w.TypicalHigh) / 2; product < 150 || product > 260 {
			t.Errorf("%g Ah: typical times capacity is %g mohm Ah", ah, product)
		}
		six, err := WindowFor(ClassSixVolt, ah)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "6 V is half", 2*six.PlausibleHigh, w.PlausibleHigh, 1e-12)
		gel, err := WindowFor(ClassGel, ah)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "gel is a tenth more", gel.PlausibleLow, 1.1*w.PlausibleLow, 1e-12)
	}
	if w, err := WindowFor(ClassAGM, 40); err != nil || 8 <= w.PlausibleLow || 8 >= w.PlausibleHigh {
		t.Errorf("40 Ah: %+v, %v", w, err)
	}
	for _, bad := range []struct {
		class Class
		ah    float64
	}{{ClassAGM, 3.9}, {ClassAGM, 40.1}, {ClassLiIon, 10}} {
		if _, err := WindowFor(bad.class, bad.ah); !errors.Is(err, ErrNoTable) {
			t.Errorf("%s of %g Ah: got %v, want ErrNoTable", bad.class, bad.ah, err)
		}
	}
}
