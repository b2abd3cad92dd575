package words

// enGoodness is what is said of how good the work is against its limits.
var enGoodness = map[string]string{
	"good_never":      "{result} was never measured here in this time.",
	"good_without":    "{result} has no limit here: {n} values, and nothing to hold them against.",
	"good_ticked":     "{result}: {k} of {n} failed it when first looked at, {share} % ({share_low} to {share_high}).",
	"good_ticked_few": "{result}: {k} of {n} failed it when first looked at: too few to give a share.",
	"good_few":        "{k} of {n} lie beyond their limits when first read: too few to give a share.",
	"good_beyond":     "{k} of {n} lie beyond the limits of their product when first read, {share} % ({share_low} to {share_high}).",
	"good_above":      "{k} of {n} lie above {limit} when first read, {share} % ({share_low} to {share_high}).",
	"good_below":      "{k} of {n} lie below {limit} when first read, {share} % ({share_low} to {share_high}).",
	"good_outside":    "{k} of {n} lie outside {low} to {high} when first read, {share} % ({share_low} to {share_high}).",

	"good_no_promise":   "Not in control throughout this time, so this is not a promise. Signals on its chart: {count}.",
	"good_control_open": "No chart with limits stands behind this yet, so it is not known to be in control.",

	"good_law":            "A {law} law fits and puts {share} % beyond the limit ({share_low} to {share_high}).",
	"good_law_point":      "A {law} law fits and puts {share} % beyond the limit; the values settle no interval.",
	"good_law_few":        "A {law} law fits, but {n} values are fewer than the {want} that its tail needs: what was counted stands alone.",
	"good_no_law":         "None of the laws that suit it fits: what was counted stands alone.",
	"good_few_values":     "{n} values are fewer than the {want} that a law needs: what was counted stands alone.",
	"good_several_limits": "These were judged by more than one set of limits, as products have their own and revisions change them: choose a product, or a time since the newest revision, for a law and an index.",
	"good_limits_changed": "A revision of the specification changed the limits within this time: choose one that begins after it for a law and an index.",
	"good_no_limits":      "Without a limit there is no share beyond it.",
	"good_counted":        "Counts follow no law that is fitted here: what was counted stands alone.",

	"good_index":               "Ppk is {index} ({index_low} to {index_high}), of the first readings alone.",
	"good_index_point":         "Ppk is {index}, of the first readings alone; the values settle no interval.",
	"no_index_not_in_control":  "No index: the process is not in control.",
	"no_index_control_unknown": "No index: the process is not known to be in control.",
	"no_index_no_law":          "No index: no law fits.",
	"no_index_few_values":      "No index: it needs {want} values.",
	"no_index_several_limits":  "No index over several limits.",
	"no_index_no_limits":       "No index without a limit.",
	"no_index_counted":         "No index of counts.",

	"good_rounds":       "{k} of {n} need a second round, {share} % ({share_low} to {share_high}).",
	"good_rounds_few":   "{k} of {n} need a second round: too few to give a share.",
	"good_final":        "The {n} certified were corrected until within the limit, and carry no index.",
	"good_final_beyond": "The {n} certified were corrected until within the limit, but for {k} let through; they carry no index.",
	"good_older":        "{k} of {n} were judged by other limits than those in force now, and are counted by the ones of their time.",

	"good_lots_differ": "Lots differ: {share} % of the variance lies between {groups} lots ({share_low} to {share_high}).",
	"good_lots_none":   "No difference is shown between {groups} lots: up to {share_high} % of the variance may lie between them.",
	"good_lot_falls":   "Blocks of lot {lot} fall by {value} mV a day between two readings ({n} blocks), those of the others by {mean} mV; {groups} lots were compared.",

	"good_nothing":     "Nothing of {name} was measured in this time.",
	"good_none_beyond": "No result of {name} lies beyond its limits often enough to be told.",
	"good_most":        "{result} lies beyond its limits most: {k} of {n} when first read, {share} % ({share_low} to {share_high}).",
	"good_most_of":     "{result}, {name}: {k} of {n} lie beyond their limits when first read, {share} % ({share_low} to {share_high}).",
	"good_rounds_of":   "{name}: {k} of {n} need a second round, {share} % ({share_low} to {share_high}).",
}

// enLaws are the laws that values are taken for.
var enLaws = map[string]string{
	"normal":                "normal",
	"lognormal":             "lognormal",
	"weibull":               "Weibull",
	"gamma":                 "gamma",
	"folded_normal":         "folded normal",
	"rayleigh":              "Rayleigh",
	"largest_extreme_value": "largest extreme value",
	"exponential":           "exponential",
	"box_cox":               "power-transformed normal",
}
