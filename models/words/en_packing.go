package words

// enPacking are the words of the list that lies in the box.
var enPacking = map[string]string{
	"title":          "Packing list",
	"void":           "VOID",
	"void_line":      "Void: this did not go out.",
	"page":           "Page {page} of {pages}",
	"to":             "To",
	"shipped":        "Shipped on",
	"order":          "Order",
	"carrier":        "Carrier",
	"tracking":       "Their number",
	"kit":            "Kit {serial}, {product}",
	"by_themselves":  "Without a kit",
	"count":          "Pieces",
	"what":           "What",
	"serial":         "Serial",
	"certificate":    "Certificate",
	"certificate_of": "{number}, revision {revision}",
	"no_certificate": "none",
	"concessions":    "By concession",
	"at_packing":     "What was said on {date}, when it was packed: {against} Packed all the same, because: {reason}",
	"because":        "Sent all the same, because: {reason}",
	"signs_replaced": "A sign that this paper’s letters lack is printed as “?”.",
	"makers_first":   "The makers’ data, local codes and licensed practice come first when this is built in, charged and ridden.",
}
