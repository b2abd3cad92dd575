package words

// enCautions are printed where the work can hurt. Which of them an item gets
// is decided when its certificate is issued.
var enCautions = map[string]string{
	// Every item; printed on every certificate.
	"makers_data_first": "The maker’s data, local codes and licensed practice come first; limits here are the shop’s own, common practice.",
	// Wheel.
	"recheck_bedding":  "Have run-out and spoke tension rechecked after 50 to 150 km or two weeks: new and repaired wheels settle.",
	"stop_riding":      "Stop riding when a spoke ticks or breaks, or the rim wobbles.",
	"axle_and_torque":  "Fit the torque arm; tighten axle nuts to the motor maker’s value.",
	"eye_protection":   "Tensioned spokes can fly out: wear eye protection when tightening or relieving them.",
	"rim_maximum":      "Never exceed the rim maker’s maximum tension.",
	"disconnect_motor": "Disconnect the pack before work on the cable.",
	// Pack, every chemistry.
	"short_circuit":          "A short circuit gives hundreds of amperes: insulated tools, no rings, terminals covered, a fuse near the pack.",
	"above_60_v":             "At charging voltage this pack is above 60 V d.c.: shock hazard, see local rules.",
	"right_charger":          "Charge only with a charger meant for this pack.",
	"strings_alike":          "Do not join strings of unequal voltage: the current between them can burn.",
	"lithium_transport":      "Carriage of lithium packs follows dangerous goods rules that change yearly: ask the carrier.",
	"lithium_not_as_charged": "A lithium pack may not go by air above 30 % charge, nor at all without the test summary of its own design: it may not ship as charged. Ask the carrier.",
	// Lead-acid.
	"lead_transport": "A non-spillable pack travels with its terminals covered against short circuit and marked as such, on pack and box; rules change yearly: ask the carrier.",
	"acid":           "Acid burns: wear goggles and gloves; water for the eyes and soda at hand.",
	"hydrogen":       "Charging gives off hydrogen: charge in an aired place, never in a sealed box, away from flame and spark.",
	// Lithium.
	"lithium_fire": "Lithium cells can burn when crushed, overcharged or charged below freezing: stop using a pack that is dented, swollen or hot.",
}
