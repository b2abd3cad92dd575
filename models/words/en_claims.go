package words

// enClaimStates say how a claim stands.
var enClaimStates = map[string]string{
	"open":    "waits for a decision",
	"decided": "decided",
	"closed":  "closed",
}

// enDecisions are those about a claim.
var enDecisions = map[string]string{
	"accept":   "accepted under warranty",
	"goodwill": "accepted as goodwill",
	"reject":   "rejected",
	"no_fault": "no fault found",
}

// enSymptoms are what customers complain of.
var enSymptoms = map[string]string{
	"spoke_broken":    "a spoke broke",
	"wobbles":         "it wobbles sideways",
	"hops":            "it hops",
	"ticks":           "it ticks or creaks",
	"motor_dead":      "the motor does not turn, or stutters",
	"has_play":        "something on it has play",
	"hot_or_swollen":  "it is hot, swollen or smells",
	"dead":            "it gives no voltage",
	"short_range":     "it does not last",
	"cuts_out":        "it cuts out under load",
	"will_not_charge": "it does not charge",
}

// enQuestions are asked with the item in hand.
var enQuestions = map[string]string{
	"rim_cracked":      "Is the rim dented or cracked?",
	"pulled_through":   "Is a spoke hole of the rim torn or bulged?",
	"flange_worn":      "Is a flange hole worn or cracked?",
	"thread_short":     "Did it break in the thread, with little thread in the nipple?",
	"hub_loose":        "Does the hub move on its bearings?",
	"spokes_slack":     "Are many spokes slack?",
	"joint_felt":       "Can a step be felt at the rim joint?",
	"spoke_gone":       "Is a spoke broken?",
	"bearing_rough":    "Does it run rough or grind by hand?",
	"nipple_askew":     "Does a nipple sit askew in its hole?",
	"cable_cut":        "Is the jacket of the motor cable cut?",
	"pins_bent":        "Is a pin of the motor connector bent or burnt?",
	"axle_flat_worn":   "Are the axle flats or its thread damaged?",
	"case_bulges":      "Does a block bulge, leak, or show that it vented?",
	"metal_burnt":      "Is a joint between blocks burnt or discoloured?",
	"connector_burnt":  "Is the connector burnt, or wired the wrong way round?",
	"fuse_open":        "Is the fuse open?",
	"busbar_loose":     "Is a link or busbar loose?",
	"block_behind":     "Is one block clearly behind the others at rest?",
	"sinks_under_load": "Does the voltage sink much under load?",
	"lost_standing":    "Did it lose its charge while it stood?",
}

// enClaims say what is wrong with what was entered about a claim.
var enClaims = map[string]string{
	"claim_nothing_named": "Name the item, or its motor number, its order, or what it is.",
	"claim_closed":        "The claim {number} is closed. Open a new one for what came up since.",
	"claim_undecided":     "Decide first: a claim is closed with an answer.",
	"claim_reason_alone":  "Choose a decision: the reason is kept with it.",
	"claim_other_kind":    "The claim is about a {kind}, and this is none.",
	"claim_moved_why":     "The claim names another item. Say why it is this one: both stay on record.",
	"claim_moves_no_more": "The claim was decided, or a part was swapped for it, on the item it names. Close it, and open one on this item.",
	"no_spoke":            "Spokes are numbered from 1, to {most} at most.",
	"check_list_empty":    "A check list asks something. Keep one question at least.",
	"check_list_same":     "Nothing of it was changed.",
	"one_question":        "Ask by an item, or by a number, not both.",
	"claim_not_that_item": "That was not swapped in this item.",
	"came_later":          "That day lies ahead.",
	"not_days":            "Want whole working days, 1 to {most}.",
	"not_months":          "Want whole months, {most} at most.",
	"not_an_amount":       "Want an amount, as 34.20 or 34,20.",
}
