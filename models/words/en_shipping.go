package words

// enShipping say what keeps something from being packed or sent off, and what
// is wrong with an order or a customer.
var enShipping = map[string]string{
	"shipped_already":    "{serial} is shipped already.",
	"item_gone":          "{serial} was scrapped or sent back: it does not leave with anything.",
	"gone_from_kit":      "{serial} was scrapped or sent back: take it out of this kit and put another in.",
	"not_released":       "{serial} is not released.",
	"held_back":          "{serial} is on hold: {reason}.",
	"was_held":           "{serial} was on hold.",
	"no_certificate":     "{serial} has no certificate in force.",
	"certificate_before": "The certificate of {serial} shows it as it was before it was worked on: issue a revision.",
	"certificate_parts":  "The certificate of {serial} names other parts than are in it: issue a revision.",
	"rebuilt_unread":     "Parts were taken out of {serial} after it was measured last.",
	"turned_unread":      "Nipples of {serial} were turned after it was measured last.",
	"turns_contradicted": "The readings of {serial} contradict the turns made before them, and nobody has said what happened.",
	"turns_to_repeat":    "The readings of {serial} are to be taken again: they contradict the turns made before them.",
	"past_ready":         "{serial} was ready to ship until {date}: charge it and read it again.",
	"not_packable":       "{serial} is neither a wheel nor a pack.",
	"in_this_kit":        "{serial} is in this kit already.",
	"in_a_kit":           "{serial} is in the kit {kit}.",
	"not_in_kit":         "{serial} is not of a product that {product} still asks for.",
	"kit_lacks":          "{serial} lacks {count} of {name}.",
	"no_kit":             "{serial} is no kit.",
	"shipment_void":      "The shipment {number} is void already.",
	"order_not_open":     "No open order has the number {order}.",
	"order_line_missing": "An order says what is wanted: choose it here, with how many.",
	"order_wants_none":   "Order {order} does not wait for {serial}.",
	"too_short_to_find":  "Type at least {least} characters.",
	"product_or_part":    "Name a product or small parts, one of them.",
	"line_twice":         "This stands in another line already: put the numbers together.",
	"kit_line":           "Line {line}: want a number and what it is, as “2 torque arms”.",
}
