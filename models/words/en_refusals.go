package words

// enRefusals say why a well-formed request cannot be carried out now.
var enRefusals = map[string]string{
	"item_on_hold":         "The item is on hold: {reason}.",
	"not_inspected":        "The item has no inspection to certify.",
	"not_own_work":         "{person} measured it; {person}, an inspector or the owner releases it.",
	"not_read_since":       "It passed before it was in process again: measure it once more.",
	"not_passed":           "The inspection did not pass: {names}.",
	"specification_newer":  "A newer specification applies to stock: inspect again.",
	"already_void":         "{number} revision {revision} is void already, since {date}, by {person}.",
	"already_superseded":   "{number} revision {revision} was superseded by revision {successor} on {date}, by {person}: only the revision in force can be voided.",
	"original_never_drawn": "{number} revision {revision} was first opened after it was no longer in force: its paper was never drawn without the mark.",
	"already_lifted":       "The hold is lifted already.",
	"no_certificates":      "Nothing in it has a certificate in force.",
	"no_signing_key":       "No signing key is at hand, and no certificate goes out unsigned: look at the settings of the server.",
	"last_signing_key":     "It is the last key that signs: make another first, then retire this one.",
	"shop_name_missing":    "The shop’s name and address are not set.",
	"too_many_tries":       "Too many tries: wait {seconds} seconds.",
	"stale":                "It was changed by somebody else meanwhile: look again and decide again.",
	"export_not_ours":      "The file {file} is not one that this program wrote, and would be written over. Nothing was written: name a folder of its own with --folder, as one below that of the site.",
}
