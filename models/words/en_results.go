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
	"lateral_runout":    "lateral run-out",
	"radial_runout":     "radial run-out",
	"dish":              "dish",
	"tension":           "spoke tension",
	"tension_a":         "spoke tension, side A",
	"tension_b":         "spoke tension, side B",
	"spokes_seated":     "spokes seated and none missing",
	"nipples_flush":     "nipple ends flush",
	"cable_sound":       "cable jacket and connector sound",
	"axle_thread":       "axle thread sound",
	"spins_freely":      "spins freely",
	"washer_seat_clean": "torque washer seat clean",
	// Pack and block.
	"ocv":               "open-circuit voltage",
	"resistance":        "resistance",
	"temperature":       "temperature",
	"pack_voltage":      "voltage of the whole pack",
	"string_voltage":    "voltage of a string",
	"insulation":        "insulation to the case",
	"polarity":          "polarity of the connector right",
	"fuse_fitted":       "fuse of the right rating fitted",
	"terminals_covered": "terminals protected against short circuit",
}

var enResults = map[string]string{
	// Wheel, lengths.
	"lateral_tir":      "Lateral run-out, full reading",
	"radial_tir":       "Radial run-out, full reading",
	"lateral_mean":     "Lateral, mean of the turn",
	"radial_mean":      "Radial, mean of the turn",
	"lateral_wobble":   "Lateral, once a turn",
	"lateral_saddle":   "Lateral, twice a turn",
	"radial_eccentric": "Radial, once a turn",
	"radial_oval":      "Radial, twice a turn",
	"dish":             "Dish, toward side A",
	"dish_abs":         "Dish, distance from its target",
	"dish_offset":      "Dish, toward side A",
	// Wheel, tension. The tight side is the one with the higher mean.
	"tension_mean_tight":     "Mean tension, tighter side",
	"tension_mean_loose":     "Mean tension, looser side",
	"tension_mean_a":         "Mean tension, side A",
	"tension_mean_b":         "Mean tension, side B",
	"tension_lowest":         "Lowest spoke tension",
	"tension_highest":        "Highest spoke tension",
	"side_tension_dev_pct":   "Largest deviation from the side’s mean",
	"side_tension_dev_pct_a": "Largest deviation, side A",
	"side_tension_dev_pct_b": "Largest deviation, side B",
	"adjacent_diff_pct":      "Neighbour difference, same side",
	"adjacent_diff_pct_a":    "Neighbour difference, side A",
	"adjacent_diff_pct_b":    "Neighbour difference, side B",
	"tension_cv_pct":         "Spread (standard deviation over mean)",
	"tension_cv_pct_a":       "Spread (standard deviation over mean), side A",
	"tension_cv_pct_b":       "Spread (standard deviation over mean), side B",
	"side_ratio":             "Mean tension, side A over side B",
	// Wheel, ticks.
	"spokes_seated":     "Spokes seated and none missing",
	"nipples_flush":     "Nipple ends flush",
	"cable_sound":       "Cable jacket and connector sound",
	"axle_thread":       "Axle thread sound",
	"spins_freely":      "Spins freely",
	"washer_seat_clean": "Torque washer seat clean",
	// Pack.
	"ocv":                "Open-circuit voltage",
	"ocv_25":             "Open-circuit voltage at 25 °C",
	"ocv_lowest":         "Lowest block voltage at 25 °C",
	"ocv_spread":         "Block voltages, highest less lowest",
	"soc":                "State of charge",
	"soc_lowest":         "Lowest state of charge",
	"resistance":         "Resistance",
	"resistance_25":      "Resistance at 25 °C",
	"resistance_highest": "Highest block resistance at 25 °C",
	"resistance_spread":  "Block resistances, spread over their median",
	"series_sum":         "Sum of the block voltages",
	"series_sum_diff":    "Pack voltage less sum of its blocks",
	"string_voltage":     "String voltage",
	"string_diff":        "Strings, highest less lowest voltage",
	"pack_voltage":       "Voltage of the whole pack",
	"pack_grade":         "Grade of the pack",
	"grade":              "Grade",
}
