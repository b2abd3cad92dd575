package words

// enSeverities say how bad a defect is.
var enSeverities = map[string]string{
	"critical": "critical: it touches safety",
	"major":    "major",
	"minor":    "minor",
}

// enWorks name what a rework or a repair does to an item.
var enWorks = map[string]string{
	"retension":    "spokes turned",
	"spoke_change": "spokes or nipples changed",
	"rim_change":   "rim changed",
	"axle_work":    "work on the axle or the hub",
	"cable_work":   "work on the cable or the connector",
	"block_change": "a block changed",
	"reconnect":    "a link, lead or terminal done again",
	"recharge":     "charged and rested",
	"case_work":    "work on the case or the labels",
	"other":        "something else: all is read again",
}

// enDisposed name the dispositions.
var enDisposed = map[string]string{
	"use_as_is":       "use as it is, by concession",
	"rework":          "rework: make it conform",
	"repair":          "repair: make it usable",
	"scrap":           "scrap",
	"return_supplier": "return to the supplier",
}

// enNonconformitySteps say what became of a nonconformity.
var enNonconformitySteps = map[string]string{
	"inspect_fail":            "inspected again, and closed as nonconforming",
	"inspect_pass":            "inspected again, and passed",
	"dispose_use_as_is":       "to be used as it is",
	"dispose_rework":          "to be reworked",
	"dispose_repair":          "to be repaired",
	"dispose_scrap":           "to be scrapped",
	"dispose_return_supplier": "to go back to its supplier",
	"approve_concession":      "concession approved",
	"reject_concession":       "concession not approved",
	"rework_done":             "rework done",
	"repair_done":             "repair done",
	"confirm_scrap":           "marked and scrapped",
	"confirm_return":          "sent back to its supplier",
	"part_scrapped":           "taken out and scrapped",
	"part_returned":           "taken out and sent back to its supplier",
	"noted":                   "noted",
}

// enActionStates say how a corrective action stands.
var enActionStates = map[string]string{
	"open":   "to be done",
	"done":   "done; did it work?",
	"worked": "it worked; to be closed",
	"closed": "closed",
}

// enSecondPersons name what another person may have to confirm.
var enSecondPersons = map[string]string{
	"use_as_is":         "Approve a concession",
	"rework":            "Inspect after a rework",
	"repair":            "Inspect after a repair",
	"scrap":             "Confirm that something is scrapped",
	"return_supplier":   "Confirm that something went back to its supplier",
	"corrective_action": "Close a corrective action",
}

// enNonconforming say why something about nonconforming work is refused, and what
// an inspection after a rework lacks.
var enNonconforming = map[string]string{
	"hold_needs_disposition":    "{number} stands on this hold: it ends with what is decided there.",
	"nonconformity_open":        "{serial} has a nonconformity that is open already.",
	"nonconformity_not_here":    "{serial} is {state}: open a claim when it comes in.",
	"nonconformity_closed":      "{number} is closed.",
	"nonconformity_other_state": "{number} is at another step: its item is {state}.",
	"second_person_decides":     "The shop wants another person for this than the one who decided on {number}.",
	"severity_below":            "{code} counts as worse than that: one case can be said to be worse than its code, not better.",
	"scrap_unmarked":            "Mark it first, so that nobody takes it for a good one.",
	"waits_in_state":            "It is {state}.",
	"unknown_nonconformity":     "There is no nonconformity {number}.",
	"read_before_rework":        "These readings are from before the work on {number} was done: it is read again.",
	"not_read_again":            "{name} was not read again, and {number} asks for it.",
	"second_person_reads":       "Whoever did the work on {number} read it too: the shop wants another person for that.",

	"not_a_defect_code": "A code is W, P or K with two or three digits: W25.",
	"nothing_changed":   "Nothing is changed by this.",

	"action_closed":        "{number} is closed.",
	"action_other_state":   "{number} is at another step meanwhile.",
	"action_second_person": "The shop wants {number} closed by another person than who sees to it or looked whether it worked.",
	"check_before_due":     "Whether it worked is seen after it was done.",
	"not_a_day":            "This is no day.",
}
