package web

import (
	"testing"

	"tracewright/models"
	"tracewright/models/words"
)

// A set says of its gauge what held when it was read: overdue as it was flagged then, and
// the day when it is due only where no calibration was made since.
func TestASetNamesTheCalibrationOfItsReading(t *testing.T) {
	s := sampleSite()
	overdue := []models.Remark{models.NewRemark("instrument_overdue", "instrument", "L-14", "due", "2027-05-01")}
	for _, c := range []struct {
		name            string
		calibrated, due string
		remarks         []models.Remark
		want            string // the day that is named
	}{
		{"in date", "2027-05-20", "2028-05-20", nil, "2028-05-20"},
		{"nobody knows when it was calibrated", "", "2028-05-20", nil, "2028-05-20"},
		{"nobody knows when it is due", "2027-05-20", "", nil, ""},
		{"calibrated since", "2027-06-02", "2028-06-02", nil, ""},
		{"overdue, and calibrated since", "2027-06-02", "2028-06-02", overdue, "2027-05-01"},
		{"overdue still", "2026-05-01", "2027-05-01", overdue, "2027-05-01"},
	} {
		in := models.InspectionView{Instruments: []models.Instrument{{ID: "g", Code: "L-14", CalibratedOn: c.calibrated, DueOn: c.due}},
			Inspection: models.Inspection{MeasuredAt: sampleNow}, Sets: []models.ReadingSet{{Code: "lateral_runout", InstrumentID: text("g"), Remarks: c.remarks}}}
		l := s.setLines(in, &InspectionSheet{})[0]
		if l.Due != words.Date(c.want) || l.Overdue != (c.remarks != nil) {
			t.Errorf("%s: due %q, overdue %v; want %q", c.name, l.Due, l.Overdue, words.Date(c.want))
		}
	}
}
