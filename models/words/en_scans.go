package words

// enScans say exactly what was scanned where the serial of an item is wanted.
var enScans = map[string]string{
	"foreign_serial":      "{serial} is well read, but this shop never gave it out. It may be another shop’s.",
	"serial_on_roll":      "{serial} is on a printed roll and was not scanned at a stand or bench yet.",
	"serial_tail_unknown": "No item here ends in {typed}. Scan the label, or type the whole serial.",
	"serial_tail_several": "{typed} is the end of {serials}: type the whole serial.",
	"scan_lot":            "{lot} is a lot of {material}, not an item. Scan the item’s label.",
	"scan_makers_number":  "{number} is the maker’s number of a {kind}, {model}. Scan the item’s label.",
	"scan_certificate":    "That is the code on certificate {number} of {serial}. Scan the item’s label.",
	"scan_gs1":            "A supplier’s GS1 code: {elements}. Scan the item’s label.",
	"scan_gs1_damaged":    "A supplier’s GS1 code that cannot be read whole: {typed}. Scan the item’s label.",
	"gs1_form":            "In this GS1 code, {elements} is not as it should be. Scan it again, or type what stands there.",
	"gs1_check":           "In this GS1 code, the check digit of {elements} does not fit. Scan it again.",
	"gs1_date":            "In this GS1 code, {elements} is no date.",
	"gs1_alone":           "In this GS1 code, {elements} stands without its article. Scan the whole of it.",
	"gs1_unknown":         "This GS1 code cannot be read from “{typed}” on. Type what stands there.",
	"gs1_no_serial":       "This GS1 code holds no serial. Type the number that stands on the part.",
	"gs1_for_code":        "That is the supplier’s code. Scan it into “Supplier’s lot”; this is the shop’s own.",
	"scan_article":        "{number} is an article number of trade goods. Scan the item’s label.",
	"scan_link":           "That is a web address, {address}. Scan the item’s label.",
	"lot_for_number":      "{lot} is the code of a lot. The number of the part itself is wanted here.",
	"serial_for_number":   "{serial} is the serial of a {kind}. The number of a motor or block is wanted here.",
}

// enElements name the values of a supplier's code by their identifiers.
var enElements = map[string]string{
	"00": "shipping unit", "01": "article", "02": "contents", "10": "lot", "11": "made on", "12": "due on", "13": "packed on", "15": "best before", "16": "sell by", "17": "expires on", "20": "variant",
	"21": "serial", "240": "further article", "241": "customer’s part", "30": "count", "37": "count", "400": "order", "8006": "piece of an article",
}
