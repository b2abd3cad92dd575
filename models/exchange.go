package models

import "time"

// Placement is what an inspection of one item is judged by: the item, what it
// is an instance of, and the specification in force.
type Placement struct {
	Item          Item
	Family        Family
	Product       *Product // nil for a one-off item
	Form          ProductRevision
	Specification Specification
	// Charges are those of a pack or block and of the parts in it, newest first.
	Charges     []ChargeView
	Instruments []Instrument // those asked for that there are
}

// NewInspection is everything that one inspection writes, in one transaction.
// The store sets the derived fields (Round, FirstSet) itself.
type NewInspection struct {
	Inspection Inspection
	Sets       []ReadingSet
	Results    []Result
	Parts      []FittedPart         // named at the stand
	Removals   []PartRemoval        // of parts that a moved inspection takes along: never in the item it is taken from
	NewItem    *Item                // made by this inspection: first scan of a printed serial
	Hold       *Hold                // raised by a failing recheck
	Passed     *NonconformityPassed // what it ends: the item passes again after a rework or a repair
	// Traced are the reverse traces of gauges that were made since it was measured, of
	// failures since.
	Traced []string
	// StateBefore is the item's state the verdict was reached under; the store
	// refuses with ErrStale when it has changed meanwhile. StateAfter is what
	// the inspection makes of it.
	StateBefore string
	StateAfter  string
}

// InspectionView is one inspection with its parts, as pages and reports read it.
type InspectionView struct {
	Inspection    Inspection
	Sets          []ReadingSet
	Results       []Result
	Person        string // name
	Instruments   []Instrument
	Specification Specification
}

// SeriesQuery asks for the values of one result over time.
type SeriesQuery struct {
	FamilyID  string
	ProductID string // empty: all
	Place     string // empty: all
	Result    string // code
	FirstSets bool   // only the first standing after-relief set of each item
	// FirstRounds: only the first standing set of each item at the stage that
	// judges it first, of kinds that have no first set.
	FirstRounds bool
	Oldest      bool // the oldest so many instead of the newest
	Ticks       bool // answers yes and no instead of numbers: 1 is no
	Lots        bool // with the code of the lot that each block came in, and no others
	From, To    time.Time
	Limit       int // newest so many, oldest first; 0 is 10 000
}

// SeriesPoint is one value of a series.
type SeriesPoint struct {
	InspectionID string
	ItemID       string
	Serial       string
	MeasuredAt   time.Time
	Value        string
	ValueF       float64
	PersonID     string
	Place        string
	ProductID    string
	Lot          string // code, where lots were asked for
}

// RecentInspection is a line of a list of inspections.
type RecentInspection struct {
	InspectionID string
	ItemID       string
	Serial       string
	Kind         string
	Product      string
	Stage        string
	Verdict      string
	Person       string
	Place        string
	MeasuredAt   time.Time
	ReceivedAt   time.Time
}

// DayCount is how many inspections a day brought, by kind of item and verdict.
type DayCount struct {
	Kind    string
	Stage   string
	Verdict string
	Count   int
}
