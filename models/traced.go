package models

// Traced is a trace through what is built into what: every fitting on the way,
// oldest first, and the items that they name.
type Traced struct {
	Fitted []PartView
	Items  []Item
}
