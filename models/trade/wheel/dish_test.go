package wheel

import (
	"errors"
	"testing"

	"tracewright/models/numbers/measure"
)

// dec reads a decimal or stops the test.
func dec(t *testing.T, text string) measure.Decimal {
	t.Helper()
	d, err := measure.Parse(text)
	if err != nil {
		t.Fatal(err)
	}
	return d
}

// Worked by hand: (d_B - d_A)/2, toward A when the rim is nearer shoulder A.
func TestDish(t *testing.T) {
	for _, row := range []struct{ name, a, b, offset string }{
		{"toward B", "12.40", "11.20", "-0.60"},
		{"toward A", "8.15", "8.95", "0.40"},
		{"centred", "10.00", "10.00", "0.00"},
		{"odd last digit gets one more", "12.41", "11.20", "-0.605"},
		{"decimals of the finer", "12.4", "11.20", "-0.60"},
		{"whole millimetres", "12", "11", "-0.5"},
		{"no binary remainder", "0.3", "0.1", "-0.1"},
	} {
		t.Run(row.name, func(t *testing.T) {
			got, err := Dish(dec(t, row.a), dec(t, row.b))
			if err != nil {
				t.Fatal(err)
			}
			if got.String() != row.offset {
				t.Errorf("A %s, B %s: got %s, want %s", row.a, row.b, got, row.offset)
			}
		})
	}
}

func TestDishFromFaceAndTarget(t *testing.T) {
	offset, err := DishFromFace(dec(t, "41.25"), dec(t, "40.50"))
	if err != nil || offset.String() != "0.75" {
		t.Fatalf("got %v, %v, want 0.75", offset, err)
	}
	for _, row := range []struct{ offset, target, want string }{
		{"0.75", "0", "0.75"}, {"-0.60", "0", "0.60"}, {"0.75", "1.00", "0.25"}, {"-0.60", "1.00", "1.60"},
	} {
		got, err := DishAbs(dec(t, row.offset), dec(t, row.target))
		if err != nil || got.String() != row.want {
			t.Errorf("offset %s, target %s: got %v, %v, want %s", row.offset, row.target, got, err, row.want)
		}
	}
}

func TestDishMissing(t *testing.T) {
	var none measure.Decimal
	one := dec(t, "1")
	if _, err := Dish(none, one); !errors.Is(err, ErrInput) {
		t.Errorf("without A: %v", err)
	}
	if _, err := Dish(one, none); !errors.Is(err, ErrInput) {
		t.Errorf("without B: %v", err)
	}
	if _, err := DishFromFace(none, one); !errors.Is(err, ErrInput) {
		t.Errorf("without a reading: %v", err)
	}
	if _, err := DishFromFace(one, none); !errors.Is(err, ErrInput) {
		t.Errorf("without a nominal distance: %v", err)
	}
}
