package models

import (
	"slices"
	"time"
)

// Nonconformity is work that a person closed as nonconforming, or an item on hold
// about which something is to be decided. The record itself never changes; what
// becomes of it are its steps. An item has at most one that is open.
type Nonconformity struct {
	ID           string `gorm:"primaryKey"`
	Number       string // NC, two-digit year, hyphen, five digits counted per year
	ItemID       string
	InspectionID *string // the newest that judged the item then; nil for none
	Code         string  // a defect
	Severity     Severity
	Note         string
	Failed       []string `gorm:"serializer:json"` // characteristics that failed in that inspection
	Holds        []string `gorm:"serializer:json"` // holds that it stands on
	OpenedBy     string
	OpenedAt     time.Time
	State        string // derived: that of its item while it is open, then closed
}

// NonconformityClosed is the state of one about which nothing is left to do.
const NonconformityClosed = "closed"

// NonconformityNoted is a step that says something and decides nothing. All other
// steps are events of package flow.
const NonconformityNoted = "noted"

// NonconformityStep is what was decided or done about a nonconformity; none is
// ever changed. Each kind fills its own fields.
type NonconformityStep struct {
	ID              string `gorm:"primaryKey"` // UUIDv7: sorts by the moment
	NonconformityID string
	What            string
	InspectionID    *string  // use as it is: the inspection that is conceded; passed: the one that passed
	Results         []string `gorm:"serializer:json"` // use as it is: what may fail in it
	Work            string   // rework, repair: what is done, see kinds.Work
	Again           []string `gorm:"serializer:json"` // rework, repair: characteristics to be read again
	Supplier        string   // return
	Lot             string   // return: its code; empty where none is known
	Marked          bool     // scrap confirmed: the item bears a mark that it is scrap
	Holds           []string `gorm:"serializer:json"` // holds raised since, which it stands on too
	Severity        Severity // failed when inspected again: as its code says, or worse
	Note            string
	MadeBy          string
	MadeAt          time.Time
	// Found is what else was found by this step, by the codes of its Holds. It is
	// read with them and no part of the record.
	Found []FoundDefect `gorm:"-"`
}

// FoundDefect is a defect that was found while a nonconformity was open.
type FoundDefect struct {
	Code     string
	Severity Severity // of the code then
}

// NonconformityView is a nonconformity with its steps, oldest first.
type NonconformityView struct {
	Nonconformity
	Steps []NonconformityStep
}

// Last is the newest step of one of these kinds, nil for none.
func (v NonconformityView) Last(what ...string) *NonconformityStep {
	for i := len(v.Steps) - 1; i >= 0; i-- {
		if slices.Contains(what, v.Steps[i].What) {
			return &v.Steps[i]
		}
	}
	return nil
}

// Worst is how bad it is by all that was found: as it was said when it was opened,
// or worse by something else that was found since.
func (v NonconformityView) Worst() Severity {
	worst := v.Severity
	for _, s := range v.Steps {
		worst = WorseOf(worst, s.Severity)
		for _, f := range s.Found {
			worst = WorseOf(worst, f.Severity)
		}
	}
	return worst
}

// Weigh says how bad what was found later is, by its code as it was said then.
func (d Defects) Weigh(list []NonconformityView) {
	for _, v := range list {
		for _, step := range v.Steps {
			for i, f := range step.Found {
				step.Found[i].Severity = WorseOf(d.At(f.Code, step.MadeAt).Severity, step.Severity)
			}
		}
	}
}

// WorseOf is the worse of two severities; one that is none is no worse than any.
func WorseOf(a, b Severity) Severity {
	if at := slices.Index(Severities, b); at >= 0 && at < slices.Index(Severities, a) {
		return b
	}
	return a
}

// AllHolds lists the holds that it stands on.
func (v NonconformityView) AllHolds() []string {
	all := slices.Clone(v.Holds)
	for _, s := range v.Steps {
		all = append(all, s.Holds...)
	}
	return all
}

// Concession is what lets an item be used although it does not conform: what was
// proposed and who approved it.
type Concession struct {
	Number       string // of the nonconformity
	InspectionID *string
	Results      []string // what may fail; empty where something is wrong that no result shows
	Found        string   // what was wrong, as it was written
	Reason       string
	ProposedBy   string
	ApprovedBy   string
	ApprovedAt   time.Time
}

// Concerns says whether a concession was given on an inspection.
func (c *Concession) Concerns(inspectionID string) bool {
	return c != nil && c.InspectionID != nil && *c.InspectionID == inspectionID
}

// Covers lists the results that a concession lets fail in an inspection: another
// inspection is another matter.
func (c *Concession) Covers(inspectionID string) []string {
	if !c.Concerns(inspectionID) {
		return nil
	}
	return c.Results
}

// NonconformityPassed is what the store writes with the inspection by which an
// item passes again: the step, and the lifts of the holds it stood on.
type NonconformityPassed struct {
	Step  NonconformityStep
	Lifts []HoldLift
}
