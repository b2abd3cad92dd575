package words

// Gauge studies, uncertainty budgets and what a rule costs.

var enDesigns = map[string]string{
	"crossed":   "persons and items",
	"bias":      "one reference",
	"linearity": "references over the range",
	"stability": "one reference over time",
}

// enJudgements answer in one sentence what a study shows.
var enJudgements = map[string]string{
	"good":        "The gauge is good enough for this tolerance",
	"may_do":      "The gauge may do for this tolerance",
	"unfit":       "The gauge is not good enough for this tolerance",
	"good_open":   "The gauge is good enough for this tolerance by these readings: too few persons or items to be sure",
	"may_do_open": "The gauge may do for this tolerance, or not: too few persons or items to tell",
	"unfit_open":  "The gauge is not good enough for this tolerance by these readings: too few persons or items to be sure",
	"no_bias":     "These readings show no bias",
	"biased":      "The gauge reads beside the reference",
	"steady":      "The gauge has been steady",
	"unsteady":    "The gauge has not been steady",

	"steady_to_step": "The gauge has been steady, as far as its step shows",
	"too_few":        "Too few checks to say whether the gauge is steady",
	"no_opinion":     "Worked out, with no tolerance to hold it against",
	"no_step":        "Not to be told: no scatter shows, and the gauge’s step is not known",
}

var enBudgetSources = map[string]string{
	"study":       "gauge study",
	"calibration": "calibration",
	"resolution":  "resolution",
	"temperature": "temperature",
	"typed":       "something else",
}

var enShapes = map[string]string{
	"stated":      "a stated uncertainty with its factor k",
	"repeats":     "standard deviation of repeats",
	"resolution":  "step of a display",
	"rectangular": "limits ±, all between alike",
	"triangular":  "limits ±, the middle likelier",
	"u_shaped":    "limits ±, the ends likelier",
}

// enStudied are figures of a study where they stand in a budget.
var enStudied = map[string]string{
	"repeatability": "reading again",
	"persons":       "between persons",
	"bias":          "bias that nobody corrects",
	"over_time":     "over time",
}

// enStudies say what is wrong with a plan, a reading or a budget, why a study is
// not worked out, and what to do next.
var enStudies = map[string]string{
	"study_result":           "A gauge does not read this result directly, or it has no limit: choose one that it does.",
	"reference_needed":       "State the value of this reference.",
	"references_differ":      "The references lie at one value: take some over the range.",
	"too_many_turns":         "These are {n} readings; a study has at most {most}.",
	"instrument_retired":     "{instrument} is retired: choose another one.",
	"not_in_study":           "This person does not take part in the study.",
	"not_their_turn":         "This reading is another person’s to take.",
	"study_ended":            "The study has ended.",
	"study_read":             "Every reading is taken. An inspector or the owner looks at the result and confirms it.",
	"study_read_for_you":     "All of yours are taken. Left for others: {left}.",
	"study_incomplete":       "The study is not complete: {left} of {n} readings are still to be taken. There is no result before.",
	"study_no_spread":        "No reading differs from another, so nothing can be said of their scatter: the step of the gauge hides it. Use a finer gauge, or items that differ.",
	"study_next_use":         "Confirm it: the uncertainty budget takes the figures over.",
	"study_next_gauge":       "Most of it is the gauge itself: the same person reads the same item otherwise again. Look at how the item is held, at the gauge’s step and wear; the mean of several readings scatters less.",
	"study_next_persons":     "Most of it lies between persons: agree on how it is read, show each other, and read it again.",
	"study_next_items":       "Some persons read some items otherwise than others do: look at those items together.",
	"study_next_resolution":  "The same person never read an item otherwise again: the step of the gauge hides its scatter. Keep the step in the budget.",
	"study_next_no_step":     "The same person never read an item otherwise again, so the step of the gauge decides: state it with the gauge, and look here again.",
	"study_next_step":        "The gauge’s step is coarser than what it scatters by, and counts in its place: a finer gauge would do better. Keep the step in the budget.",
	"study_next_more":        "More persons, or more items, would narrow it down.",
	"study_next_categories":  "It tells few classes of these items apart. That need not be the gauge’s fault: items that are much alike cannot be told apart by any.",
	"study_next_no_bias":     "Confirm it: the budget takes the scatter over. A bias smaller than the interval may still be there.",
	"study_next_biased":      "Have the gauge adjusted, or correct for it. As long as nobody does, the budget counts the bias as uncertainty.",
	"study_next_slope":       "One correction for the whole range will not do: have the gauge calibrated, or use a table. As long as nobody does, the budget counts the largest bias as uncertainty.",
	"study_next_steady":      "Go on checking it, and confirm this study.",
	"study_next_unsteady":    "Look at what happened at the points marked before the gauge is used again: a knock, a new tip, another person, the weather.",
	"study_next_to_step":     "Confirm it. The gauge’s step is coarser than what the checks scatter by: a change smaller than the step stays hidden, so keep the step in the budget.",
	"study_next_more_checks": "Go on: limits are drawn from twenty checks on.",
	"coverage_between":       "Between 0.5 and 0.9999.",
	"budget_empty":           "Together these come to nothing: state at least one figure above 0.",
	"freedom_of_one":         "One reading has no scatter of its own: state how many degrees of freedom the figure rests on.",
	"budget_coverage":        "This budget is worked out for a probability of {value}. A specification states about 95 %: revise the budget with 0.95 or 0.9545.",
	"unknown_budget":         "This is no uncertainty budget of this result.",
}
