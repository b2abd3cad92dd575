package words

// enRefusals say why a well-formed request cannot be carried out now.
var enRefusals = map[string]string{
	"item_on_hold":           "The item is on hold: {reason}.",
	"lot_on_hold":            "The lot {lot} is on hold: {reason}.",
	"not_inspected":          "The item has no inspection to certify.",
	"not_read_since":         "It passed before it was in process again: measure it once more.",
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
	"no_certificates":        "Nothing in it has a certificate in force.",
	"no_signing_key":         "No signing key is at hand, and no certificate goes out unsigned: look at the settings of the server.",
	"last_signing_key":       "It is the last key that signs: make another first, then retire this one.",
	"shop_name_missing":      "The shop’s name and address are not set.",
	"wrong_pin":              "The PIN is wrong.",
	"too_many_tries":         "Too many tries: wait {seconds} seconds.",
	"stale":                  "It was changed by somebody else meanwhile: look again and decide again.",
}
