package models

import "time"

// CheckList is what is asked about a complaint, as the shop asks it: a revision,
// which never changes. Revision 0 is the list that the program brings along.
type CheckList struct {
	ID        string          `gorm:"primaryKey"`
	Symptom   string          // one of package symptom
	Revision  int             // from 1
	Questions []CheckQuestion `gorm:"serializer:json"` // the first that is answered yes gives the code
	Otherwise string          // code where every answer is no
	Reason    string          // why it was changed; empty for the way back to the shipped list
	MadeAt    time.Time
	MadeBy    string
}

// CheckQuestion is asked with the item in hand; Yes is the code it ends in.
type CheckQuestion struct {
	Code string `json:"code"`           // of a shipped question, or of one of the shop's own within its list
	Text string `json:"text,omitempty"` // of the shop's own
	Yes  string `json:"yes"`
}
