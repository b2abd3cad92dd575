package words

// enCharts is what control charts find. What is charted stands above a title or
// before a sentence; the codes that end in _all are of a chart without a place.
var enCharts = map[string]string{
	"open_signals":        "{name}, {family}, all places: {n} signals without a cause",
	"open_signals_one":    "{name}, {family}, all places: one signal without a cause",
	"open_signals_at":     "{name}, {family}, {place}: {n} signals without a cause",
	"open_signals_at_one": "{name}, {family}, {place}: one signal without a cause",

	"nothing":               "nothing was measured at {place} in this time",
	"nothing_all":           "nothing was measured in this time",
	"few_points":            "needs {needed} for limits, has {has}",
	"few_points_all":        "needs {needed} for limits, has {has}",
	"resolution_coarse":     "the gauge at {place} is too coarse for limits here",
	"resolution_coarse_all": "the gauge is too coarse for limits here",
	"no_spread":             "all values at {place} are the same",
	"no_spread_all":         "all values are the same",
	"drifted_high":          "{place} drifted up by {value} since {date}",
	"drifted_high_all":      "all places together drifted up by {value} since {date}",
	"drifted_low":           "{place} drifted down by {value} since {date}",
	"drifted_low_all":       "all places together drifted down by {value} since {date}",
	"beyond":                "{place} has {beyond} of the last {recent} beyond a limit",
	"beyond_all":            "{beyond} of the last {recent} beyond a limit",
	"came_back":             "{place} is in control, after a drift up to {date}",
	"came_back_all":         "in control, after a drift up to {date}",
	"pattern":               "{place} is within its limits, but the points make a pattern",
	"pattern_all":           "within the limits, but the points make a pattern",
	"steady":                "{place} is in control",
	"steady_all":            "in control",
}

// enChartKinds say why a chart is the one it is.
var enChartKinds = map[string]string{
	"skewed_one":        "The values cannot be below zero, have a long upper tail and spread in proportion to their size, so limits are found on their logarithm: they are not the same distance up and down.",
	"skewed_several":    "Several products stand on one chart, so each value is shown against the usual value of its own product: more of one product is no signal. The values have a long upper tail, so limits are found on the logarithm of these ratios.",
	"from_zero_one":     "The values are amounts from zero upward and often near it, so limits are found on their square root, which fits both sides and takes zero for what it is.",
	"from_zero_several": "Several products stand on one chart, so each value is shown against the usual value of its own product: more of one product is no signal. The values are amounts often near zero, so limits are found on the square root of these ratios.",
	"level_one":         "The values lie as often above their middle as below, so limits are the same distance up and down.",
	"level_several":     "Several products stand on one chart, so each value is shown against the usual value of its own product: more of one product is no signal. Their values spread in proportion, so limits are found on the logarithm of these ratios.",
	"signed_one":        "The values lie to either side of zero, so limits are the same distance up and down.",
	"signed_several":    "Several products stand on one chart and may be negative, so each value is shown in standard deviations from the middle of its own product: more of one product is no signal.",
	"long_tail_one":     "A few values far off on one side belong to how the work runs, and the verdict names each of them. So single points give no signal here, and in the smoothed mean no point counts for more than two standard deviations.",
	"long_tail_several": "Several products stand on one chart, so each value is shown against the usual value of its own product. A few values far off on one side belong to how the work runs, and the verdict names each: single points give no signal here, and in the smoothed mean none counts for more than two standard deviations.",
	"counted_one":       "Whole numbers are counted on one item, so limits are the exact tails of a Poisson distribution with the same mean.",
	"ticked_one":        "A yes or no has no spread of its own to measure: a point is a week with the share of no, and where a week has few its limits are the exact tails of a binomial distribution.",
	"of_lots_one":       "Blocks of a lot share what the lot has, so a point is a lot: its mean, against how much the means of lots differ, and not against how much blocks of one lot do.",
	"counted_several":   "Whole numbers are counted on one item, so limits are the exact tails of a Poisson distribution with the same mean.",
}

