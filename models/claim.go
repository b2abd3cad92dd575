package models

import "time"

// Claim is what a customer says is wrong with an item that left the shop, or
// with one that the log does not know: built before it, or without its label.
// The claim itself never changes; what becomes of it are its events.
type Claim struct {
	ID          string `gorm:"primaryKey"`
	Number      string // CL, two-digit year, hyphen, five digits counted per year
	Kind        string // of the item
	Product     string // in words, where no item is named
	MotorNumber string // the maker's, where no item is named
	OrderRef    string
	Customer    string // key into the table of customers; empty for none
	WordsHash   string // what the customer said, by its salted hash
	OpenedAt    time.Time
	OpenedBy    string
	ItemID      *string // derived: the item of the event linked
	State       string  // derived: open, decided, closed
}

// States of a claim.
const (
	ClaimOpen    = "open" // nobody has decided
	ClaimDecided = "decided"
	ClaimClosed  = "closed"
)

// ClaimWords is what the customer said. It may be erased with its salt, and then
// nothing is left to recognise it by.
type ClaimWords struct {
	ClaimID string `gorm:"primaryKey"`
	Words   string
	Salt    string
}

// What an event of a claim says.
const (
	ClaimLinked   = "linked"  // which item it is
	ClaimCameIn   = "came_in" // the item lies in the shop
	ClaimCoded    = "coded"   // what is wrong with it
	ClaimWhere    = "where"   // where on the item
	ClaimAnswered = "decided"
	ClaimCost     = "cost"
	ClaimPart     = "part" // what was swapped for it
	ClaimEnded    = "closed"
)

// UsualWarrantyMonths is how long the warranty runs where the shop says nothing.
const UsualWarrantyMonths = 24

// UsualClaimDays is how many working days the shop has to answer a claim where it
// says nothing. Common practice, no source.
const UsualClaimDays = 5

// Decisions about a claim.
const (
	ClaimAccept   = "accept"
	ClaimGoodwill = "goodwill" // accepted although nothing binds the shop to
	ClaimReject   = "reject"
	ClaimNoFault  = "no_fault"
)

// ClaimDecisions are the decisions in the order in which they are offered.
var ClaimDecisions = []string{ClaimAccept, ClaimGoodwill, ClaimReject, ClaimNoFault}

// ClaimEvent is one thing that became of a claim; the newest of a kind holds,
// the earlier ones stay. Each kind fills its own fields.
type ClaimEvent struct {
	ID        string `gorm:"primaryKey"` // UUIDv7: sorts by the moment
	ClaimID   string
	What      string
	ItemID    *string       // linked; another one is a correction, with its reason
	CameOn    string        // came_in: the day, YYYY-MM-DD
	HoldID    *string       // linked, came_in: the hold that keeps the item in the shop
	Symptom   string        // coded: the check list that led to the code; empty for none
	CheckList int           // coded: its revision that was asked; 0 is the shipped one
	Answers   []ClaimAnswer `gorm:"serializer:json"` // coded
	Code      string        // coded: a defect code, or other
	Decision  string        // decided
	Spot      string        // where: number of a spoke, or in words
	Reason    string        // decided, closed, linked in place of another
	Amount    string        // cost: decimal text
	Currency  string        // cost: in words or by its sign
	RemovalID *string       // part: the change of parts
	MadeAt    time.Time
	MadeBy    string
}

// Accepts says whether an event is a decision by which the shop puts it right.
func (e ClaimEvent) Accepts() bool {
	return e.Decision == ClaimAccept || e.Decision == ClaimGoodwill
}

// ClaimAnswer is the answer to one question of a check list.
type ClaimAnswer struct {
	Question string `json:"question"`
	Yes      bool   `json:"yes"`
}

// ClaimView is a claim with its events, oldest first, and its words unless they
// were erased.
type ClaimView struct {
	Claim
	Words  *ClaimWords
	Events []ClaimEvent
}

// Newest is the key of the newest event, which a change of the claim is made on; empty
// where nothing became of it yet.
func (v ClaimView) Newest() string {
	if len(v.Events) == 0 {
		return ""
	}
	return v.Events[len(v.Events)-1].ID
}

// Last is the newest event of a kind, nil for none.
func (v ClaimView) Last(what string) *ClaimEvent {
	for i := len(v.Events) - 1; i >= 0; i-- {
		if v.Events[i].What == what {
			return &v.Events[i]
		}
	}
	return nil
}
