package words

// enLimitNames name the limits of a block model by their codes in package pack.
var enLimitNames = map[string]string{
	"rest_min_h":               "Rest before a voltage counts",
	"incoming_ocv_min_v":       "Least voltage when it comes in",
	"maker_ocv_min_v":          "The maker’s least voltage",
	"scrap_below_v":            "Scrap below, rested",
	"ship_ocv_min_a_v":         "Least voltage to ship, grade A",
	"ship_ocv_min_b_v":         "Least voltage to ship, grade B",
	"spread_ocv_a_v":           "Voltages apart in a pack, grade A",
	"spread_ocv_b_v":           "Voltages apart in a pack, grade B",
	"spread_ir_a_pct":          "Resistances apart in a pack, grade A",
	"spread_ir_b_pct":          "Resistances apart in a pack, grade B",
	"ir_ratio_watch":           "Resistance over its first, watch",
	"ir_ratio_investigate":     "Resistance over its first, investigate",
	"ir_ratio_reject":          "Resistance over its first, reject",
	"k_watch_mv_day":           "Loss between two readings, watch",
	"k_reject_mv_day":          "Loss between two readings, reject",
	"loss_z_max":               "Loss against its lot, robust z",
	"loss_gap_min_days":        "Least time between two readings",
	"loss_rest_min_h":          "Rest before the first of two readings",
	"lot_flagged_max_pct":      "Blocks of a lot flagged at most",
	"lot_ir_ratio_max":         "Lot’s middle resistance over the model’s",
	"stock_reading_max_days":   "A reading is good for matching for",
	"self_discharge_pct_month": "Self-discharge at 25 °C",
	"stored_soc_min_pct":       "Least charge while it stands",
	"shelf_base_months":        "Longest without a charge at 25 °C",
	"block_age_max_days":       "Oldest to be built in",
	"block_age_warn_days":      "Old, a warning",
	"lot_span_max_days":        "Days of making apart in a pack",
	"cut_off_v":                "Discharge ends at",
	"capacity_min_pct":         "Least share of the rated capacity",
	"capacity_coef_per_k":      "Capacity per kelvin",
	"insulation_new_min_mohm":  "Least insulation of a new pack",
	"insulation_floor_ohm_v":   "Least insulation, per volt",
	"ship_soc_max_air_pct":     "Most charge by air",
}

// enOrigins say where a usual limit comes from.
var enOrigins = map[string]string{
	"common_practice":       "common practice, no source",
	"published":             "published",
	"published_from_memory": "published, quoted from memory",
}

// enDispositions say why blocks were set aside, and why they were let go.
var enDispositions = map[string]string{
	"too_old":          "older than allowed",
	"loses_charge":     "loses charge",
	"off_its_lot":      "off its lot",
	"lot_suspect":      "its lot is in doubt",
	"low_voltage":      "low voltage",
	"resistance":       "its resistance",
	"damaged":          "damaged",
	"measured_again":   "measured again",
	"charged_and_held": "charged, and it held",
	"no_fault_found":   "no fault found",
	"other":            "other",
}

// enMatchReasons say why a pack of a match is as it is.
var enMatchReasons = map[string]string{
	"lowest_in_both":      "lowest spread in both",
	"lowest_left_in_both": "lowest spread left in both",
	"lowest_left":         "lowest left",
	"what_is_left":        "what the last ones allow",
	"by_hand":             "picked by hand",
}

// enBlocks say what is wrong with blocks as they come in.
var enBlocks = map[string]string{
	"serial_or_number":            "Name a serial or a maker’s number, one of them.",
	"block_twice":                 "Block {number} is named twice.",
	"block_set_aside":             "Block {number} is set aside: it goes into no pack until it is released.",
	"block_elsewhere":             "Block {number} is in {serial} already.",
	"no_pack_product":             "{product} is no pack.",
	"pack_without_block_model":    "{product} does not say its block model: name one.",
	"block_model_of_other_kind":   "The block model is of another chemistry or size than the blocks of {product}.",
	"pack_of_one":                 "A pack of one block needs no match.",
	"pack_size":                   "{got} blocks for a pack of {want}.",
	"no_such_place":               "The match has no such place.",
	"table_not_rising":            "Voltage and charge rise from row to row.",
	"no_block_model":              "{product} is no block model.",
	"lot_of_other_material":       "The lot {lot} is not one of blocks.",
	"row_twice":                   "This row stands there twice.",
	"number_or_count":             "Name a maker’s number, or how many blocks without one: one of them.",
	"number_twice":                "The number {number} stands there twice.",
	"one_reading_for_many":        "One reading cannot be that of several blocks: a row each.",
	"blanks_around":               "Leave the blanks before and after away.",
	"block_of_other_model":        "Block {number} is of another model than {product}.",
	"block_here_already":          "Block {number} came in already: its next reading is a second one.",
	"date_code_unread":            "{product} does not say how its maker writes the date code.",
	"date_code_impossible":        "“{typed}” is no date code as this maker writes it.",
	"date_code_future":            "“{typed}” says {date}, which lies in the future.",
	"temperature_like_fahrenheit": "“{typed}” is no temperature that blocks are measured at: degrees Celsius, not Fahrenheit?",
	"resistance_outside_window":   "{typed} is outside the window of {low} to {high}: read it again, or send it as typed.",
	"resistance_unit_offered":     "{typed} mΩ is outside the window of {low} to {high}; read as {units} it would be {value}. Say which unit it is, or send it as typed.",
	"rows_alike":                  "{count} rows alike, one after the other: were they copied? Read them again, or send them as typed.",
	"manner_of_model":             "This was measured by another way than the model’s, and the two are never mixed: measure it again.",
}

