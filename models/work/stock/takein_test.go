package stock_test

import (
	"errors"
	"fmt"
	"strings"
	"testing"
	"time"

	"tracewright/models"
	"tracewright/models/work/stock"
	"tracewright/models/work/worktest"
)

// A list of blocks comes in with its readings; sent again it changes nothing;
// with other content it is refused, and so is a list with one bad row, whole.
func TestBlocksComeIn(t *testing.T) {
	worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
		b := setUp(h, blockModel())
		d := b.delivery(6)
		d.Rows = append(d.Rows, stock.Row{ID: models.NewID(), Count: 3}, stock.Row{ID: models.NewID(), Count: 1, Voltage: "12.91", Resistance: "13.9"})
		d.Rows[5].Voltage = "-12.88" // polarity reversed: kept with its sign, and judged
		taken := b.mustTakeIn(d)
		for i, row := range taken {
			blocks, verdict := 1, models.VerdictPass
			if i == 6 {
				blocks, verdict = 3, ""
			}
			if i == 5 {
				verdict = models.VerdictFail
			}
			if !row.New || len(row.Blocks) != blocks || row.MadeOn != "2031-03-17" || row.SetAside != nil {
				t.Errorf("row %d: %+v", i, row)
			}
			if got := row.Inspection; (got == nil) != (verdict == "") || got != nil && got.Verdict != verdict {
				t.Errorf("row %d: judged %+v, want %s", i, got, verdict)
			}
			for _, item := range row.Blocks {
				if (item.Serial != nil) == (i < 6) || (item.MakerNumber == nil) == (i < 6) {
					t.Errorf("row %d: named %s", i, item.Name())
				}
			}
		}
		view, err := h.Store.InspectionView(t.Context(), taken[5].Inspection.ID)
		h.Must(err)
		for _, r := range view.Results {
			if r.Code == "block_ocv25" && r.Value != "-12.88" {
				t.Errorf("a reversed block is kept as %s", r.Value)
			}
		}

		again := b.mustTakeIn(d)
		for i, row := range again {
			if row.New || len(row.Blocks) != len(taken[i].Blocks) || row.Blocks[0].ID != taken[i].Blocks[0].ID {
				t.Errorf("row %d again: %+v", i, row)
			}
		}
		if n := h.Count(taken[0].Blocks[0].ID); n != 1 {
			t.Errorf("%d inspections after the list was sent twice", n)
		}
		other := d
		other.Rows = append([]stock.Row(nil), d.Rows...)
		other.Rows[2].Resistance = "15.5"
		if _, err := b.TakeIn(t.Context(), b.Operator, other); !errors.Is(err, models.ErrConflict) {
			t.Errorf("the same row with another reading: %v", err)
		}

		more := b.delivery(4)
		for i := range more.Rows {
			more.Rows[i].Number += "-b"
		}
		more.Rows[3].Number = "H00001" // here already
		_, err = b.TakeIn(t.Context(), b.Operator, more)
		worktest.WantProblems(t, err, "rows[3].number: block_here_already")
		if found, err := h.Store.BlocksNumbered(t.Context(), "Halden", "12-12", []string{"H00001-b"}); err != nil || len(found) > 0 {
			t.Errorf("of a refused list %d blocks came in, %v", len(found), err)
		}

		h.Now = h.Now.Add(7 * 24 * time.Hour)
		second := b.delivery(2)
		second.Stage = models.SecondReading
		second.Rows[0].Resistance, second.Rows[1].Number = "", *taken[7].Blocks[0].Serial
		for i, row := range b.mustTakeIn(second) {
			if row.New || row.Inspection == nil || row.Inspection.Stage != models.SecondReading || row.Inspection.Verdict != models.VerdictPass {
				t.Errorf("second reading of row %d: %+v", i, row)
			}
		}
		unknown := b.delivery(1)
		unknown.Stage, unknown.Rows[0].Number = models.SecondReading, "H9"
		_, err = b.TakeIn(t.Context(), b.Operator, unknown)
		worktest.WantProblems(t, err, "rows[0].number: unknown_number")
	})
}

