package web

import (
	"testing"
	"time"

	"tracewright/models"
	"tracewright/models/work/trace"
)

// A wheel of a printed roll is entered when its readings arrive, which may be long
// after they were taken: it is still made before it is inspected.
func TestNothingIsInspectedBeforeItWasMade(t *testing.T) {
	came := time.Date(2031, 5, 12, 9, 0, 0, 0, time.UTC)
	early := came.Add(-20 * time.Hour)
	for _, c := range []struct {
		name, origin string
		measured     []time.Time
		want         time.Time
	}{
		{"read before it came", "roll", []time.Time{came.Add(-time.Minute), early}, early},
		{"read at once", "roll", []time.Time{came}, came},
		{"read later", "roll", []time.Time{came.AddDate(0, 0, 3)}, came},
		{"never read", "roll", nil, came},
		{"entered by hand afterwards", "made", []time.Time{early}, came},
	} {
		v := trace.ItemView{Item: models.Item{Kind: models.KindWheel, Origin: c.origin, CreatedAt: came}}
		for _, at := range c.measured {
			v.Inspections = append(v.Inspections, models.InspectionView{Inspection: models.Inspection{MeasuredAt: at}})
		}
		if got := madeAt(v); !got.Equal(c.want) {
			t.Errorf("%s: made %s, want %s", c.name, got, c.want)
		}
	}
}
