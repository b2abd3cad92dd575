package web

import (
	"net/url"

	"tracewright/models"
)

// Question is one of the owner's questions, as the strip above their pages names
// it.
type Question struct{ About, Path, Text string }

// questions are the pages, in the order of [models.Questions].
var questions = []Question{
	{models.AskAttention, "/attention", "Needs attention"},
	{models.AskCharts, "/charts", "In control?"},
	{models.AskHowGood, "/how-good", "How good?"},
	{models.AskFailures, "/failures", "What fails?"},
	{models.AskFinder, "/differences", "What differs?"},
	{models.AskEffect, "/effect", "Did it help?"},
	{models.AskReturns, "/returns", "What comes back?"},
	{models.AskReview, "/reviews", "Review"},
}

// questionPath is where a sentence's picture stands.
func questionPath(s models.Sentence) string {
	for _, q := range questions {
		if q.About != s.About {
			continue
		}
		if len(s.Query) == 0 {
			return q.Path
		}
		values := url.Values{}
		for name, value := range s.Query {
			values.Set(name, value)
		}
		return q.Path + "?" + values.Encode()
	}
	return "/"
}
