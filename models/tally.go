package models

import (
	"slices"
	"time"
)

// A tally is a count that follows from records: one of a shop-day, family and
// whatever else stands in its key. Nothing is decided by tallies and no digest
// covers them; whoever sums the records up again finds the same.

// Tally counts the first sets of one day: the first standing inspection of an
// item at its judging stage. What came of an item later is counted on the day of
// its first set.
type Tally struct {
	FamilyID  string
	Day       string // of the shop, YYYY-MM-DD
	Stage     string // after_relief, final, incoming
	ProductID string // empty: an item of the family alone
	Place     string
	PersonID  string
	Inspected int // first sets in all; those that neither passed nor failed are the rest
	Passed    int
	Failed    int
	Finished  int // of the inspected: those that have passed since, at the first or a later round
	Rounds    int // that the finished took
	Minutes   int // at the stand, that the finished took
	Rework    int // of those minutes: what came after the first set
}

// What a DefectTally counts.
const (
	FromFirstSet      = "first_set"     // items whose first set failed, by defect
	FromResult        = "result"        // the same by the result that failed
	FromNonconformity = "nonconformity" // nonconformities opened
	FromClaim         = "claim"         // claims opened, but those that found no fault
)

// DefectTally counts what was found wrong. An item counts once for a code,
// however many of its results lead to it.
type DefectTally struct {
	FamilyID  string // empty: a claim on an item that the log does not know
	Day       string
	Source    string
	Code      string // a defect; of a result that leads to none, the result's; empty: a claim not yet coded
	Stage     string // of first sets
	ProductID string
	Place     string   // of first sets
	PersonID  string   // of first sets
	Severity  Severity // of a nonconformity; all others are as severe as their code
	Currency  string   // of a claim's cost, as it was written
	Items     int
	Rework    float64 // minutes after the first set, shared equally among an item's codes
	ReworkSq  float64 // sum of their squares
	Priced    int     // claims with a cost
	Amount    string  // sum of the costs, exact decimal text; empty for none
	AmountSq  float64 // sum of their squares
}

// LotTally counts first sets by a lot whose pieces were in the item then.
type LotTally struct {
	FamilyID  string
	Day       string
	Stage     string
	LotID     string
	ProductID string
	Passed    int
	Failed    int
}

// TallyQuery asks for tallies of days, both ends included.
type TallyQuery struct {
	Families  []string
	Unknown   bool // claims on items that the log does not know, too
	From, To  string
	ProductID string
	Place     string
}

// Tallied is the answer to a query. Waiting is how many days of a family are still
// to be summed up anew.
type Tallied struct {
	Sets    []Tally
	Defects []DefectTally
	Lots    []LotTally
	Waiting int
}

// FirstSetQuery asks for the first sets behind a count. An empty field asks for
// any.
type FirstSetQuery struct {
	Families  []string
	From, To  time.Time // To is not included
	ProductID string
	Place     string
	PersonID  string
	LotID     string
	Failed    bool   // only those that failed
	Code      string // only those that failed so: a defect, or a result that leads to none
	Limit     int
}

// FirstSet is one of them.
type FirstSet struct {
	InspectionID string
	ItemID       string
	Serial       string
	ProductID    string
	Place        string
	PersonID     string
	MeasuredAt   time.Time
	Verdict      string
	Failed       []FailedResult `gorm:"-"`
}

// FailedResult is a result that failed, with what it was held against.
type FailedResult struct{ Code, Value, Unit, Low, High string }

// JudgingStages are the stages whose first set speaks for the work: of wheels, of
// packs, of what comes in.
var JudgingStages = []string{AfterRelief, Final, Incoming}

// resultDefects leads from a result that failed to its defect. What the table
// lacks is named by its result.
var resultDefects = map[string]string{
	"lateral_tir": "W01", "lateral_h1": "W01", "lateral_h2": "W01", "lateral_h3": "W01",
	"radial_tir": "W02", "radial_h1": "W02", "radial_h2": "W02", "radial_h3": "W02",
	"dish_abs": "W03", "dish_offset": "W03", "tension_lowest": "W04", "side_ratio": "W07",
	"side_tension_dev_pct_a": "W06", "side_tension_dev_pct_b": "W06", "adjacent_diff_pct_a": "W06", "adjacent_diff_pct_b": "W06", "tension_cv_pct_a": "W06", "tension_cv_pct_b": "W06",
	"nipples_flush": "W11", "cable_sound": "W20", "axle_thread": "W19", "spins_freely": "W24",
	"ocv_lowest": "P01", "block_ocv25": "P01", "series_difference": "P01", "ocv_spread": "P02", "string_difference": "P02", "resistance_spread_pct": "P04", "block_r25": "P04",
	"polarity_checked": "P13", "insulated": "P07", "labelled": "P17",
}

// DefectOf is the defect that a failed result shows, and the result's own code
// where none does; below says that it lies under its lower limit. A mean tension
// shows another defect on each side.
func DefectOf(result string, below bool) string {
	switch result {
	case "tension_mean_tight", "tension_mean_loose":
		if below {
			return "W04"
		}
		return "W05"
	}
	if code, ok := resultDefects[result]; ok {
		return code
	}
	return result
}

// sidedResults show one defect below their limits and another above.
var sidedResults = []string{"tension_mean_loose", "tension_mean_tight"}

// ResultsOf lists the results that show a defect, as [DefectOf] leads to it; sided
// are those that show it on one side of their limits only, below for below.
func ResultsOf(defect string) (results, sided []string, below bool) {
	for result, code := range resultDefects {
		if code == defect {
			results = append(results, result)
		}
	}
	slices.Sort(results)
	if defect == DefectOf(sidedResults[0], true) || defect == DefectOf(sidedResults[0], false) {
		sided, below = sidedResults, defect == DefectOf(sidedResults[0], true)
	}
	if len(results) == 0 && len(sided) == 0 {
		results = []string{defect}
	}
	return results, sided, below
}
