package words

// enRefusals say why a well-formed request cannot be carried out now.
var enRefusals = map[string]string{
	"item_on_hold":           "The item is on hold: {reason}.",
	"lot_on_hold":            "The lot {lot} is on hold: {reason}.",
	"not_inspected":          "The item has no inspection to certify.",
	"not_passed":             "The inspection did not pass: {names}.",
	"inspection_incomplete":  "The inspection is not complete: {names} missing.",
	"inspection_provisional": "The inspection is provisional: the rest was shorter than asked for.",
	"inspection_superseded":  "The inspection was corrected by a later one.",
	"specification_newer":    "A newer specification applies to stock: inspect again.",
	"instrument_was_out":     "{instrument} was out of use when the readings were taken.",
	"already_certified":      "The inspection is certified already: {number}.",
	"already_void":           "{number} revision {revision} is void already, since {date}, by {person}.",
	"already_superseded":     "{number} revision {revision} was superseded by revision {successor} on {date}, by {person}: only the revision in force can be voided.",
	"original_never_drawn":   "{number} revision {revision} was first opened after it was no longer in force: its paper was never drawn without the mark.",
	"already_lifted":         "The hold is lifted already.",
	"not_yours":              "Only the person who took it, or an inspector, may correct it.",
	"second_person_needed":   "The person who releases must be another than the one who measured.",
	"shop_name_missing":      "The shop’s name and address are not set.",
	"wrong_pin":              "The PIN is wrong.",
	"too_many_tries":         "Too many tries: wait {seconds} seconds.",
	"stale":                  "It was changed by somebody else meanwhile: look again and decide again.",
}

// enRemarks are worth saying about a record and judge nothing.
var enRemarks = map[string]string{
	"instrument_overdue":       "{instrument} was overdue for calibration since {due}.",
	"by_gauge_table":           "Read in divisions of {instrument}, by its table {n} for {spoke}.",
	"finer_than_resolution":    "Readings have more decimals than {instrument} resolves ({resolution}).",
	"clock_differs":            "The tablet’s clock was {offset}; the server’s time is kept beside it.",
	"recheck_of_certified":     "Taken after certificate {number} was issued: kept as a recheck.",
	"another_person_measured":  "{person} measured this item as well on the same day.",
	"drift_corrected":          "Drift of {drift} over the turn was taken out evenly.",
	"tension_spread_warning":   "{name}: {value} is above the warning of {warn}.",
	"above_warning":            "{name}: {value} is above the warning of {warn}.",
	"sides_swapped":            "The side ratio is near the inverse of the expected one: are sides A and B exchanged?",
	"resistance_unit_guess":    "{typed} would be plausible in {unit}.",
	"resistance_implausible":   "{typed} is outside the plausible window of {low} to {high}.",
	"temperature_far_from_25":  "Measured at {temperature}, corrected to 25\u00a0°C.",
	"rest_too_short":           "Rested {rest} before the reading, less than the {least} asked for.",
	"on_charger":               "A charger was connected.",
	"under_load":               "A current was flowing.",
	"surface_charge_suspected": "A block is above {limit}: surface charge is suspected.",
	"block_reversed":           "The sum suggests that block {position} is reversed.",
	"block_missing":            "The sum suggests that block {position} is missing or bypassed.",
	"tyre_on":                  "Measured with the tyre on.",
}
