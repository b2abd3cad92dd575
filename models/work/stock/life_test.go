package stock_test

import (
	"testing"
	"time"

	"tracewright/models"
	"tracewright/models/work/stock"
	"tracewright/models/work/worktest"
)

// Readings of blocks lie in their lives: the lot came in on 12 May 2031 and its
// blocks were made in week 12, which began on 17 March. Nothing is stored of a list
// whose clock cannot be right.
func TestReadingsOfBlocksLieInTheirLives(t *testing.T) {
	for _, row := range []struct {
		name     string
		change   func(b *bench, d *stock.Delivery)
		problems []string
	}{
		{"as it should be", func(*bench, *stock.Delivery) {}, nil},
		{"this morning", func(b *bench, d *stock.Delivery) { d.MeasuredAt = b.Now.Add(-11 * time.Hour) }, nil},
		{"the day before the lot came in", func(b *bench, d *stock.Delivery) { d.MeasuredAt = b.Now.AddDate(0, 0, -1) }, []string{"measured_at: before_item"}},
		{"before they were made, of no lot", func(b *bench, d *stock.Delivery) {
			d.Lot, d.DateCode, d.MeasuredAt = "", "3112", time.Date(2031, 3, 16, 12, 0, 0, 0, time.UTC)
		}, []string{"measured_at: before_item"}},
		{"after it, of no lot", func(b *bench, d *stock.Delivery) {
			d.Lot, d.DateCode, d.MeasuredAt, d.Conditions.RestHours = "", "3112", time.Date(2031, 3, 18, 12, 0, 0, 0, time.UTC), "24"
		}, nil},
		{"in 1990", func(b *bench, d *stock.Delivery) {
			d.Lot, d.MeasuredAt = "", time.Date(1990, 5, 12, 12, 0, 0, 0, time.UTC)
		}, []string{"measured_at: clock_far_off"}},
		{"by a clock in 1990", func(b *bench, d *stock.Delivery) {
			d.MeasuredAt = time.Date(1990, 5, 12, 12, 0, 0, 0, time.UTC)
			d.SentAt = d.MeasuredAt.Add(time.Minute)
		}, []string{"measured_at: clock_far_off"}},
		// Of 12 May at noon, 17 March is 56.5 days ago: 1356 hours.
		{"rested since they were made", func(b *bench, d *stock.Delivery) { d.MeasuredAt, d.Conditions.RestHours = b.Now, "1356" }, nil},
		{"rested longer", func(b *bench, d *stock.Delivery) { d.MeasuredAt, d.Conditions.RestHours = b.Now, "1357" }, []string{"rest_hours: rest_outlives"}},
	} {
		t.Run(row.name, func(t *testing.T) {
			worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
				b := setUp(h, blockModel())
				d := b.delivery(2)
				row.change(b, &d)
				_, err := b.TakeIn(t.Context(), b.Operator, d)
				worktest.WantProblems(t, err, row.problems...)
				v, err := b.Stock(t.Context(), b.model.ID, "")
				h.Must(err)
				if want := 2; len(row.problems) > 0 && len(v.Blocks) != 0 || len(row.problems) == 0 && len(v.Blocks) != want {
					t.Errorf("%d blocks are in stock", len(v.Blocks))
				}
			})
		})
	}
}

// A block that is here is measured after it came in, and one reading of it, sent
// alone, is held to the same; a pack has not rested longer than its newest block
// is old.
func TestASingleReadingLiesInTheLifeOfItsBlock(t *testing.T) {
	worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
		b := setUp(h, blockModel())
		b.mustTakeIn(b.delivery(4))
		h.Now = h.Now.AddDate(0, 0, 10)
		again := b.delivery(1)
		again.Stage, again.MeasuredAt, again.Lot = models.SecondReading, h.Now.AddDate(0, 0, -11), ""
		_, err := b.TakeIn(t.Context(), b.Operator, again)
		worktest.WantProblems(t, err, "measured_at: before_item")
		one := models.Submission{ID: models.NewID(), Part: models.PartName{Number: "H00001"}, Stage: models.SecondReading, StartedAt: h.Now.AddDate(0, 0, -11), FinishedAt: h.Now.AddDate(0, 0, -11),
			Conditions: models.Conditions{RestHours: "72"}, Sets: []models.SentSet{
				{Characteristic: "block_voltage", Method: models.Whole, Instrument: "V-1", Unit: "V", Values: []string{"12.88"}},
				{Characteristic: "block_temperature", Method: models.Whole, Instrument: "H-1", Unit: "degC", Values: []string{"23"}}}}
		_, err = h.Record(one)
		worktest.WantProblems(t, err, "finished_at: before_item")
		one.StartedAt, one.FinishedAt, one.Conditions.RestHours = h.Now, h.Now, "99999"
		_, err = h.Record(one)
		worktest.WantProblems(t, err, "conditions.rest_hours: too_big")
		one.Conditions.RestHours = "2000"
		_, err = h.Record(one)
		worktest.WantProblems(t, err, "conditions.rest_hours: rest_outlives")
		pack := h.Pack()
		pack.Conditions.RestHours = "2000"
		pack.Parts = []models.SentPart{{Role: "block", Place: "1.1", Number: "H00001"}}
		_, err = h.Record(pack)
		worktest.WantProblems(t, err, "conditions.rest_hours: rest_outlives")
	})
}
