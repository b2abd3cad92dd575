package models

import "time"

// What a reverse trace begins with.
const (
	CauseCalibration = "calibration" // a failed as-found
	CauseCheck       = "check"       // a failed short check
)

// GaugeTrace is the answer of one day to what an instrument that was found out
// of tolerance has measured, frozen. Content is JSON, byte for byte; ContentHash
// is its SHA-256.
type GaugeTrace struct {
	ID           string `gorm:"primaryKey"`
	InstrumentID string
	Cause        string // one of the causes
	CauseID      string // of the report or the reading
	N            int    // from 1 on for each cause: asked again, it is the next
	Content      string
	ContentHash  string
	MadeAt       time.Time
	MadeBy       string
	// ArrivedAt is when the last inspection came that had been measured before it: the
	// answer may lack it. Of one that nobody has looked at again it is MadeAt, for what came
	// while it was made; nil once it was found to lack nothing. It is no part of the record.
	ArrivedAt *time.Time
}

// What a reverse trace says of a reading set.
const (
	SetStaysGood   = "stays_good"     // it still passes with the error taken off
	SetNoLonger    = "no_longer"      // it passed, and does not with the error taken off
	SetNotKnown    = "not_known"      // the error at its values is not known
	SetFailed      = "failed_before"  // it did not pass then either: nothing rested on it
	SetUnlimited   = "no_limit"       // nothing of it was judged
	SetMeasuredNew = "measured_again" // a later set of the same stands for the item
	SetReplaced    = "replaced"       // by a correction
	SetPassesNow   = "passes_now"     // it failed, and passes with the error taken off
)

// TraceContent is what a reverse trace found.
type TraceContent struct {
	Instrument string        `json:"instrument"` // code
	Unit       string        `json:"unit"`
	Cause      string        `json:"cause"`
	At         time.Time     `json:"at"` // of the failed event
	Windows    []TraceWindow `json:"windows"`
	Errors     []TraceError  `json:"errors"` // as found, by rising reading
	Sets       []TraceSet    `json:"sets"`   // by moment
}

// TraceWindow is a stretch of time in which an instrument is suspect: after
// From, up to and including Until.
type TraceWindow struct {
	InstrumentID string     `json:"instrument_id"`
	Instrument   string     `json:"instrument"`      // code
	From         *time.Time `json:"from,omitempty"`  // nil: no good event is known
	Until        *time.Time `json:"until,omitempty"` // nil: not ended yet
	PassedOn     bool       `json:"passed_on,omitempty"`
}

// TraceError is what an instrument was found to read too much at a reading.
type TraceError struct {
	Reading string `json:"reading"`
	Error   string `json:"error"`
}

// TraceSet is one reading set of a window, judged anew.
type TraceSet struct {
	Inspection string        `json:"inspection"`
	Item       string        `json:"item"`
	Code       string        `json:"code"`
	Method     string        `json:"method"`
	Instrument string        `json:"instrument"` // code
	MeasuredAt time.Time     `json:"measured_at"`
	Effect     string        `json:"effect"`
	Reason     string        `json:"reason,omitempty"` // code, where the effect alone does not say why
	Where      string        `json:"where"`            // of the item when it was traced: RecallHere and its like
	Results    []TraceResult `json:"results,omitempty"`
}

// TraceResult is one result before and after the error was taken off.
type TraceResult struct {
	Code     string `json:"code"`
	Position string `json:"position,omitempty"`
	Unit     string `json:"unit"`
	Value    string `json:"value"`
	Verdict  string `json:"verdict"`
	Now      string `json:"now"`
	Then     string `json:"judged"` // verdict on Now
	Low      string `json:"low,omitempty"`
	High     string `json:"high,omitempty"`
}

// HoldGauge is the code of a hold raised because the gauge that an item was
// judged with was found out of tolerance; its reason is the code of the gauge.
const HoldGauge = "gauge_out"

// TakenSet is one reading set by the instrument and moment it was taken, and by
// the item that it is of.
type TakenSet struct {
	InspectionID string
	ItemID       string
	Code         string
	Method       string
	InstrumentID *string
	MeasuredAt   time.Time
	Replaced     bool
}

// Rejudged is an inspection judged again with corrected readings: its results,
// or why there are none.
type Rejudged struct {
	Results []Result
	Err     error
}
