package words

// enEffects say what a change did.
var enEffects = map[string]string{
	"effect_rose":      "{name} rose over {date}: {effect} ({effect_low} to {effect_high})",
	"effect_fell":      "{name} fell over {date}: {effect} ({effect_low} to {effect_high})",
	"effect_none":      "No difference is shown over {date}: {effect} ({effect_low} to {effect_high})",
	"effect_chance":    "With the days shuffled a difference this large comes up in {chance}.",
	"effect_no_moment": "Choose what changed, or type its day.",
	"effect_nothing":   "{name} was not measured in these days.",
	"effect_too_few":   "Too few to compare: {before_n} before on {before_days} days, {after_n} after on {after_days} days; each side needs {least_n} on {least_days} days.",
	"effect_no_spread": "All values of {what} are the same, before and after.",

	"effect_chosen":     "The day was chosen, not recorded. If it was chosen because of what the values show, the chance says nothing.",
	"effect_drift":      "Before, it was moving already: {effect} a month ({effect_low} to {effect_high}). Part of the difference may be that.",
	"effect_others":     "All others ({n} values) changed by {effect} ({effect_low} to {effect_high}) over the same day.",
	"effect_others_too": "All others ({n} values) changed too, by {effect} ({effect_low} to {effect_high}): it may be something that they share.",
	"effect_small":      "One side has only {n} values: the interval is wide, and one day more may move it.",

	"effect_also_calibration":       "Near it, on {date}, gauge {ref} was calibrated.",
	"effect_also_specification":     "Near it, on {date}, specification {ref} came into force.",
	"effect_also_corrective_action": "Near it, on {date}, {ref} was carried out.",
	"effect_also_lot":               "Near it, on {date}, lot {ref} ({material}) was first used.",

	"event_calibration":       "Gauge {ref} calibrated, {date}",
	"event_specification":     "Specification {ref} in force, {date}",
	"event_corrective_action": "{ref} carried out, {date}",
	"event_lot":               "Lot {ref} ({material}) first used, {date}",

	"effect_said_rose":    "After {ref}, carried out on {date}: {what} ({family}) rose, {effect} ({effect_low} to {effect_high}); with the days shuffled a difference this large comes up in {chance}.",
	"effect_said_fell":    "After {ref}, carried out on {date}: {what} ({family}) fell, {effect} ({effect_low} to {effect_high}); with the days shuffled a difference this large comes up in {chance}.",
	"effect_said_none":    "After {ref}, carried out on {date}, no result that could be compared stands out by more than chance gives.",
	"effect_said_none_of": "After {ref}, carried out on {date}: of {n} results compared, none stands out by more than looking at so many gives.",
	"effect_said_few":     "After {ref}, carried out on {date}, nothing can be told yet: no result that has a limit has {least_n} readings on {least_days} days, not all alike, both before it and after.",

	"effect_in_future":    "That day is still to come.",
	"effect_too_long_ago": "That day lies more than {days} days back, beyond what is compared.",
	"effect_days":         "Days on each side: from 0, for all of the year, to 365.",
}
