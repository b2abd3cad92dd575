package words

// enListProblems say what is wrong with a list, its heading, a row or a cell.
var enListProblems = map[string]string{
	"sheet_quote":              "A quotation mark stands where none may. Put the whole cell into quotation marks and double those inside.",
	"sheet_quote_open":         "A quotation mark is opened here and never closed: the rest of the list lies in this one cell.",
	"sheet_torn":               "A character is broken here: the list was damaged or broke off, or holds text of two encodings. Save it anew as CSV in UTF-8.",
	"list_no_text":             "This is no CSV but another kind of file. Save the list as CSV first.",
	"list_too_long":            "The list has more than {most} rows. Take it in in parts.",
	"list_empty":               "There is no row below a heading.",
	"list_no_heading":          "The first row names no column that is known. It may name: {names}.",
	"list_heading_near":        "This heading is not known. Is “{name}” meant?",
	"list_heading_twice":       "Two columns have this heading.",
	"list_column_missing":      "This column is needed and is not there.",
	"list_too_many_cells":      "The row has {got} cells and the heading {most}. A text that holds the mark between cells needs quotation marks around it.",
	"list_bad_characters":      "This holds characters that were lost or cannot be shown.",
	"list_number_two_meanings": "“{typed}” is a thousand times more if the mark is one for thousands. Write it without.",
	"list_not_whole":           "“{typed}” is not a whole number. Write digits alone.",
	"list_day_two_meanings":    "“{typed}” is another day where the month is written first. Write the year first, as 2026-03-05.",
	"list_not_a_day":           "“{typed}” is not a day. Write 2026-03-05 or 05.03.2026.",
	"list_twice":               "Row {row} is about the same one.",
	"list_differs":             "It is on record already and differs there in: {names}. A list changes nothing: leave the row out, or put the record right on its page.",
	"list_unknown_material":    "“{typed}” is no material here: {names}. The owner adds one under Materials.",
	"list_unknown_kind":        "“{typed}” is no kind that a list brings: {names}.",
	"list_serial_or_number":    "Give the serial of an item that is here, or the number that stands on it.",
	"list_serial_unknown":      "No item and no printed label has the serial {serial}. Leave it empty and give the number that stands on the item: it gets a serial here.",
	"list_not_of_kind":         "Leave this empty for a {kind}.",
	"list_not_asserted":        "No list can say this: an item gets it here, when it is inspected, released, shipped or taken apart. Leave it empty.",
	"list_other_roll":          "This label was printed for {product}.",
	"list_product_twice":       "Several products are called {product}. Enter this item by hand.",
	"list_unknown_person":      "Nobody called {typed} works or worked here.",
	"list_person_twice":        "Several people are called {typed}. Leave it empty, or tell their names apart first.",
}

// enListRemarks are worth saying about a list that has nothing wrong with it.
var enListRemarks = map[string]string{
	"list_windows_1252":    "The text is not UTF-8. It was read as Windows-1252: see whether umlauts and accents came out right.",
	"list_column_left_out": "Not taken in: {name}.",
	"list_is_another":      "This is another list than the one that was looked at. Look at it again.",
}

// enLists name the kinds of list.
var enLists = map[string]string{
	"lots":          "lots",
	"items":         "items",
	"build-records": "build records",
	"customers":     "customers",
	"results":       "results of inspections",
	"shipments":     "shipments",
}

// enListSays tell what a kind of list brings.
var enListSays = map[string]string{
	"lots":          "What came in before, or a whole delivery: a lot a row.",
	"items":         "Motors and blocks by their maker’s number, and wheels and packs that are here and older than this log. They get a serial of the shop and no verdict: nothing of how they were made or measured is known here. What was shipped before needs no row.",
	"build-records": "What was built into wheels and packs, when and by whom: a part or lot a row. The items, lots, motors and blocks must be here first.",
	"customers":     "Whom things go to. The list itself is kept nowhere.",
}

// enColumns say what may stand in a column of a list.
var enColumns = map[string]string{
	"lots.code":         "The shop’s own. Empty: one is given out.",
	"lots.material":     "As under Materials.",
	"lots.description":  "What it is, more closely.",
	"lots.supplier":     "A new name joins the register.",
	"lots.supplier lot": "Their code for it.",
	"lots.date code":    "As it stands on the goods.",
	"lots.quantity":     "Pieces, a whole number.",
	"lots.received on":  "2026-03-05 or 05.03.2026. Empty: today.",

	"items.serial":   "Of an item that is here, or from a printed label. Empty: wheels and packs get one.",
	"items.kind":     "wheel, pack, motor or block.",
	"items.product":  "By its name. Wheels and packs need it.",
	"items.supplier": "Of a motor or block.",
	"items.model":    "Of a motor or block.",
	"items.number":   "The maker’s, or the one that a wheel or pack already carries.",
	"items.built on": "Of a wheel or pack, where it is known.",

	"build-records.item":        "Its serial, or the number that it carries.",
	"build-records.role":        "motor, rim, spokes A, spokes B, nipples, block, connector, harness, fuse or case.",
	"build-records.place":       "Of a block: string and place, as 1.3.",
	"build-records.lot":         "The lot’s code, or else a number:",
	"build-records.number":      "The maker’s number of a motor or block, or its serial.",
	"build-records.supplier":    "Where the number alone does not tell.",
	"build-records.model":       "Where the number alone does not tell.",
	"build-records.quantity":    "Pieces. Empty: one.",
	"build-records.built in on": "Empty: today.",
	"build-records.by":          "The name of somebody under People. Empty: you.",
	"build-records.reason":      "Why more of a lot is used than it has.",

	"customers.name":    "Of a person or firm.",
	"customers.phone":   "As it is dialled.",
	"customers.e-mail":  "One address.",
	"customers.address": "May have several lines.",
	"customers.note":    "May have several lines.",
}