// A number typed without the shift key is that of the block that is here: it does
// not come in a second time, and its second reading finds it. So is one that was
// typed small when it came in and is scanned now.
func TestANumberInSmallLettersIsTheSameBlock(t *testing.T) {
	worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
		b := setUp(h, blockModel())
		d := b.delivery(2)
		d.Rows[1].Number = "h00002"
		taken := b.mustTakeIn(d)
		again := b.delivery(2)
		again.Rows[0].Number = "h00001"
		_, err := b.TakeIn(t.Context(), b.Operator, again)
		worktest.WantProblems(t, err, "rows[0].number: block_here_already", "rows[1].number: block_here_already")
		h.Now = h.Now.Add(7 * 24 * time.Hour)
		again = b.delivery(2)
		again.Stage, again.Rows[0].Number = models.SecondReading, "h00001"
		for i, row := range b.mustTakeIn(again) {
			if row.New || row.Blocks[0].ID != taken[i].Blocks[0].ID || row.Inspection.ItemID != taken[i].Blocks[0].ID {
				t.Errorf("second reading of row %d is of %s: %+v", i, row.Blocks[0].Name(), row)
			}
		}
	})
}

// Each row changes one thing of a good list and names what must be said of it.
func TestWhatIsWrongWithBlocks(t *testing.T) {
	h := worktest.New(t)
	b := setUp(h, blockModel())
	free := blockModel()
	free.ResistanceMethod, free.Model = "", "12-12 F"
	anyWay := b.product(models.KindBlock, "any way", models.ProductForm{Block: &free})
	rows := []struct {
		name   string
		change func(*stock.Delivery)
		want   []string
	}{
		{"no model", func(d *stock.Delivery) { d.Model = "" }, []string{"model: missing"}},
		{"a model nobody has", func(d *stock.Delivery) { d.Model = models.NewID() }, []string{"model: unknown_product"}},
		{"a pack for a model", func(d *stock.Delivery) { d.Model = b.packs.ID }, []string{"model: no_block_model"}},
		{"no rows", func(d *stock.Delivery) { d.Rows = nil }, []string{"rows: missing"}},
		{"a stage of wheels", func(d *stock.Delivery) { d.Stage = models.AfterRelief }, []string{"stage: unknown_choice"}},
		{"a lot nobody has", func(d *stock.Delivery) { d.Lot = "BL-9" }, []string{"lot: unknown_lot"}},
		{"no moment", func(d *stock.Delivery) { d.MeasuredAt = time.Time{} }, []string{"measured_at: missing"}},
		{"a moment to come", func(d *stock.Delivery) { d.MeasuredAt = h.Now.Add(time.Hour) }, []string{"measured_at: in_the_future"}},
		{"a row without a key", func(d *stock.Delivery) { d.Rows[1].ID = "7" }, []string{"rows[1].id: bad_id"}},
		{"a row twice", func(d *stock.Delivery) { d.Rows[1].ID = d.Rows[0].ID }, []string{"rows[1].id: row_twice"}},
		{"a number twice", func(d *stock.Delivery) { d.Rows[1].Number = d.Rows[0].Number }, []string{"rows[1].number: number_twice"}},
		{"neither number nor count", func(d *stock.Delivery) { d.Rows[1].Number = "" }, []string{"rows[1].number: number_or_count"}},
		{"a number twice, once in small letters", func(d *stock.Delivery) { d.Rows[1].Number = strings.ToLower(d.Rows[0].Number) }, []string{"rows[1].number: number_twice"}},
		{"a number with a line break in it", func(d *stock.Delivery) { d.Rows[1].Number = "H\n2" }, []string{"rows[1].number: not_text"}},
		{"a number for several", func(d *stock.Delivery) { d.Rows[1].Count = 3 }, []string{"rows[1].count: number_or_count"}},
		{"one reading for several", func(d *stock.Delivery) { d.Rows[1].Number, d.Rows[1].Count = "", 3 }, []string{"rows[1].count: one_reading_for_many"}},
		{"no voltage", func(d *stock.Delivery) { d.Rows[1].Voltage = "" }, []string{"rows[1].voltage: missing"}},
		{"a voltage in words", func(d *stock.Delivery) { d.Rows[1].Voltage = "full" }, []string{"rows[1].voltage: not_a_number"}},
		{"millivolts beyond the meter", func(d *stock.Delivery) { d.Rows[1].Voltage = "12880" }, []string{"rows[1].voltage: outside_range"}},
		{"no resistance", func(d *stock.Delivery) { d.Rows[1].Resistance = "" }, []string{"rows[1].resistance: missing"}},
		{"a resistance below zero", func(d *stock.Delivery) { d.Rows[1].Resistance = "-14.1" }, []string{"rows[1].resistance: outside_range"}},
		{"no temperature", func(d *stock.Delivery) { d.Temperature = "" },
			[]string{"rows[0].temperature_c: temperature_missing", "rows[1].temperature_c: temperature_missing", "rows[2].temperature_c: temperature_missing", "rows[3].temperature_c: temperature_missing"}},
		{"one temperature of its own", func(d *stock.Delivery) { d.Rows[2].Temperature = "31" }, nil},
		{"degrees of Fahrenheit", func(d *stock.Delivery) { d.Rows[1].Temperature = "77" }, []string{"rows[1].temperature_c: temperature_like_fahrenheit"}},
		{"no rest", func(d *stock.Delivery) { d.Conditions.RestHours = "" }, []string{"rows[0].rest_hours: rest_missing", "rows[1].rest_hours: rest_missing", "rows[2].rest_hours: rest_missing", "rows[3].rest_hours: rest_missing"}},
		{"a rest in words", func(d *stock.Delivery) { d.Conditions.RestHours = "long" }, []string{"rest_hours: not_a_number"}},
		{"no way of measuring", func(d *stock.Delivery) { d.Method = "" },
			[]string{"rows[0].method: manner_needed", "rows[1].method: manner_needed", "rows[2].method: manner_needed", "rows[3].method: manner_needed"}},
		{"another way than the model's", func(d *stock.Delivery) { d.Rows[1].Method = models.ResistanceDC }, []string{"rows[1].method: manner_of_model"}},
		{"two ways in one list", func(d *stock.Delivery) { d.Model, d.Rows[2].Method = anyWay.ID, models.ResistanceDC }, []string{"rows[2].method: manner_mixed"}},
		// 14.1 milliohm typed in ohm; 70 S is 14.286 milliohm; 2 milliohm is nothing this block can show in any unit.
		{"ohm for milliohm", func(d *stock.Delivery) { d.Rows[1].Resistance = "0.0141" }, []string{"rows[1].resistance: resistance_unit_offered"}},
		{"siemens for milliohm", func(d *stock.Delivery) { d.Rows[1].Resistance = "70" }, []string{"rows[1].resistance: resistance_unit_offered"}},
		{"beyond the window", func(d *stock.Delivery) { d.Rows[1].Resistance = "2.0" }, []string{"rows[1].resistance: resistance_outside_window"}},
		{"beyond the window and read again", func(d *stock.Delivery) { d.Rows[1].Resistance, d.Rows[1].AsTyped = "2.0", true }, nil},
		{"in the unit it is in", func(d *stock.Delivery) { d.Rows[1].Resistance, d.Rows[1].ResistanceUnit = "0.0141", "ohm" }, nil},
		{"a unit of length", func(d *stock.Delivery) { d.Rows[1].ResistanceUnit = "mm" }, []string{"rows[1].resistance_unit: unit_not_accepted"}},
		{"a gauge nobody has", func(d *stock.Delivery) { d.Gauges.Voltage = "V-9" }, []string{"gauges.voltage: unknown_instrument"}},
		{"no gauge", func(d *stock.Delivery) { d.Gauges.Resistance = "" }, []string{"gauges.resistance: instrument_missing"}},
		{"three rows alike", func(d *stock.Delivery) {
			for i := range 3 {
				d.Rows[i].Voltage, d.Rows[i].Resistance = "12.881", "14.12"
			}
		}, []string{"rows[0]: rows_alike", "rows[1]: rows_alike", "rows[2]: rows_alike"}},
		{"two rows alike", func(d *stock.Delivery) {
			for i := range 2 {
				d.Rows[i].Voltage, d.Rows[i].Resistance = "12.881", "14.12"
			}
		}, nil},
		{"three alike, read again", func(d *stock.Delivery) {
			for i := range 3 {
				d.Rows[i].Voltage, d.Rows[i].Resistance, d.Rows[i].AsTyped = "12.881", "14.12", true
			}
		}, nil},
		{"a date code of no week", func(d *stock.Delivery) { d.Rows[1].DateCode = "3160" }, []string{"rows[1].date_code: date_code_impossible"}},
		// The clock stands at 12 May 2031; week 30 begins on 21 July.
		{"a date code to come", func(d *stock.Delivery) { d.Rows[1].DateCode = "3130" }, []string{"rows[1].date_code: date_code_future"}},
		{"several at once", func(d *stock.Delivery) { d.Rows[0].Number, d.Rows[1].Voltage, d.Rows[2].Temperature = "", "x", "77" },
			[]string{"rows[0].number: number_or_count", "rows[1].voltage: not_a_number", "rows[2].temperature_c: temperature_like_fahrenheit"}},
	}
	for n, row := range rows {
		t.Run(row.name, func(t *testing.T) {
			d := b.delivery(4)
			for i := range d.Rows {
				d.Rows[i].Number += fmt.Sprintf("-%d", n)
			}
			row.change(&d)
			_, err := b.TakeIn(t.Context(), b.Operator, d)
			worktest.WantProblems(t, err, row.want...)
		})
	}
}

