package stands

import (
	"errors"
	"testing"
	"unicode/utf8"

	"tracewright/models"
	"tracewright/models/numbers/measure"
)

// What a gauge sends is a reading or a list of what is wrong with it. One that is
// taken is a number with a known unit, and is taken again as the same.
func FuzzReading(f *testing.F) {
	const id = "0193d0a0-1111-7000-8000-000000000000"
	for _, s := range [][4]string{{id, "0.12", "mm", "D-1"}, {id, "0,12 mm", "", ""}, {id, "\u22120.5\"", "in", " D-1 "}, {"x", "", "", ""}, {id, "12.80V", "mm", "D"}, {id, "1e3", "\xff", "\x00"}, {id, "20 °C", "degC", ""}} {
		f.Add(s[0], s[1], s[2], s[3])
	}
	f.Fuzz(func(t *testing.T, id, value, unit, instrument string) {
		got, err := Check(Reading{ID: id, Value: value, Unit: unit, Instrument: instrument})
		if err != nil {
			var invalid *models.InvalidError
			if !errors.As(err, &invalid) || len(invalid.Problems) == 0 {
				t.Fatalf("%v names no problem", err)
			}
			return
		}
		if _, err := measure.ParseReading(got.Value); err != nil || got.Unit == "" || utf8.RuneCountInString(got.Instrument) > mostCode {
			t.Fatalf("%q %q is taken as %+v: %v", value, unit, got, err)
		}
		again, err := Check(got)
		if err != nil || !again.same(got) {
			t.Fatalf("%+v is taken again as %+v, %v", got, again, err)
		}
	})
}
