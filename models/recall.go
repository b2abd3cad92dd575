package models

import "time"

// Recall calls back what a scope reaches: a saved question with its answers.
type Recall struct {
	ID     string `gorm:"primaryKey"`
	Number string // R, two-digit year, hyphen, five digits counted per year
	Reason string
	Wanted string      // what is asked of whoever has one: "stop riding, bring it in"
	Scope  RecallScope `gorm:"serializer:json"`
	MadeAt time.Time
	MadeBy string
}

// RecallScope is what a recall is about: a lot, a part, what a gauge measured in
// a window, what a reverse trace found, or what passed through hands at a place in
// a time. One of them.
type RecallScope struct {
	Lot        string    `json:"lot,omitempty"`        // its key
	Part       string    `json:"part,omitempty"`       // key of an item
	Instrument string    `json:"instrument,omitempty"` // its key
	Trace      string    `json:"trace,omitempty"`      // key of a reverse trace of Instrument: what it found to pass no longer, and went out
	Place      string    `json:"place,omitempty"`
	Person     string    `json:"person,omitempty"` // key
	From       time.Time `json:"from,omitzero"`    // with an instrument: after it; else from it on
	To         time.Time `json:"to,omitzero"`      // with an instrument: up to it; else before it
}

// Same says whether two scopes are about the same.
func (s RecallScope) Same(other RecallScope) bool {
	return s.Lot == other.Lot && s.Part == other.Part && s.Instrument == other.Instrument && s.Trace == other.Trace && s.Place == other.Place && s.Person == other.Person && s.From.Equal(other.From) && s.To.Equal(other.To)
}

// Where an item that is called back is.
const (
	RecallShipped  = "shipped"
	RecallHere     = "here"
	RecallScrapped = "scrapped"
)

// RecallItem is one item that a run of a recall found.
type RecallItem struct {
	Item     string `json:"item"`
	Where    string `json:"where"`
	Possibly bool   `json:"possibly,omitempty"` // it holds pieces of a bin that the lot was mixed into, or parts that were measured and was read anew with them in it
}

// RecallRun is the answer of a recall's question at one time, frozen.
type RecallRun struct {
	ID       string `gorm:"primaryKey"`
	RecallID string
	N        int
	Items    []RecallItem `gorm:"serializer:json"`
	RunAt    time.Time
	RunBy    string
}

// RecallResponse says what came of calling one item back.
type RecallResponse struct {
	ID          string `gorm:"primaryKey"` // the newest of an item holds, by RespondedAt: whoever responds may bring the key
	RecallID    string
	ItemID      string
	Response    string // one of RecallResponses
	RespondedAt time.Time
	RespondedBy string
}

// What may have come of calling one item back.
const (
	RecallNotified   = "notified"
	RecallAnswered   = "answered"
	RecallReturned   = "returned"
	RecallPutRight   = "put_right"
	RecallNotReached = "not_reached"
)

// RecallResponses lists them in the order of things.
var RecallResponses = []string{RecallNotified, RecallAnswered, RecallReturned, RecallPutRight, RecallNotReached}

// RecallEnd closes a recall.
type RecallEnd struct {
	RecallID string `gorm:"primaryKey"`
	Reason   string
	EndedAt  time.Time
	EndedBy  string
}

// RecallView is a recall with its runs, oldest first, its responses and its end.
type RecallView struct {
	Recall
	Runs      []RecallRun
	Responses []RecallResponse
	End       *RecallEnd
}

// Newest is the newest answer.
func (v RecallView) Newest() RecallRun { return v.Runs[len(v.Runs)-1] }

// Last is the newest response of an item, nil where nothing came of it yet.
func (v RecallView) Last(item string) *RecallResponse {
	for i := len(v.Responses) - 1; i >= 0; i-- { // The oldest first.
		if v.Responses[i].ItemID == item {
			return &v.Responses[i]
		}
	}
	return nil
}
