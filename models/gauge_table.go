package models

import (
	"strings"
	"time"
)

// GaugeTable turns the divisions of one tension gauge on one type of spoke into
// newtons, N from 1 on for each gauge and spoke: each is in force until the next,
// and stays. The same division stands for quite different tensions on wires
// of 2.0 and 2.6 mm, so that a table is never shared.
type GaugeTable struct {
	InstrumentID string       `gorm:"primaryKey"`
	SpokeType    string       `gorm:"primaryKey"` // as the product's form names it
	N            int          `gorm:"primaryKey;autoIncrement:false"`
	Points       []GaugePoint `gorm:"serializer:json"` // by rising reading
	Reason       string       // where it comes from: the maker's sheet, a test of the shop's own
	EnteredAt    time.Time
	EnteredBy    string
}

// GaugePoint is one point of a table: divisions shown, newtons pulled, decimal
// text.
type GaugePoint struct {
	Reading string `json:"reading"`
	Tension string `json:"tension"`
}

// TrailName implements Recorded.
func (t GaugeTable) TrailName() (string, string, int) { return "gauge_table", t.InstrumentID, 1 }

// Canonical implements Recorded.
func (t GaugeTable) Canonical() map[string]any {
	points := make([]any, len(t.Points))
	for i, p := range t.Points {
		points[i] = fields{"reading": p.Reading, "tension": p.Tension}
	}
	return fields{"instrument": t.InstrumentID, "spoke_type": t.SpokeType, "n": t.N, "points": points, "reason": t.Reason,
		"entered_at": TimeText(t.EnteredAt), "entered_by": t.EnteredBy}
}

// SpokeType brings the name of a type of spoke to the form in which a table and
// a product's form are compared: without spaces around it, one between words.
func SpokeType(typed string) string { return strings.Join(strings.Fields(typed), " ") }

// GaugeTableFor finds the table of an instrument for a type of spoke by which a reading of
// some moment is taken: the newest that was entered by then. Before the first was entered
// it is that one; nil where there is none.
func GaugeTableFor(newestFirst []GaugeTable, instrumentID, spokeType string, at time.Time) (found *GaugeTable) {
	wanted := SpokeType(spokeType)
	for i := range newestFirst {
		t := &newestFirst[i]
		if t.InstrumentID != instrumentID || !strings.EqualFold(t.SpokeType, wanted) {
			continue
		}
		if found = t; !t.EnteredAt.After(at) {
			break
		}
	}
	return found
}
