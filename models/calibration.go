package models

import "time"

// Calibration is one calibration of an instrument as it was entered, N from 1
// on. The instrument itself carries the newest; its entries of the trail vouch
// for all of them.
type Calibration struct {
	InstrumentID      string `gorm:"primaryKey"`
	N                 int    `gorm:"primaryKey;autoIncrement:false"`
	CalibratedOn      string
	DueOn             string
	CertificateNumber string
	EnteredAt         time.Time
	EnteredBy         string
}

// CalibrationInForce finds the one that held when readings were taken, at a
// moment on a day of the shop: of those not made later, the last that was
// entered by then, or after it and made on an earlier day. It is nil where none
// is known.
func CalibrationInForce(oldestFirst []Calibration, at time.Time, day string) *Calibration {
	var found *Calibration
	for i := range oldestFirst {
		c := &oldestFirst[i]
		if c.CalibratedOn > day {
			continue
		}
		if !c.EnteredAt.After(at) || c.CalibratedOn != "" && c.CalibratedOn < day {
			found = c
		}
	}
	return found
}
