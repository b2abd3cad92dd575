package models

import (
	"strings"
	"time"
)

// Lot is a received batch of one material.
type Lot struct {
	ID           string `gorm:"primaryKey"`
	Code         string // the shop's own, unique: SP-0214
	Material     string // spokes, nipples, rim, blocks, motors
	Description  string // "2.34 mm plain, 186 mm"
	Supplier     string
	SupplierCode string
	DateCode     string
	Quantity     int
	ReceivedAt   time.Time
	ReceivedBy   string
}

// CodeOf is a lot's code, and that of an instrument.
func CodeOf[T Lot | Instrument](x T) string {
	switch x := any(x).(type) {
	case Lot:
		return x.Code
	case Instrument:
		return x.Code
	}
	return ""
}

// CodedAs is the one of a list that has a code, or, where none has just that, the one
// that alone has it but for capitals.
func CodedAs[T Lot | Instrument](list []T, code string) (found T, ok bool) {
	for _, x := range list {
		if CodeOf(x) == code {
			return x, true
		}
	}
	alike := 0
	for _, x := range list {
		if strings.EqualFold(CodeOf(x), code) {
			found, alike = x, alike+1
		}
	}
	return found, alike == 1
}

// EarliestYear is before anything that the log holds was made or came in: a day
// before it is a slip of the hand.
const EarliestYear = 1970

// Instrument is a gauge. Range and resolution are decimal text in Unit; the
// typed uncertainty is expanded, about 95 %. Dates are days of the shop's zone, as
// YYYY-MM-DD text.
type Instrument struct {
	ID                string `gorm:"primaryKey"`
	Code              string // L-14
	Kind              string // dial, tension_gauge, dish_gauge, voltmeter, resistance_meter, thermometer
	Name              string
	Place             string
	Unit              string
	RangeLow          string
	RangeHigh         string
	Resolution        string
	Uncertainty       string
	CalibratedOn      string
	DueOn             string
	CertificateNumber string
	State             string // in_use, out, retired
	OutNote           string // of the owner: why readings are judged although it is out
	CreatedAt         time.Time
	CreatedBy         string
	// ChangedAt is when something was last said of it, or of any gauge's past by a reverse
	// trace: readings from after that are judged by the instrument as it stands here.
	ChangedAt time.Time
}

// States of an instrument that are set by a person; due and overdue follow
// from the date.
const (
	InstrumentInUse   = "in_use"
	InstrumentOut     = "out"
	InstrumentRetired = "retired"
)

// InstrumentReference is the kind of an instrument that others are held against:
// a set of weights, a shunt, a reference wheel. No characteristic is read with it.
const InstrumentReference = "reference"

// OverdueOn says whether the instrument's next calibration lies before day
// (YYYY-MM-DD); the due day itself is still in date.
func (i Instrument) OverdueOn(day string) bool { return i.DueOn != "" && i.DueOn < day }

// LotKey is a lot's place in the list of lots, last received first.
type LotKey struct {
	ReceivedAt time.Time
	Code       string
}
