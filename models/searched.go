package models

import "time"

// SearchQuery says which inspections of a family are searched for differences:
// those that stand, measured from a moment on, the newest if there are too many.
type SearchQuery struct {
	FamilyID string
	From     time.Time
	Results  []string // codes
	Limit    int      // of inspections
	Bare     bool     // without gauges and lots
}

// Searched is what a search for differences knows of a family, oldest inspection
// first.
type Searched struct {
	Inspections []SearchedInspection
	Values      map[string][]SearchedValue // by key of the inspection
	Gauges      map[string][]SearchedGauge // by key of the inspection
	Lots        map[string][]SearchedLot   // by key of the item
}

// SearchedInspection is one of them.
type SearchedInspection struct {
	ID, ItemID, Serial, ProductID, Stage, PersonID, Place string
	MeasuredAt                                            time.Time
	Round                                                 int
	FirstSet                                              bool
}

// SearchedValue is a result; Position is empty for one of the whole item.
type SearchedValue struct {
	Code, Position string
	Value          float64
}

// SearchedGauge is what a characteristic was read with.
type SearchedGauge struct{ Characteristic, Instrument string }

// SearchedLot is a lot that went into an item, or that a block came with.
type SearchedLot struct{ Material, Code string }