// A number that fits the window of 6 to 30 milliohm in no unit but another is
// offered in that one, whatever unit it was typed with; sent in the unit that was
// offered it is taken, and as it was typed it is judged. Nothing is converted.
func TestAnOfferedUnitIsTold(t *testing.T) {
	h := worktest.New(t)
	b := setUp(h, blockModel())
	for i, row := range []struct{ typed, unit, told, offered, value, sent string }{
		{"0.0142", "", "0.0142 mΩ", "Ω", "14.2", "ohm"},
		{"14200", "mohm", "14200 mΩ", "µΩ", "14.2", "uohm"},
		{"70", "mohm", "70 mΩ", "S", "14.286", "S"},
		{"14.2", "ohm", "14.2 Ω", "mΩ", "14.2", "mohm"},
		{"14.2", "uohm", "14.2 µΩ", "mΩ", "14.2", "mohm"},
		{"14.2", "S", "14.2 S", "mΩ", "14.2", "mohm"},
		{"70", "ohm", "70 Ω", "S", "14.286", "S"},
	} {
		d := b.delivery(1)
		d.Rows[0].Number, d.Rows[0].Resistance, d.Rows[0].ResistanceUnit = fmt.Sprint("U-", i), row.typed, row.unit
		_, err := b.TakeIn(t.Context(), b.Operator, d)
		var invalid *models.InvalidError
		if !errors.As(err, &invalid) || invalid.Problems[0].Code != "resistance_unit_offered" {
			t.Errorf("%s %s: %v, want another unit offered", row.typed, row.unit, err)
			continue
		}
		if got := invalid.Problems[0].Values; got["typed"] != row.told || got["units"] != row.offered || got["value"] != row.value || got["low"] != "6" || got["high"] != "30" {
			t.Errorf("%s %s: told %v, want %s read as %s: %s", row.typed, row.unit, got, row.told, row.offered, row.value)
		}
		d.Rows[0].ResistanceUnit = row.sent
		b.mustTakeIn(d)
	}
	d := b.delivery(1)
	d.Rows[0].Resistance, d.Rows[0].AsTyped = "0.0141", true
	if v := b.mustTakeIn(d)[0].Inspection.Verdict; v != models.VerdictFail {
		t.Errorf("0.0141 milliohm as typed is judged %s", v)
	}
}

