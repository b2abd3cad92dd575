package words

// enShipping say what keeps something from being packed or sent off, and what
// is wrong with an order or a customer.
var enShipping = map[string]string{
	"shipped_already":    "{serial} is shipped already.",
	"item_gone":          "{serial} was scrapped or sent back: it does not leave with anything.",
	"gone_from_kit":      "{serial} was scrapped or sent back: take it out of this kit and put another in.",
	"held_back":          "{serial} is on hold: {reason}.",
	"not_packable":       "{serial} is neither a wheel nor a pack.",
	"in_this_kit":        "{serial} is in this kit already.",
	"in_a_kit":           "{serial} is in the kit {kit}.",
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