// enChartRemarks are signals of the smoothed mean, and what forms of charts refuse.
var enChartRemarks = map[string]string{
	"smoothed_mean":      "The smoothed mean lies beyond its limit.",
	"smoothed_mean_high": "The smoothed mean, {value}, lies above its limit of {limit}.",
	"smoothed_mean_low":  "The smoothed mean, {value}, lies below its limit of {limit}.",

	"smoothed_mean_high_times": "The smoothed mean, {value} times the usual value of each product, lies above its limit of {limit} times.",
	"smoothed_mean_low_times":  "The smoothed mean, {value} times the usual value of each product, lies below its limit of {limit} times.",
	"smoothed_mean_high_sigma": "The smoothed mean, {value} standard deviations from the middle of each product, lies above its limit of {limit}.",
	"smoothed_mean_low_sigma":  "The smoothed mean, {value} standard deviations from the middle of each product, lies below its limit of {limit}.",
	"beyond_limit_high_times":  "{value} times the usual value of its product lies above the limit of the process, {limit} times.",
	"beyond_limit_low_times":   "{value} times the usual value of its product lies below the limit of the process, {limit} times.",
	"beyond_limit_high_sigma":  "{value} standard deviations from the middle of its product lie above the limit of the process, {limit}.",
	"beyond_limit_low_sigma":   "{value} standard deviations from the middle of its product lie below the limit of the process, {limit}.",

	"spread_within_high": "The blocks of this lot differ among themselves by a standard deviation of {value}, above the limit of {limit}.",
	"spread_within_low":  "The blocks of this lot differ among themselves by a standard deviation of {value}, below the limit of {limit}: less than those of other lots.",

	"many_on_one_item":           "“{name}” is many readings of one item. They share all that the item has and are no group of items: chart what the item makes of them, such as the lowest or the spread.",
	"no_such_point":              "There is no such point on this chart.",
	"baseline_short":             "A baseline needs {needed} points, and this stretch has {n}.",
	"baseline_long":              "A baseline takes at most {most} points.",
	"baseline_few_points":        "No product has points enough in this stretch: each needs {needed} of its own, and all together 20.",
	"baseline_no_spread":         "All values of this stretch are the same: there is no spread to find limits from.",
	"baseline_resolution_coarse": "The gauge is too coarse for limits from this stretch.",
	"lots_of_one_product":        "Lots are charted one block model at a time: choose a product.",
	"outside_baseline":           "What is left out has to be a point of the stretch.",
	"cause_in_words":             "Say in words what it was: “another cause” alone says nothing.",
	"event_in_future":            "An event has happened: its moment lies ahead.",
	"not_alarms":                 "A budget is a number from {least} to {most} false alarms a month.",
}

// enCauses are what can be behind a signal.
var enCauses = map[string]string{
	"misread":      "misread or mistyped",
	"gauge":        "the gauge",
	"stand":        "the stand or bench: a roller, a clamp",
	"tool":         "a tool",
	"material":     "the material, a lot",
	"method":       "the way of working",
	"person":       "somebody new to the work",
	"surroundings": "heat, cold, draught",
	"wanted":       "a change that was wanted",
	"not_found":    "looked for, nothing found",
	"other":        "another cause",
}

// enChartUnits are the units of what charts show, and of limits, beside those that are
// measured.
var enChartUnits = map[string]string{
	"sigma": "standard deviations",
	"usual": "times the usual",
	"MOhm":  "MΩ",
	"ohm/V": "Ω/V",
}

// enChartSentences say what a chart finds where nothing around it says what is
// charted: on the page of what needs somebody, and in a review.
var enChartSentences = map[string]string{
	"charts_steady":      "In control: nothing on {n} watched charts waits for a cause.",
	"charts_open":        "{has} of {n} watched charts have a signal that waits for a cause.",
	"chart_drifted_high": "{family}, {name}: {place} drifted up by {value} since {date}; likely a little high, because it was picked for standing out.",
	"chart_drifted_low":  "{family}, {name}: {place} drifted down by {value} since {date}; likely a little high, because it was picked for standing out.",
	"chart_beyond":       "{family}, {name}: {place} has {beyond} of the last {recent} beyond a limit.",
	"chart_came_back":    "{family}, {name}: {place} came back on {date} after a drift whose cause nobody gave.",
}
