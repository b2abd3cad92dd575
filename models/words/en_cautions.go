package words

// enCautions are printed where the work can hurt. Which of them an item gets
// is decided when its certificate is issued.
var enCautions = map[string]string{
	// Every item; printed on every certificate.
	"makers_data_first": "The maker’s data, local codes and licensed practice come first; limits here are the shop’s own, common practice.",
	// Wheel.
	"wheel_recheck": "Have run-out and spoke tension rechecked after 50 to 150 km or two weeks: new and repaired wheels settle.",
	"wheel_stop":    "Stop riding when a spoke ticks or breaks, or the rim wobbles.",
	"wheel_axle":    "Fit the torque arm; tighten the axle nuts to the motor maker’s value; disconnect the pack before work on the cable.",
	"wheel_spokes":  "Tensioned spokes can fly out: wear eye protection, and never tighten above the rim maker’s maximum tension.",
	// Pack, every chemistry.
	"pack_short_circuit": "A short circuit gives hundreds of amperes: use insulated tools, wear no rings, keep the terminals covered and a fuse near the pack.",
	"pack_above_60v":     "At charging voltage this pack is above 60 V d.c.: shock hazard, see local rules.",
	"pack_strings":       "Do not join strings of unequal voltage: the current between them can burn.",
	"pack_transport":     "Carriage of lithium packs follows dangerous goods rules that change yearly: ask the carrier.",
	// Lead-acid.
	"pack_acid":     "Acid burns: wear goggles and gloves, keep water for the eyes and soda at hand.",
	"pack_hydrogen": "Charging gives off hydrogen: charge in an aired place, never in a sealed box, away from flame and spark.",
	"pack_recharge": "Charge the pack before storing it and again at least every six months, sooner in the warm: a flat block is soon ruined.",
	// Lithium.
	"pack_lithium": "Lithium cells can burn when crushed, overcharged or charged below freezing: stop using a pack that is dented, swollen or hot, and charge only with a charger meant for it.",
}
