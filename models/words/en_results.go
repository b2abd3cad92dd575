package words

// Names of kinds, characteristics and results. A characteristic is named as
// it stands inside a sentence, a result as a line of a table begins.

var enKinds = map[string]string{
	"wheel": "wheel",
	"pack":  "pack",
	"kit":   "kit",
	"motor": "motor",
	"block": "block",
}

var enCharacteristics = map[string]string{
	// Wheel.
	"lateral_runout": "lateral run-out",
	"radial_runout":  "radial run-out",
	"dish":           "dish",
	"tension":        "spoke tension",
	"tension_a":      "spoke tension, side A",
	"tension_b":      "spoke tension, side B",
	"spokes_seated":  "spokes seated and none missing",
	"nipples_flush":  "nipple ends flush",
	"cable_sound":    "cable jacket and connector sound",
	"axle_thread":    "axle thread sound",
	"spins_freely":   "spins freely",
	"washer_seat":    "torque washer seat clean",
	// Pack and block.
	"block_voltage":     "open-circuit voltage of the blocks",
	"block_resistance":  "resistance of the blocks",
	"block_temperature": "temperature of the blocks",
	"pack_voltage":      "voltage of the whole pack",
	"case_sound":        "case and terminals sound",
	"polarity_checked":  "polarity of the connector right",
	"insulated":         "insulated from the case",
	"terminals_covered": "terminals protected against short circuit",
	"labelled":          "labelled",
}

var enResults = map[string]string{
	// Wheel, lengths.
	"lateral_tir":  "Lateral run-out, full reading",
	"radial_tir":   "Radial run-out, full reading",
	"lateral_mean": "Lateral, mean of the turn",
	"radial_mean":  "Radial, mean of the turn",
	"lateral_h1":   "Lateral, once a turn",
	"lateral_h2":   "Lateral, twice a turn",
	"lateral_h3":   "Lateral, three times a turn",
	"radial_h1":    "Radial, once a turn",
	"radial_h2":    "Radial, twice a turn",
	"radial_h3":    "Radial, three times a turn",
	"dish_abs":     "Dish, distance from its target",
	"dish_offset":  "Dish, toward side A",
	// Wheel, tension. The tight side is the one with the higher mean.
	"tension_mean_tight":     "Mean tension, tighter side",
	"tension_mean_loose":     "Mean tension, looser side",
	"tension_lowest":         "Lowest spoke tension",
	"side_tension_dev_pct_a": "Largest deviation, side A",
	"side_tension_dev_pct_b": "Largest deviation, side B",
	"adjacent_diff_pct_a":    "Neighbour difference, side A",
	"adjacent_diff_pct_b":    "Neighbour difference, side B",
	"tension_cv_pct_a":       "Spread (standard deviation over mean), side A",
	"tension_cv_pct_b":       "Spread (standard deviation over mean), side B",
	"side_ratio":             "Mean tension, side A over side B",
	// Wheel, ticks.
	"spokes_seated": "Spokes seated and none missing",
	"nipples_flush": "Nipple ends flush",
	"cable_sound":   "Cable jacket and connector sound",
	"axle_thread":   "Axle thread sound",
	"spins_freely":  "Spins freely",
	"washer_seat":   "Torque washer seat clean",
	// Pack and block.
	"case_sound":            "Case and terminals sound",
	"ocv_lowest":            "Lowest block voltage at 25\u00a0°C",
	"ocv_spread":            "Block voltages, highest less lowest",
	"block_ocv25":           "Block voltage at 25\u00a0°C",
	"block_soc":             "Block, state of charge",
	"block_r25":             "Block resistance at 25\u00a0°C",
	"resistance_spread_pct": "Block resistances, spread over their median",
	"temperature":           "Temperature",
	"series_difference":     "Pack voltage against sum of its blocks",
	"string_difference":     "Strings, highest less lowest voltage",
	"polarity_checked":      "Polarity of the connector right",
	"insulated":             "Insulated from the case",
	"terminals_covered":     "Terminals protected against short circuit",
	"labelled":              "Labelled",
}
