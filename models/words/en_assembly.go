package words

// enAssembly say what is wrong with a change of what is built in.
var enAssembly = map[string]string{
	"part_not_in":       "This part is not in it, or not any more.",
	"part_in_already":   "{number} is in {serial} already: take it out there first.",
	"part_gone":         "{number} was scrapped or sent back: it is fitted nowhere again.",
	"not_here":          "{serial} is not here, so nothing can be taken out of it. When it comes in, raise a hold or open a claim; what was recorded wrongly is put right with “it never was in”.",
	"part_named_twice":  "{number} is named twice.",
	"built_into_itself": "{serial} would be built into itself.",
	"no_part":           "{number} is a whole item: it is packed into a kit, not built in.",
	"place_taken":       "Something stands at this place already: take it out first, or swap it.",
	"lot_used_up":       "That is {over} more than the lot {lot} has ({quantity}). Say why, or take another lot.",
	"never_in_and_why":  "“Recorded wrongly” and “it never was in” go together.",
	"its_lot_set_aside": "The lot of {number} is set aside: nothing of it is fitted until somebody decides.",
	"no_motor":          "{number} is no motor.",
	"motor_unknown":     "The motor {number} is not known: say its supplier and model, and it comes in with the wheel.",
	"no_wheel":          "{product} is no wheel.",
	"lot_of_no_use":     "The lot {lot} holds nothing that goes into a wheel.",
	"which_side":        "Sides A and B have different spokes: type the lot {lot} at its side.",
}

// enRemovals say why a part was taken out.
var enRemovals = map[string]string{
	"broken":           "broken",
	"worn":             "worn",
	"damaged":          "damaged",
	"wrong_part":       "wrong part",
	"loses_charge":     "loses charge",
	"resistance":       "resistance off",
	"recall":           "called back by its maker",
	"upgrade":          "another part was wanted",
	"recorded_wrongly": "recorded wrongly",
	"other":            "another reason",
}

// enFates say where a part that was taken out went.
var enFates = map[string]string{
	"scrap":    "scrapped",
	"stock":    "back into the stock",
	"supplier": "back to the supplier",
	"never_in": "it never was in",
}

// enSteps say where work in progress stands.
var enSteps = map[string]string{
	"laced":    "laced",
	"truing":   "truing",
	"building": "building",
	"charging": "charging",
	"resting":  "resting",
	"again":    "to charge again",
	"passed":   "passed, no certificate",
	"ready":    "ready",
	"held":     "on hold",
}

// enKindsOf name many items of a kind.
var enKindsOf = map[string]string{
	"kit":   "kits",
	"wheel": "wheels",
	"pack":  "packs",
	"block": "blocks",
}
