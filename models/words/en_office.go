package words

// enOffice says what the office's forms and the API refuse: families,
// products, specifications, gauges, goods-in, and bodies that are no JSON of
// ours.
var enOffice = map[string]string{
	// Families, products, specifications.
	"unknown_family":            "There is no such family.",
	"other_kind":                "This belongs to another kind of item.",
	"flange_too_large":          "The flange must lie inside the circle of the nipple seats, {most} mm.",
	"fixed_by_kind":             "This follows from the kind of item and stays as it is: {want}.",
	"needs_another":             "It cannot be judged without {characteristic}: ask for that too.",
	"listed_twice":              "{code} is listed twice.",
	"limit_not_possible":        "A ticked or chosen point has no limit.",
	"looser_than_model":         "{name}: the block model asks for {limit}, and this lets through what it does not. Change it in the form of the block model.",
	"guarded_needs_uncertainty": "A rule with a guard band needs an uncertainty for every limited result that it judges. State one, or choose simple acceptance.",
	"guarded_not_for_runout":    "A rule with a guard band cannot judge a limited full run-out reading: noise makes that reading too large on one side only. Choose simple acceptance, for all or for these results alone.",
	"no_acceptance_zone":        "The gauge is unfit for this tolerance: with this uncertainty the guard bands leave nothing to accept. Use a better gauge, or a wider limit.",
	"gauge_unfit":               "The gauge is unfit for this tolerance: its uncertainty is larger than the tolerance itself. Use a better gauge, or a wider limit.",
	"rule_of_result":            "For the result “{name}” alone: {rule}",

	// Gauges and goods-in.
	"code_form":         "A code has 1 to 20 letters, digits, hyphens, points or underscores, and begins with a letter or digit.",
	"never_changes":     "Readings name it, so it never changes. Add another entry instead.",
	"like_a_serial":     "{number} reads like a serial of the shop’s own.",
	"product_or_family": "Name a product, or a family for a one-off item, one of them.",
	"serials_used_up":   "This year has no serials left for this kind of item.",

	// Bodies of requests.
	"not_text":      "A text holds bytes that are no text.",
	"query_form":    "This cannot be read in an address: {typed}. Write “%25” for a percent sign and “%3B” for a semicolon.",
	"json_utf8":     "The text is not UTF-8.",
	"json_syntax":   "This is not JSON: it ends or breaks at character {at}.",
	"json_trailing": "One JSON object is expected, and more follows it.",
	"json_type":     "A value of another type is expected here: {want}.",
	"twice":         "This stands twice.",

	// Charts.
	"beyond_limit_high": "{value} lies above the limit of the process, {limit}.",
	"beyond_limit_low":  "{value} lies below the limit of the process, {limit}.",
}