// Blocks by their age: 365 days pass, 366 do not, above 180 it is said. The clock
// stands at 12 May 2031, and the first day of its month counts.
func TestOldBlocksAreSetAside(t *testing.T) {
	form := blockModel()
	form.DateCode = models.DateISO
	h := worktest.New(t)
	b := setUp(h, form)
	d := b.delivery(4)
	d.Lot = ""
	for i, code := range []string{"2030-05-12", "2030-05-11", "2030-11-12", "2030-11-13"} {
		d.Rows[i].DateCode = code
	}
	remarks := []string{"block_getting_old", "too_old_by_date_code", "block_getting_old", ""}
	for i, row := range b.mustTakeIn(d) {
		if (row.SetAside != nil) != (i == 1) {
			t.Errorf("%s: set aside %v", row.MadeOn, row.SetAside)
		}
		got := ""
		if len(row.Remarks) > 0 {
			got = row.Remarks[len(row.Remarks)-1].Code
		}
		if got != remarks[i] {
			t.Errorf("%s: said %q, want %q", row.MadeOn, got, remarks[i])
		}
	}
	for i, row := range b.mustTakeIn(d) {
		decided, err := h.Store.Dispositions(t.Context(), row.Blocks[0].ID)
		h.Must(err)
		if want := map[bool]int{true: 1}[i == 1]; len(decided) != want {
			t.Errorf("%s: %d decisions after the list was sent twice, want %d", row.MadeOn, len(decided), want)
		}
	}
}

// A date code that nobody can read is not dropped in silence: the model has to say
// how its maker writes it, or the code stays away.
func TestADateCodeOfAModelThatReadsNone(t *testing.T) {
	h := worktest.New(t)
	form := blockModel()
	form.DateCode = ""
	b := setUp(h, form)
	d := b.delivery(2)
	d.DateCode = "3112"
	_, err := b.TakeIn(t.Context(), b.Operator, d)
	worktest.WantProblems(t, err, "date_code: date_code_unread")
	d.DateCode = ""
	b.mustTakeIn(d)
}
