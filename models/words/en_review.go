package words

// enReview are the sentences of a review that its own sources say, and the titles and
// labels of plots.
var enReview = map[string]string{
	"period_not_begun": "That time has not begun: it begins on {date}.",

	"review_nothing":     "Nothing to say about this for this time.",
	"review_not_then":    "What needed somebody then is not kept; what does today stands on its page.",
	"review_out":         "Out in this time: certificates issued {count}, shipments that left {more}.",
	"review_stopped":     "Stopped in this time: nonconformities opened {count}, holds raised {more}.",
	"review_settled":     "Settled in this time: holds lifted {lifted}, signals given a cause {causes}, nonconformities closed {closed}.",
	"review_claims_one":  "{count} claim was opened.",
	"review_claims_many": "{count} claims were opened.",

	"plot_yield_wheel":  "Wheels that passed their first reading, by week",
	"plot_yield_pack":   "Packs that passed their first reading, by week",
	"plot_failed_wheel": "What failed wheels at their first set, share with 95\u00a0% interval",
	"plot_failed_pack":  "What failed packs at their first set, share with 95\u00a0% interval",
	"plot_returns":      "{name}: came back, by month of shipment",
	"label_month":       "{month}",
	"plot_chart":        "{result}, {family}",
	"plot_chart_at":     "{result}, {family}, {place}",
	"label_result":      "{result}",
	"label_fault":       "{fault}",
	"label_text":        "{typed}",
	"label_week":        "{date}",
	"label_day":         "{date}",
}

// enAsks are the owner's questions as a review puts them.
var enAsks = map[string]string{
	"attention": "What needs you?",
	"charts":    "Are we in control?",
	"how_good":  "How good are we against our limits?",
	"failures":  "What fails most?",
	"finder":    "Who, what and when differs?",
	"effect":    "Did the change help?",
	"returns":   "What comes back?",
	"review":    "The week or month",
}

// enReviewPaper are the words of the paper around what is said.
var enReviewPaper = map[string]string{
	"week":          "The week from {from} to {to}",
	"month":         "{month}",
	"empty":         "This time brought nothing that was measured, shipped, claimed or settled.",
	"more":          "And {count} more, on their pages.",
	"running":       "so far, up to {date}",
	"edition":       "Edition {n}, made on {date}",
	"page":          "Page {page} of {pages}",
	"foot":          "{period}. {shop}",
	"behind":        "The numbers behind the pictures",
	"limits":        "Dots are what was found. The line is what all of it together gives, the dashed lines what chance alone hardly passes; a square is a signal, all points allowed for: beyond them, or inside them by a smoothed mean.",
	"intervals":     "Dots are what came back, the upright lines their 95\u00a0% intervals, the level lines what was expected at that age; a square is a month that stands out, all months allowed for.",
	"bars":          "The thin lines on bars are 95\u00a0% intervals: where they overlap, the order is not settled.",
	"column_what":   "Where",
	"column_value":  "Value",
	"column_from":   "From",
	"column_to":     "to",
	"column_k":      "k",
	"column_n":      "n",
	"column_centre": "Expected",
	"column_low":    "Limit below",
	"column_high":   "Limit above",
	"column_signal": "Beyond",
	"signal":        "beyond",
	"count":         "count",
}
