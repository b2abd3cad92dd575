package app

import (
	workreview "tracewright/models/work/review"
	"tracewright/reports/review"
)

// drawReview hands a drawing to the report that makes paper of it.
func drawReview(d workreview.Drawing) ([]byte, error) {
	return review.Draw(d.Content, review.Options{Hash: d.Hash, Edition: d.Edition, Made: d.Made})
}
