package words

// enGate say what keeps an item here. A packing list prints them, of what went by
// concession.
var enGate = map[string]string{
	"not_released":       "{serial} is not released.",
	"was_held":           "{serial} was on hold.",
	"no_certificate":     "{serial} has no certificate in force.",
	"certificate_before": "The certificate of {serial} shows it as it was before it was worked on: issue a revision.",
	"certificate_parts":  "The certificate of {serial} names other parts than are in it: issue a revision.",
	"rebuilt_unread":     "Parts were taken out of {serial} after it was measured last.",
	"turned_unread":      "Nipples of {serial} were turned after it was measured last.",
	"turns_contradicted": "The readings of {serial} contradict the turns made before them, and nobody has said what happened.",
	"turns_to_repeat":    "The readings of {serial} are to be taken again: they contradict the turns made before them.",
	"past_ready":         "{serial} was ready to ship until {date}: charge it and read it again.",
	"part_set_aside":     "Part {number} is set aside: nothing that holds it goes out until it is released.",
	"lot_in_quarantine":  "Lot {lot} in it is set aside.",
	"on_charge":          "It is on a charger: let it rest, and read it again.",
	"charged_since":      "It was charged since these readings: let it rest, and read it again.",
	"discharged_since":   "It was discharged on {date}, and not charged and read since: charge it, let it rest, and read it again.",
	"not_in_kit":         "{serial} is not of a product that {product} still asks for.",
	"kit_lacks":          "{serial} lacks {count} of {name}.",
}
