package models

// Sentence is one thing that is said about how the work runs: a remark, whose
// words stand in the catalogue, and where the picture is that it came from. A
// page, the interface and the paper of a review say it from the same one.
type Sentence struct {
	Remark
	// About names the question that it answers, one of [Questions]; Query is what
	// the question's page is opened with.
	About string            `json:"about"`
	Query map[string]string `json:"query,omitempty"`
}

// What an owner asks, in the order in which the pages stand.
const (
	AskAttention = "attention" // what needs me today
	AskCharts    = "charts"    // are we in control
	AskHowGood   = "how_good"  // how good are we against our limits
	AskFailures  = "failures"  // what fails most, and what does it cost
	AskFinder    = "finder"    // who, what and when differs, and is that real
	AskEffect    = "effect"    // did the change help
	AskReturns   = "returns"   // what will come back
	AskReview    = "review"    // the week or month in one to four pages
)

// Questions lists them.
var Questions = []string{AskAttention, AskCharts, AskHowGood, AskFailures, AskFinder, AskEffect, AskReturns, AskReview}
