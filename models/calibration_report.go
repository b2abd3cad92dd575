package models

import "time"

// CalibrationPoint is one point of a calibration: what was there by the
// standard, and what the instrument read of it before and after any adjustment.
// Decimal text in the unit of the instrument.
type CalibrationPoint struct {
	Reference string `json:"reference"`
	AsFound   string `json:"as_found"`
	AsLeft    string `json:"as_left"`
	Tolerance string `json:"tolerance"`   // the largest error allowed, either way
	U         string `json:"u,omitempty"` // of the calibration at this point, expanded
}

// CalibrationReport is what a calibration found: the points, as found and as
// left, and by what. It belongs to the calibration N of its instrument. Both
// sides are kept where nothing was adjusted: then they are the same.
type CalibrationReport struct {
	ID           string `gorm:"primaryKey"`
	InstrumentID string
	N            int
	MadeAt       time.Time
	MadeBy       string             // who calibrated: a person, a laboratory
	Points       []CalibrationPoint `gorm:"serializer:json"` // by rising reference
	Adjusted     bool
	AsFoundGood  bool
	AsLeftGood   bool
	StandardID   *string // of the register
	Standard     string  // one that is not, in words
	Note         string
	EnteredAt    time.Time
	EnteredBy    string
}

// What a short check looks at.
const (
	CheckZero        = "zero"
	CheckWheel       = "reference_wheel"
	CheckShunt       = "shunt"
	CheckWeight      = "check_weight"
	CheckOfOtherKind = "other"
)

// GaugeCheckKinds are what a short check may look at, in the order of a form.
var GaugeCheckKinds = []string{CheckZero, CheckWheel, CheckShunt, CheckWeight, CheckOfOtherKind}

// GaugeCheck is a short check between calibrations, done at the start of a
// shift: one value that is known, and the limits of what the instrument may read
// of it. It never changes: another one follows it, and it ends.
type GaugeCheck struct {
	ID           string `gorm:"primaryKey"`
	InstrumentID string
	What         string  // one of GaugeCheckKinds
	Piece        string  // which wheel, shunt or weight, as it is marked
	StandardID   *string // the piece, where it stands in the register
	Reference    string  // decimal text in the unit of the instrument
	Low          string
	High         string
	AddedAt      time.Time
	AddedBy      string
	EndedAt      *time.Time
	EndedBy      *string
}

// GaugeReading is one short check as it was done, judged by the limits of its
// check.
type GaugeReading struct {
	ID           string `gorm:"primaryKey"` // made by whoever enters it, so that entering twice is harmless
	CheckID      string
	InstrumentID string
	Value        string
	ValueF       float64
	Good         bool
	Place        string
	ReadAt       time.Time
	ReadBy       string
}

// Comparison says that an instrument was held against another one of the
// register, by a calibration or a short check.
type Comparison struct {
	Checked, Used string // keys of instruments
	At            time.Time
}
