package models

import "time"

// UncertaintyBudget is how far the values of one result can be believed, and why:
// a numbered revision of a family's budget for that result. It never changes.
type UncertaintyBudget struct {
	ID       string `gorm:"primaryKey"`
	FamilyID string
	Result   string
	Revision int // from 1, for each family and result
	Unit     string
	Coverage string       // probability that U stands for: 0.9545
	Lines    []BudgetLine `gorm:"serializer:json"`
	Combined string       // standard uncertainty
	K        string       // coverage factor
	Freedom  string       // effective degrees of freedom, empty for infinitely many
	U        string       // expanded uncertainty, two significant figures
	StudyID  *string      // the study whose confirmation made it
	Reason   string       // of a person; the study's number where that made it
	MadeAt   time.Time
	MadeBy   string
}

// Sources of a line of a budget.
const (
	FromStudy       = "study"
	FromCalibration = "calibration"
	FromResolution  = "resolution"
	FromTemperature = "temperature"
	FromTyped       = "typed"
)

// BudgetLine is one component. Figures are decimal text; Shape says how Value
// becomes a standard uncertainty: one of package gauge.
type BudgetLine struct {
	Source      string `json:"source"`
	Name        string `json:"name,omitempty"` // of a typed one, and what a study's figure is
	Shape       string `json:"shape"`
	Value       string `json:"value"`
	K           string `json:"k,omitempty"`           // of a stated uncertainty
	N           int    `json:"n,omitempty"`           // readings that are averaged
	Sensitivity string `json:"sensitivity,omitempty"` // empty is 1
	Freedom     string `json:"freedom,omitempty"`     // degrees of freedom, empty for infinitely many
	StudyID     string `json:"study,omitempty"`
	Instrument  string `json:"instrument,omitempty"` // code of the gauge it comes from
}

// TrailName implements Recorded.
func (b UncertaintyBudget) TrailName() (string, string, int) { return "uncertainty_budget", b.ID, 1 }

// Canonical implements Recorded.
func (b UncertaintyBudget) Canonical() map[string]any {
	lines := make([]any, len(b.Lines))
	for i, l := range b.Lines {
		f := fields{"source": l.Source, "shape": l.Shape, "value": l.Value}
		put(f, "name", l.Name)
		put(f, "k", l.K)
		put(f, "sensitivity", l.Sensitivity)
		put(f, "freedom", l.Freedom)
		put(f, "study", l.StudyID)
		put(f, "instrument", l.Instrument)
		if l.N != 0 {
			f["n"] = l.N
		}
		lines[i] = f
	}
	f := fields{"id": b.ID, "family": b.FamilyID, "result": b.Result, "revision": b.Revision, "unit": b.Unit, "coverage": b.Coverage, "lines": lines, "combined": b.Combined, "k": b.K, "u": b.U,
		"reason": b.Reason, "made_at": TimeText(b.MadeAt), "made_by": b.MadeBy}
	put(f, "freedom", b.Freedom)
	putPointer(f, "study", b.StudyID)
	return f
}
