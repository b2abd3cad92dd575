package models

import (
	"time"
)

// Submission is an inspection as it is sent: what a draft grows into, what the
// list of unplaced inspections keeps whole, and what the API accepts. Its JSON
// form is part of the API.
type Submission struct {
	ID         string      `json:"id"`                // UUIDv7, made when the form opened
	Serial     string      `json:"serial"`            // as typed or scanned; empty where Part names the item
	Part       PartName    `json:"part,omitzero"`     // a block by its maker's number
	Product    string      `json:"product,omitempty"` // for a serial of a printed roll on its first scan
	Stage      string      `json:"stage"`
	Person     string      `json:"person,omitempty"` // whoever is signed in, by default
	Place      string      `json:"place,omitempty"`
	StartedAt  time.Time   `json:"started_at"`
	FinishedAt time.Time   `json:"finished_at"`
	Conditions Conditions  `json:"conditions"`
	Sets       []SentSet   `json:"sets"`
	Parts      []SentPart  `json:"parts,omitempty"`
	Corrects   string      `json:"corrects,omitempty"` // the inspection this one replaces
	Reason     string      `json:"reason,omitempty"`
	Events     []SentEvent `json:"events,omitempty"` // undone and refused entries, kept as they were
}

// PartName is a motor or block as its maker names it. Supplier and Model are
// asked for where the number alone is not unique.
type PartName struct {
	Supplier string `json:"supplier,omitempty"`
	Model    string `json:"model,omitempty"`
	Number   string `json:"number"`
}

// Fits says whether an item's supplier and model are the ones named, as far as
// they are named.
func (n PartName) Fits(i Item) bool {
	return (n.Supplier == "" || i.Supplier == n.Supplier) && (n.Model == "" || i.Model == n.Model)
}

// SentSet is one reading set as sent.
type SentSet struct {
	Characteristic string     `json:"characteristic"`
	Method         string     `json:"method"`
	Instrument     string     `json:"instrument,omitempty"` // its code: L-14
	Unit           string     `json:"unit,omitempty"`
	Manner         string     `json:"manner,omitempty"`
	Values         []string   `json:"values"`
	Index          []Position `json:"index,omitempty"`
	Moments        []int64    `json:"moments,omitempty"` // ms after started_at
	Masks          []Mask     `json:"masks,omitempty"`   // stations not judged; the set holds no value for them
}

// SentPart names what is built in, as far as the stand knows it.
type SentPart struct {
	Role     string `json:"role"`
	Place    string `json:"place,omitempty"`
	Lot      string `json:"lot,omitempty"`    // its code
	Number   string `json:"number,omitempty"` // the maker's number of a motor or block, or a block's own serial
	Supplier string `json:"supplier,omitempty"`
	Model    string `json:"model,omitempty"`
	Quantity int    `json:"quantity,omitempty"`
	Reason   string `json:"reason,omitempty"` // why a block is fitted although the stock speaks against it, or more of a lot than it has
}

// SentEvent is an entry that was undone or refused before submission.
type SentEvent struct {
	At             int64    `json:"at" needed:"yes"` // ms after started_at
	What           string   `json:"what"`            // undone, refused
	Characteristic string   `json:"characteristic"`
	Position       Position `json:"position"`
	Value          string   `json:"value"`
}

// Draft is a submission in the making. It lives on the server under the
// inspection's id and is not hashed; Version rises with each save, so that two
// tablets cannot overwrite each other unseen.
type Draft struct {
	ID        string `gorm:"primaryKey"`
	Version   int
	Serial    string
	Kind      string
	Stage     string
	PersonID  string
	DeviceID  *string
	Content   Submission `gorm:"serializer:json"`
	CreatedAt time.Time
	UpdatedAt time.Time  `gorm:"autoUpdateTime:false"`
	ClosedAt  *time.Time // submitted or set aside
}

// Unplaced is a valid inspection that could not be placed (unknown serial,
// strange clock, read by somebody who has left), kept whole until a person settles it.
type Unplaced struct {
	ID         string     `gorm:"primaryKey"` // the inspection's
	Content    Submission `gorm:"serializer:json"`
	SentHash   string
	Cause      Remark `gorm:"serializer:json"`
	PersonID   string
	DeviceID   *string
	OffsetMS   int64
	ReceivedAt time.Time
}

// UnplacedSettlement says what became of it: placed on an item, or set aside.
type UnplacedSettlement struct {
	UnplacedID   string `gorm:"primaryKey"`
	InspectionID *string
	Reason       string
	SettledBy    string
	SettledAt    time.Time
}
