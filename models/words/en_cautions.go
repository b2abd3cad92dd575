package words

// enCautions are printed where the work can hurt. Which of them an item gets
// is its kind's affair.
var enCautions = map[string]string{
	// Every item.
	"makers_data_first": "The maker’s data, local codes and licensed practice come first; the limits here are the workshop’s own defaults, common practice.",
	// Wheel.
	"eye_protection":   "Tensioned spokes can fly out: wear eye protection when tightening or relieving them.",
	"axle_and_torque":  "Tighten the axle nuts to the motor maker’s value and fit the torque arm.",
	"recheck_bedding":  "Have run-out and spoke tension rechecked after 50 to 150 km or two weeks: new and repaired wheels settle.",
	"stop_riding":      "Stop riding when a spoke ticks or the rim wobbles.",
	"disconnect_motor": "Disconnect the pack before work on the motor cable.",
	"rim_maximum":      "Never tighten spokes above the rim maker’s maximum tension.",
	// Pack, every chemistry.
	"short_circuit": "A short circuit gives hundreds of amperes: use insulated tools, wear no rings, keep the terminals covered and a fuse near the pack.",
	"above_60_v":    "At charging voltage this pack is above 60 V d.c.: shock hazard, see local rules.",
	"strings_alike": "Do not join strings of unequal voltage: the current between them can burn.",
	"right_charger": "Charge only with a charger meant for this pack.",
	// Lead-acid.
	"acid":     "Acid burns: wear goggles and gloves, keep water for the eyes and soda at hand.",
	"hydrogen": "Charging gives off hydrogen: charge in an aired place, never in a sealed box, away from flame and spark.",
	// Lithium.
	"lithium_fire":      "Lithium cells can burn when crushed, overcharged or charged below freezing: stop using a pack that is dented, swollen or hot.",
	"lithium_transport": "Carriage of lithium packs follows dangerous goods rules that change yearly: ask the carrier.",
}
