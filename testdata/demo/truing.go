package demo

import (
	"tracewright/models"
	"tracewright/models/trade/wheel"
)

// sectionOf is the assumed section of each size of rim.
var sectionOf = map[string]string{"16": "16_wide", "20": "20_double", "24": "24_double", "26": "26_double", "28": "28_deep"}

// withoutTurnList is the one product whose turn list nobody has set up yet, so
// that the page that says what is missing can be seen.
const withoutTurnList = "Plover 16 folding"

// forTurnList is what the turn list needs of a product.
func forTurnList(w wheelLine) *models.WheelTruing {
	row, known := wheel.SectionCoded(sectionOf[w.size])
	if !known || w.name == withoutTurnList {
		return nil
	}
	t := &models.WheelTruing{Section: row.Code, EA: row.EA, InPlaneEI: row.InPlaneEI, LateralEI: row.LateralEI, GJ: row.GJ, GaugeOutset: "6", ThreadPitch: "0.454", SmallestTurn: "0.125"}
	if w.spoke == "2.3/2.0 mm butted" {
		t.EndsLength, t.MiddleDiameter = "60", "2.0"
	}
	return t
}
