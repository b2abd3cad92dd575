package words

// Verdicts, their reasons, and the rules they come from.

var enVerdicts = map[string]string{
	"pass":                   "pass",
	"fail":                   "fail",
	"provisional":            "provisional",
	"incomplete":             "incomplete",
	"none":                   "no limit",
	"conditional_pass":       "pass, in the guard band",
	"conditional_fail":       "fail, in the guard band",
	"conformity_verified":    "conformity shown",
	"nonconformity_verified": "nonconformity shown",
	"not_verified":           "not shown either way",
}

// enReasons say why a result got its verdict. Values: value, low, high,
// accept_low, accept_high, each with its unit.
var enReasons = map[string]string{
	"within":                       "{value} is within the limit.",
	"equal_to_limit":               "{value} is equal to the limit, which passes.",
	"above_high":                   "{value} is above the limit of {high}.",
	"below_low":                    "{value} is below the limit of {low}.",
	"in_guard_band":                "{value} is within the limit but closer to it than the measurement uncertainty allows.",
	"no_acceptance_zone":           "The uncertainty is too large for these limits: no value could pass.",
	"no_limit":                     "No limit is set for it.",
	"instrument_not_trusted":       "Not judged: it was read with a gauge that is out of use, or overdue where the shop lets none judge.",
	"not_measured":                 "Not measured: the method does not give it.",
	"ticked_yes":                   "Checked and found right.",
	"ticked_no":                    "Checked and not found right.",
	"not_applicable":               "Does not apply to this item.",
	"missing":                      "The specification asks for it and it was not measured.",
	"rest_too_short":               "The rest before the reading was shorter than asked for.",
	"on_charger":                   "A charger was connected.",
	"under_load":                   "A current was flowing.",
	"surface_charge_suspected":     "The voltage is so high that surface charge is suspected.",
	"REFUSE_EMPTY_ACCEPTANCE_ZONE": "The uncertainty is too large for these limits: no value could pass.",
}

var enRules = map[string]string{
	"simple":    "simple acceptance",
	"guarded":   "guarded acceptance",
	"nonbinary": "acceptance with a guard band",
	"iso14253":  "acceptance by the ISO 14253-1 rule",
}

// enRulesInWords is what a certificate prints. Values: factor, the guard
// factor.
var enRulesInWords = map[string]string{
	"simple": "Simple acceptance: a result within the limit, or equal to it, passes. The expanded uncertainty U (about 95 %) is stated where it is known; " +
		"it does not move the limit, so the true value of a result close to a limit may lie beyond it.",
	"guarded":     "Guarded acceptance: each limit is moved inward by {factor} times the expanded uncertainty U (about 95 %). A result passes when it lies within “Accepted”, that limit included.",
	"guarded_one": "Guarded acceptance: each limit is moved inward by the expanded uncertainty U (about 95 %). A result passes when it lies within “Accepted”, that limit included.",
	"nonbinary": "Acceptance with a guard band: each limit is moved inward by {factor} times the expanded uncertainty U (about 95 %). Within the moved limit a result passes; " +
		"between the moved limit and the limit the verdict says so.",
	"iso14253": "Acceptance by ISO 14253-1: each limit is moved inward by {factor} times the expanded uncertainty U (about 95 %). Conformity is shown only within the moved limit.",
}

var enGrades = map[string]string{
	"fine":       "fine",
	"standard":   "standard",
	"utility":    "utility",
	"minimum":    "minimum",
	"own":        "own limits",
	"A":          "A",
	"B":          "B",
	"rework":     "rework",
	"quarantine": "quarantine",
}
