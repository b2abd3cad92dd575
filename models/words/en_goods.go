package words

// enLotStates say how a lot stands.
var enLotStates = map[string]string{
	"accept":     "accepted",
	"concession": "used under a concession",
	"quarantine": "in quarantine",
	"return":     "sent back",
}

// enPlanKinds name the ways of choosing what is looked at of a lot.
var enPlanKinds = map[string]string{
	"none":   "nothing is looked at",
	"zero":   "a sample, none of it bad",
	"single": "a sampling plan by level and AQL",
	"all":    "every piece",
}

// enCheckVerdicts are those of an incoming inspection.
var enCheckVerdicts = map[string]string{
	"accepted":   "passed",
	"rejected":   "not passed",
	"unfinished": "not finished",
}

// enGoods say what is wrong with goods in.
var enGoods = map[string]string{
	"file_too_large":       "The file is larger than {most} MB and was not kept. Take the photo at a lower resolution, or send it in parts.",
	"file_empty":           "Choose a photo or a PDF.",
	"file_type":            "By its content this is {typed}, whatever its name says. Photos as JPEG, PNG or WebP are kept, and PDF.",
	"file_broken_off":      "The file did not arrive whole. Send it again.",
	"claim_customer_gone":  "The customer was erased, and no photo of theirs is kept any more.",
	"papers_too_many":      "{most} papers hang on this already.",
	"material_code":        "A code has 1 to 30 small letters, digits or underscores, and begins with a letter.",
	"lot_size_unknown":     "Nobody said how many pieces came, so there is nothing to compare with.",
	"no_such_plan":         "There is no settled plan for this lot at an AQL of {typed}: take the next one.",
	"share_out_of_range":   "A share lies from 0.1 to 99 %.",
	"more_than_came":       "That is more than the {most} that came.",
	"more_bad_than_looked": "{got} bad ones, but only {most} were looked at. A piece with two faults counts once, under the worse.",
	"lot_set_aside":        "Lot {lot} is set aside: no piece of it is fitted until somebody decides.",
	"lot_of_other_use":     "Lot {lot} is one of {name}, which are not fitted there: was another label scanned?",
	"not_a_bin":            "{lot} is a lot of its own. Give the bin another code.",
	"mix_cycle":            "Lot {lot} holds pieces of this bin already.",
	"mix_of_materials":     "Lot {lot} is of another material than the first.",
}

// enGoodsRefusals say why something about a lot cannot be done now.
var enGoodsRefusals = map[string]string{
	"lot_decided_already": "This is decided about lot {lot} already.",
	"lot_adds_up":         "Lot {lot} adds up: there is nothing to explain.",
}