// enBlockRemarks are worth saying about a block that came in.
var enBlockRemarks = map[string]string{
	"too_old_by_date_code": "{days} days old by its date code, {most} allowed: set aside.",
	"loses_charge":         "It loses {value} mV a day, {limit} allowed.",
	"loses_charge_watch":   "It loses {value} mV a day, above {limit}: watch it.",
	"loses_against_lot":    "It loses {value} mV a day, its lot {mean}.",
	"voltage_rose":         "Its voltage rose by the second reading ({value} mV a day): rest or temperature was not right.",
	"resistance_risen":     "Its resistance is {value} of its first.",
	"lot_many_flagged":     "{k} of {n} blocks of the lot are flagged: set the lot aside and tell its supplier.",
	"lot_high_resistance":  "The lot’s middle resistance is {value} of the model’s: set the lot aside and tell its supplier.",
	"lot_low_voltage":      "The lot’s middle voltage was {value} when it came in: set the lot aside and tell its supplier.",
	"one_reading_only":     "It has no two readings at rest yet.",
	"readings_too_close":   "Its readings lie {days} days apart, {least} are needed.",
	"other_meter":          "Its readings are of different meters.",
	"temperatures_apart":   "Its readings are at temperatures that cannot be compared.",
	"block_getting_old":    "{days} days old by its date code: build it in soon, {most} are allowed.",
}

// enNotOffered say why a block is not offered for a pack.
var enNotOffered = map[string]string{
	"set_aside_too_old":      "Set aside: too old.",
	"set_aside_loses_charge": "Set aside: it loses charge.",
	"set_aside_off_its_lot":  "Set aside: off its lot.",
	"set_aside_lot_suspect":  "Set aside: its lot is in doubt.",
	"set_aside_low_voltage":  "Set aside: low voltage.",
	"set_aside_resistance":   "Set aside: its resistance.",
	"set_aside_damaged":      "Set aside: damaged.",
	"set_aside":              "Set aside: {reason}.",
	"block_fitted":           "It is in a pack.",
	"block_charging":         "It is on a charger.",
	"block_in_match":         "It lies in its place of a match.",
	"no_reading_at_rest":     "It has no reading at rest.",
	"reading_provisional":    "Its reading is provisional: the rest was too short for matching.",
	"reading_old":            "Its reading is {days} days old, {most} at most: measure it again.",
	"block_reversed_or_dead": "{value}: reversed or dead.",
	"block_low":              "{value}, below {limit}.",
	"resistance_not_read":    "Its resistance was not read.",
	"resistance_off":         "{value}, outside {low} to {high}.",
	"block_too_old":          "{days} days old by its date code, {most} allowed.",
	"lot_not_known":          "Its lot is not known, and a pack is made of one lot.",
	"older_ones_first":       "A choice is made from {most} blocks: older ones go first.",
	"left_lot_too_small":     "Too few of its lot for a pack.",
	"left_resistance_above":  "Its resistance is above the rest.",
	"left_resistance_below":  "Its resistance is below the rest.",
	"left_voltage_above":     "Its voltage is above the rest.",
	"left_voltage_below":     "Its voltage is below the rest.",
	"left_cheapest":          "The cheapest to leave.",
	"left_not_picked":        "Not picked.",
	"lot_suspect":            "Its lot {lot} is in doubt.",
}

// enBlockRefusals say why nothing can be decided about a block now.
var enBlockRefusals = map[string]string{
	"block_is_fitted":     "Block {number} is in a pack: raise a hold on that.",
	"block_is_set_aside":  "Block {number} is set aside already.",
	"block_not_set_aside": "Block {number} is not set aside.",

	"too_few_offered":      "{got} blocks are offered, {want} are needed.",
	"fewer_packs_possible": "{want} packs were asked for; {got} can be made that keep to the limits.",
	"no_pack_possible":     "No pack can be made that keeps to the limits: they are not widened to use up stock.",
	"match_has_ended":      "The match was kept or dropped already.",
	"all_in_place":         "Every block lies in its place.",
	"place_is_taken":       "{number} lies there already.",
	"block_placed_already": "{number} lies in its place already: pack {n}, place {place}.",
	"block_goes_elsewhere": "{number} goes into pack {n}, place {place}.",
	"block_left_over":      "{number} is left over.",
	"block_not_in_match":   "{number} was not in the stock when this was proposed.",
	"block_not_in_stock":   "It is not in the loose stock of {product}.",
	"block_expected":       "{number} is expected here.",
	"block_not_offered":    "{number} cannot go in.",
	"blocks_not_in_place":  "{count} blocks are to be scanned, {number} next.",
}
