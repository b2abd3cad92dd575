package words

// enShelfProblems say what is wrong with what was typed at the shelf or while a
// pack is built.
var enShelfProblems = map[string]string{
	"block_in_pack":          "Block {number} is in {serial} and stands where that does.",
	"day_past":               "{date} is past.",
	"ahead_of_clock":         "That lies in the future.",
	"charge_inside":          "Another charge of it ran then, from {date} until {until}.",
	"charge_overlaps":        "Another charge of it began at {date}, before that end.",
	"no_shelf_temperature":   "“{typed}” is no temperature of a shelf: degrees Celsius, −40 to 60.",
	"log_columns":            "Line {line}: want a time, a current and the voltage of each block, as many as in the other lines.",
	"log_number":             "Line {line}: “{typed}” is not a number.",
	"log_rows":               "More than {most} rows: leave some out.",
	"log_too_short":          "A log has two rows at least.",
	"log_blocks":             "The log has {got} blocks, the pack {want}.",
	"log_uneven":             "The columns are not of one length.",
	"log_time_back":          "Line {line}: the time does not go on.",
	"log_current":            "Line {line}: the current is not constant within 5\u00a0%.",
	"log_longer":             "The log runs for {got}, and it began {most} ago: one of them is wrong.",
	"log_amps_high":          "Read as amperes, {got} are more than any test of it takes, {most}: say the unit at the head of the column.",
	"log_volts_high":         "Row {line}: read as volts, {got} of block {place} are more than such a block has, {most}: say the unit at the head of the column.",
	"log_volts_negative":     "Read as volts, block {place} is never above {got}: its leads were the wrong way round.",
	"log_gives_too_much":     "By this log block {place} gave {got}, {value} of its rated capacity; over {most} is not plausible: check the unit of the current and of the time.",
	"log_gives_nothing":      "Block {place} gave nothing that can be computed: it was at its cut-off at the start, or below.",
	"no_rated_capacity":      "The product does not say its rated capacity.",
	"no_pack":                "{serial} is no pack.",
	"no_form_to_join_by":     "Without a product it is not known how far the strings may differ.",
	"string_volts_count":     "{got} voltages for {want} strings: one of each, rested, by the same meter.",
	"string_reversed":        "String {string} reads {typed}: it is the wrong way round, or the leads of the meter are. It is not joined so.",
	"string_too_low":         "String {string} reads {typed}, below the {least} of a rested string of this pack: a block is missing, the wrong way round or dead, or the unit is another.",
	"string_too_high":        "String {string} reads {typed}, above the {most} of a rested string of this pack: it still carries a charge, or is another pack’s.",
	"no_steps_for_kind":      "Only packs are built by a list of steps.",
	"step_twice":             "“{step}” stands there twice.",
	"step_count":             "{got} steps: one to 20, one a line.",
	"neither_pack_nor_block": "{serial} is neither a pack nor a block.",
}

// enShelfRemarks are worth saying about a reading beside a charge.
var enShelfRemarks = map[string]string{
	"rest_contradicts":                 "A rest of {typed} was typed; the recorded charge ended {recorded} before the reading. One of them is wrong: the shorter holds.",
	"discharge_rest_contradicts":       "A rest of {typed} was typed; the recorded discharge ended {recorded} before the reading. One of them is wrong: the shorter holds.",
	"block_discharge_rest_contradicts": "A rest of {typed} was typed; block {number} was discharged in another pack until {recorded} before the reading. One of them is wrong: the shorter holds.",
	"charge_not_ended":                 "The recorded charge had not ended when this was read, and no charger was typed: it counts as read on the charger.",
	"block_rest_contradicts":           "A rest of {typed} was typed; block {number} was charged by itself until {recorded} before the reading. One of them is wrong: the shorter holds.",
	"block_charge_not_ended":           "By the record block {number} was on a charger when this was read: it counts as read on the charger.",
}

// enShelfRefusals say why something cannot be done at the shelf now.
var enShelfRefusals = map[string]string{
	"on_a_charger":           "{serial} is on a charger already.",
	"strings_differ":         "The strings differ by {range}, more than the {limit} allowed: joined, a large current would flow between them. Charge each singly, let them rest and measure again; the maker’s sheet comes first.",
	"joined_on_charger":      "By the record the pack is on a charger: strings are joined off it, after their rest. End the charge first.",
	"joined_before_rest":     "By the record it has rested {rest}: strings are joined after {least} of rest, when their voltages say how full they are.",
	"strings_joined_already": "The strings are joined already, so none has a voltage of its own. Take the step back and part them to measure again.",
	"charge_ended_already":   "That charge has ended already.",
}
