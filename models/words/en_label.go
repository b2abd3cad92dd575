package words

// enLabels are the words on labels.
var enLabels = map[string]string{
	"title":               "Label {code}",
	"chemistry_and_volts": "{chemistry}, {volts} nominal.",
	"volts":               "{volts} nominal.",
	"makers_data_first":   "Maker’s data first.",
	"received":            "Received {date}",
	"supplier_lot":        "Supplier’s lot {code}",
	"box":                 "Box {n} of {count}",
	"order":               "Order {order}",
	"signs_replaced":      "A sign that the label’s letters lack is printed as “?”.",
}

// enLabelSizes name the sizes of labels.
var enLabelSizes = map[string]string{
	"100x50":     "100 × 50 mm",
	"62x29":      "62 × 29 mm",
	"50x25":      "50 × 25 mm",
	"38x19":      "38 × 19 mm",
	"25x15":      "25 × 15 mm",
	"sheet_3x8":  "A4 sheet of 24, 63.5 × 33.9 mm",
	"sheet_4x10": "A4 sheet of 40, 48.5 × 25.4 mm",
	"sheet_5x13": "A4 sheet of 65, 38.1 × 21.2 mm",
}

// enSymbols name the codes on labels.
var enSymbols = map[string]string{
	"qr":          "QR code",
	"data_matrix": "Data Matrix",
	"code_128":    "Code 128",
}

// enLabelRefusals say why a label is not printed.
var enLabelRefusals = map[string]string{
	"label_symbol_too_small":   "{label_size} is too small for {symbol}: its modules would be {got} mm, and {least} mm is the least that is read with certainty. Take a larger label or another symbol.",
	"label_symbol_cannot_hold": "{symbol} cannot hold {code} so that every reader gives it back: plain letters, digits and signs only, and not too many.",
	"label_text_too_small":     "{label_size} is too small for {code}: its letters would be lower than 2.5 mm. Take a larger label.",
	"label_words_too_small":    "{label_size} is too small for the words that this label must carry. Take a larger one.",
	"label_hub_symbol":         "A hub mark is a Data Matrix.",
	"label_kind_of_subject":    "A {kind} gets no serial of the shop, so it has no label.",
	"place_on_sheet":           "The places of this sheet go from 1 to {most}.",
	"too_many_labels":          "{got} labels: 1 to {most} are printed in one go.",
	"serial_not_on_roll":       "{serial} is not on this roll: it goes from {first} to {last}.",
	"serials_turned":           "The last serial lies before the first.",
	"label_named_twice":        "{serial} stands there twice.",
}
