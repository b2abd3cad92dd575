package models

import "time"

// Periods of a review.
const (
	ReviewWeek  = "week"
	ReviewMonth = "month"
)

// Review is what was said about a week or a month, kept as it was said then.
// Content is JSON, byte for byte; ContentHash is its SHA-256, FileHash that of the
// paper. The same period looked back on again, when there is more to say, is the next
// edition; the earlier ones stay.
type Review struct {
	ID          string `gorm:"primaryKey"`
	Period      string // ReviewWeek, ReviewMonth
	FirstDay    string // YYYY-MM-DD: a Monday, or the first of a month
	Edition     int
	Content     string
	ContentHash string
	FileHash    string
	MadeAt      time.Time
	MadeBy      string
}

// ReviewContent is the frozen content: codes and values, whose words come from the
// catalogue. It holds no moment of its own making, so that nothing new to say is the
// same content.
type ReviewContent struct {
	Form     int             `json:"form"` // of this content: 1
	Shop     string          `json:"shop"`
	Period   string          `json:"period"`
	FirstDay string          `json:"first_day"`
	LastDay  string          `json:"last_day"`
	Through  string          `json:"through"` // the last day that is in it: LastDay, or earlier while the period runs
	Sections []ReviewSection `json:"sections"`
}

// ReviewSection answers one of the owner's questions for the period.
type ReviewSection struct {
	About     string     `json:"about"` // one of Questions
	Sentences []Sentence `json:"sentences"`
	More      int        `json:"more,omitempty"` // sentences that found no room
	Plots     []Plot     `json:"plots,omitempty"`
}

// Empty says whether there was nothing to say about the period: it brought nothing that
// was measured, shipped, claimed or settled.
func (c ReviewContent) Empty() bool {
	for _, section := range c.Sections {
		for _, s := range section.Sentences {
			if s.Code != "review_nothing" && s.Code != "review_not_then" {
				return false
			}
		}
		if len(section.Plots) > 0 {
			return false
		}
	}
	return true
}

// Running says whether the period had not ended when it was looked back on.
func (c ReviewContent) Running() bool { return c.Through < c.LastDay }

// WorkCounts is what a period brought.
type WorkCounts struct {
	Certificates, Nonconformities, Holds, Claims, Shipments int
	// Settled: holds that ended, signals that were given a cause, nonconformities of
	// which nothing is left to do.
	Lifted, Causes, Closed int
}
