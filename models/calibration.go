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
	Reported          bool // entered with what it found; otherwise its days were noted on the instrument
	EnteredAt         time.Time
	EnteredBy         string
}

// Follows says whether a calibration, entered after one of a known day, is the newest
// from then on. One that was entered with what it found is, unless it was made on an
// earlier day: it may be entered late. Days that are noted on the instrument say which
// is the newest, whatever was said before: so a slip is put right.
func (c Calibration) Follows(known string) bool { return !c.Reported || c.CalibratedOn >= known }

// CalibrationInForce finds the one that held when readings were taken, at a
// moment on a day of the shop: the newest of those not made later, which were
// entered by then, or after it and made on an earlier day. It is nil where none
// is known.
func CalibrationInForce(oldestFirst []Calibration, at time.Time, day string) *Calibration {
	var found *Calibration
	for i := range oldestFirst {
		c := &oldestFirst[i]
		if c.CalibratedOn > day {
			continue
		}
		if c.EnteredAt.After(at) && (c.CalibratedOn == "" || c.CalibratedOn == day) {
			continue
		}
		if found == nil || c.Follows(found.CalibratedOn) {
			found = c
		}
	}
	return found
}

// CalibratedAt is an instrument with the calibration that held for readings taken at a
// moment on a day of the shop: one made since says nothing about them, and what is not
// known of that time is left empty. known may hold those of other instruments too.
func (i Instrument) CalibratedAt(known []Calibration, at time.Time, day string) Instrument {
	own := make([]Calibration, 0, len(known))
	for _, c := range known {
		if c.InstrumentID == i.ID {
			own = append(own, c)
		}
	}
	held := Calibration{}
	if found := CalibrationInForce(own, at, day); found != nil {
		held = *found
	}
	i.CalibratedOn, i.DueOn, i.CertificateNumber = held.CalibratedOn, held.DueOn, held.CertificateNumber
	return i
}
