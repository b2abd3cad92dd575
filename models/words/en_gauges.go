package words

// enGauges say what is wrong with a calibration, a check or what follows from
// one.
var enGauges = map[string]string{
	"calibration_in_future":    "It lies in the future: a calibration covers what is measured after it was made.",
	"calibration_time_needed":  "The gauge went out of use or failed a check on that day: the time says whether it was calibrated before or after.",
	"calibration_before_last":  "The calibration of {date} is entered already: a later one covers what was measured since. Calibrations go in in the order of their days.",
	"standard_is_itself":       "{instrument} cannot be held against itself.",
	"left_as_found":            "Nothing was adjusted, so it was left as it was found.",
	"u_above_tolerance":        "The uncertainty is larger than the tolerance: with this standard nobody can tell whether it is met.",
	"reference_twice":          "The reference {reference} stands twice.",
	"calibration_points":       "{got} points: 1 to {most} make a calibration.",
	"calibration_line":         "Line {line}: want the reference, what it read as found and, where it was adjusted, as left.",
	"reference_outside_limits": "The reference lies outside the limits.",
	"checks_too_many":          "An instrument has {most} checks at most: end one first.",
	"check_ended":              "This check is no longer asked for.",
	"instrument_not_out":       "{instrument} is not out of use.",
	"nothing_to_hold":          "Nothing of what {instrument} had measured is left to be put on hold.",
}

// enGaugeRemarks say with what sort of gauge something was read.
var enGaugeRemarks = map[string]string{
	"instrument_out_allowed": "{instrument} was out of use; the owner let its readings be judged: {note}",
	"overdue_blocked":        "Nothing was judged by {instrument}: it was overdue, and the shop lets no overdue gauge judge.",
}

// enGaugeChecks name what a short check looks at.
var enGaugeChecks = map[string]string{
	"zero":            "zero",
	"reference_wheel": "reference wheel",
	"shunt":           "shunt",
	"check_weight":    "check weight",
	"other":           "something known",
}

// enTraceEffects say what a failed gauge means for what it had measured.
var enTraceEffects = map[string]string{
	"stays_good":     "still passes",
	"no_longer":      "no longer passes",
	"not_known":      "cannot be told",
	"failed_before":  "failed then too",
	"no_limit":       "nothing was judged",
	"measured_again": "measured again since",
	"replaced":       "corrected since",
	"passes_now":     "failed, and would pass",
}

// enTraceReasons say why it cannot be told.
var enTraceReasons = map[string]string{
	"standard_failed":         "The gauge was held against the one that failed. How far off it was itself, its own calibration will say.",
	"out_of_calibrated_range": "A reading lies outside the points of the calibration: the error there is not known.",
	"as_found_turns_back":     "As found, the gauge read the same of different values: what a reading meant nobody can say.",
	"cannot_be_judged":        "The readings make no result once the error is taken off.",
}
