package models

import "time"

// UsualChartAlarms is how many false alarms a month all watched charts together
// may give where the shop says nothing.
const UsualChartAlarms = 1

// A budget from one false alarm in 20 months to three a day is no slip of a finger.
const (
	FewestChartAlarms = 0.05
	MostChartAlarms   = 100
)

// ChartBaseline is the stretch of a chart that somebody chose for its limits, with
// the limits frozen as they came out. It never changes; the next one that is
// chosen begins another phase.
type ChartBaseline struct {
	ID              string `gorm:"primaryKey"` // UUIDv7: sorts by the moment
	FamilyID        string
	ProductID       *string
	Place           string
	Result          string
	SpecificationID string // in force when it was chosen
	FirstInspection string // the first and the last point that it was found from
	LastInspection  string
	HoldsFrom       time.Time        // points from here on are judged by it
	Limits          string           // spc.Limits as JSON, frozen
	Excluded        []ChartExclusion `gorm:"serializer:json"`
	Note            string
	MadeBy          string
	MadeAt          time.Time
}

// ChartExclusion is a point without a part in a baseline, and why.
type ChartExclusion struct {
	InspectionID string `json:"inspection"`
	Reason       string `json:"reason"`
}

// Key is the chart that the baseline belongs to.
func (b ChartBaseline) Key() ChartKey {
	return ChartKey{FamilyID: b.FamilyID, ProductID: textOr(b.ProductID), Place: b.Place, Result: b.Result}
}

// SignalCause is what somebody found behind a signal of a chart. A later one about
// the same signal corrects it, and both stay.
type SignalCause struct {
	ID           string `gorm:"primaryKey"` // UUIDv7
	FamilyID     string
	ProductID    *string
	Place        string
	Result       string
	Rule         string // of the signal
	Side         string
	InspectionID string // of the point at which it was raised
	Code         string // one of SignalCauseCodes
	Note         string
	Action       string // what was done
	MadeBy       string
	MadeAt       time.Time
}

// Key is the chart whose signal it explains.
func (c SignalCause) Key() ChartKey {
	return ChartKey{FamilyID: c.FamilyID, ProductID: textOr(c.ProductID), Place: c.Place, Result: c.Result}
}

// SignalCauseCodes are what can be behind a signal. Words stand in the catalogue.
// Our own list, in the order of looking: is the figure true, is the stand, is the
// material, is the way of working.
var SignalCauseCodes = []string{"misread", "gauge", "stand", "tool", "material", "method", "person", "surroundings", "wanted", CauseNotFound, CauseOther}

// Two causes that say little by themselves.
const (
	CauseNotFound = "not_found" // looked for, and nothing found
	CauseOther    = "other"     // asks for a note
)

// ChartEvent is something that happened and that a chart is to show at its moment:
// a roller replaced, a heater switched on.
type ChartEvent struct {
	ID       string  `gorm:"primaryKey"` // UUIDv7
	FamilyID *string // nil: every family
	Place    string  // empty: every place
	At       time.Time
	Words    string
	MadeBy   string
	MadeAt   time.Time
}

// Happening is what a chart shows at a moment: an event that was added, or
// something that is recorded already.
type Happening struct {
	At     time.Time
	Kind   string // one of the Happened codes
	Place  string
	Name   string // of a gauge its code, of a specification its revision, of an action its number
	Detail string // words of an event, verdict of a calibration: good, found_out, out
	Person string // id, or the words of a calibration
}

// What a chart shows beside its points.
const (
	HappenedEvent         = "event"
	HappenedSpecification = "specification"
	HappenedCalibration   = "calibration"
	HappenedBaseline      = "baseline"
	HappenedAction        = "corrective_action"
)

// ChartVolume is how many items were first measured at a place.
type ChartVolume struct {
	FamilyID string
	Place    string
	Items    int
}

func textOr(p *string) string {
	if p == nil {
		return ""
	}
	return *p
}
