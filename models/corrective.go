package models

import "time"

// CorrectiveAction is work on the cause of a problem. The record itself never
// changes; what is known, done and found are its steps.
type CorrectiveAction struct {
	ID       string `gorm:"primaryKey"`
	Number   string // CA, two-digit year, hyphen, five digits counted per year
	OpenedBy string
	OpenedAt time.Time
	State    string // derived: open, done, worked, closed
}

// States of a corrective action.
const (
	ActionOpen   = "open"   // something is to be done
	ActionDone   = "done"   // it is done, and whether it worked is to be seen
	ActionWorked = "worked" // it worked, and is to be closed
	ActionClosed = "closed"
)

// Kinds of steps of a corrective action.
const (
	ActionStated  = "stated"  // what is known and planned, whole: the newest holds
	ActionCarried = "done"    // the action was carried out
	ActionChecked = "checked" // its effect was looked at
	ActionEnded   = "closed"
)

// CorrectiveActionStep is one step; each kind fills its own fields.
type CorrectiveActionStep struct {
	ID       string `gorm:"primaryKey"` // UUIDv7: sorts by the moment
	ActionID string
	What     string

	// Of what is stated.
	Problem         string
	Containment     string // what keeps it from doing harm meanwhile
	Cause           string
	Action          string
	OwnerID         string   // who sees to it
	DueOn           string   // day by which it is done, YYYY-MM-DD
	CheckOn         string   // day on which its effect is looked at
	Codes           []string `gorm:"serializer:json"` // defects
	Lots            []string `gorm:"serializer:json"` // their codes
	Nonconformities []string `gorm:"serializer:json"` // their numbers

	Worked bool // of a check
	Note   string
	MadeBy string
	MadeAt time.Time
}

// CorrectiveActionView is one with its steps, oldest first.
type CorrectiveActionView struct {
	CorrectiveAction
	Steps []CorrectiveActionStep
}

// Newest is the key of the newest step, which what is stated anew is stated on.
func (v CorrectiveActionView) Newest() string {
	if len(v.Steps) == 0 {
		return ""
	}
	return v.Steps[len(v.Steps)-1].ID
}

// Last is the newest step of a kind, nil for none.
func (v CorrectiveActionView) Last(what string) *CorrectiveActionStep {
	for i := len(v.Steps) - 1; i >= 0; i-- {
		if v.Steps[i].What == what {
			return &v.Steps[i]
		}
	}
	return nil
}

// Stated is what is known and planned now.
func (v CorrectiveActionView) Stated() CorrectiveActionStep {
	if s := v.Last(ActionStated); s != nil {
		return *s
	}
	return CorrectiveActionStep{}
}

// DueBy is the day by which the next step is due: that of the action, then that
// of its check; empty where none was named or nothing is left but to close it.
func (v CorrectiveActionView) DueBy() string {
	switch v.State {
	case ActionOpen:
		return v.Stated().DueOn
	case ActionDone:
		return v.Stated().CheckOn
	}
	return ""
}

// Overdue says whether that day lies before another.
func (v CorrectiveActionView) Overdue(day string) bool {
	due := v.DueBy()
	return due != "" && due < day
}

// After is the state that a step leads to. A new plan opens it again; so does a
// check that says it did not work.
func (v CorrectiveActionView) After(step CorrectiveActionStep) string {
	switch step.What {
	case ActionCarried:
		return ActionDone
	case ActionChecked:
		if step.Worked {
			return ActionWorked
		}
		return ActionOpen
	case ActionEnded:
		return ActionClosed
	}
	if v.State == ActionDone { // What is stated of an action that was done leaves it done.
		return ActionDone
	}
	return ActionOpen
}
