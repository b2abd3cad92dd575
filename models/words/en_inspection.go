package words

// Names around an inspection: stages, methods, people, gauges.

var enStages = map[string]string{
	"before_relief":  "before stress relief",
	"after_relief":   "after stress relief",
	"recheck":        "recheck",
	"incoming":       "incoming",
	"second_reading": "second reading",
	"final":          "final",
	"packing":        "packing",
}

var enMethods = map[string]string{
	"every_hole":  "every hole",
	"extremes":    "extremes",
	"sample":      "sample",
	"every_block": "every block",
	"whole":       "whole item",
}

var enManners = map[string]string{
	"ac_1khz":      "AC, 1 kHz",
	"dc_two_point": "DC, two currents",
}

var enRoles = map[string]string{
	"operator":  "operator",
	"inspector": "inspector",
	"desk":      "desk",
	"owner":     "owner",
}

var enActs = map[string]string{
	"look":          "look things up",
	"measure":       "record inspections",
	"record":        "build and match, change parts, keep the shelf",
	"print":         "print labels and certificates",
	"raise_hold":    "raise a hold",
	"release":       "release and issue a certificate",
	"release_own":   "release own work and issue its certificate",
	"receive":       "receive lots and parts",
	"lift_hold":     "lift a hold",
	"pack":          "pack kits",
	"ship":          "ship",
	"customers":     "see customers",
	"recall":        "call items back",
	"claims":        "open and decide claims",
	"concede":       "let something out against the gate",
	"dispose":       "decide what becomes of nonconforming work",
	"improve":       "open and close corrective actions",
	"void":          "void a certificate",
	"place":         "settle unplaced inspections",
	"calibrate":     "keep the instruments",
	"specify":       "make and revise specifications",
	"manage_people": "manage people, devices and settings",
	"enter_past":    "enter what was built before",
	"own_secrets":   "set one’s own password and PIN",
}

var enParts = map[string]string{
	"motor":     "motor",
	"rim":       "rim",
	"spokes":    "spokes",
	"spokes_a":  "spokes, side A",
	"spokes_b":  "spokes, side B",
	"nipples":   "nipples",
	"block":     "block",
	"blocks":    "blocks",
	"connector": "connector",
	"harness":   "harness",
	"fuse":      "fuse",
	"case":      "case",
	"wheel":     "wheel",
	"pack":      "pack",
}

var enInstruments = map[string]string{
	"dial":             "dial indicator",
	"tension_gauge":    "spoke tension gauge",
	"reference":        "reference standard",
	"dish_gauge":       "dish gauge",
	"voltmeter":        "voltmeter",
	"resistance_meter": "resistance meter",
	"thermometer":      "thermometer",
}

var enChemistries = map[string]string{
	"flooded":   "lead-acid, flooded",
	"agm":       "lead-acid, glass mat",
	"agm_small": "lead-acid, glass mat, small blocks",
	"gel":       "lead-acid, gel",
	"lifepo4":   "lithium iron phosphate",
	"li_ion":    "lithium-ion",
}

var enChoices = map[string]string{
	"yes":            "yes",
	"no":             "no",
	"not_applicable": "not applicable",
	"na":             "not applicable",
}

// enStates names the states of items, certificates and instruments.
var enStates = map[string]string{
	// Items.
	"in_process":           "in process",
	"conforming":           "conforming",
	"held":                 "on hold",
	"released":             "released",
	"shipped":              "shipped",
	"recalled":             "called back",
	"scrapped":             "scrapped",
	"returned_to_supplier": "sent back to its supplier",
	"concession_pending":   "waiting for a concession",
	"conceded":             "conceded",
	"rework":               "in rework",
	"repair":               "in repair",
	"reinspect":            "to be inspected again",
	"scrap_pending":        "to be scrapped",
	"return_pending":       "to go back to its supplier",
	// Certificates.
	"issued":     "issued",
	"superseded": "superseded",
	"void":       "void",
	// Instruments.
	"in_use":   "in use",
	"due_soon": "due soon",
	"overdue":  "overdue",
	"out":      "out of use",
	"retired":  "retired",
}
