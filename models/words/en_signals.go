package words

// enSignals holds what the run rules of charts say of their points: the rule by
// its name, and with the side on which the points lie or the way they move. That
// a single point lies beyond a limit stands with its figures in enOffice.
var enSignals = map[string]string{
	"beyond_limit": "A point lies beyond a limit of the process.",

	"two_of_three_beyond_two_sigma":      "Two of three in a row lie beyond two sigma on the same side.",
	"two_of_three_beyond_two_sigma_high": "Two of three in a row lie more than two sigma above the centre.",
	"two_of_three_beyond_two_sigma_low":  "Two of three in a row lie more than two sigma below the centre.",

	"four_of_five_beyond_one_sigma":      "Four of five in a row lie beyond one sigma on the same side.",
	"four_of_five_beyond_one_sigma_high": "Four of five in a row lie more than one sigma above the centre.",
	"four_of_five_beyond_one_sigma_low":  "Four of five in a row lie more than one sigma below the centre.",

	"eight_one_side":      "Eight or more in a row lie on the same side of the centre.",
	"eight_one_side_high": "Eight or more in a row lie above the centre.",
	"eight_one_side_low":  "Eight or more in a row lie below the centre.",

	"nine_one_side":      "Nine or more in a row lie on the same side of the centre.",
	"nine_one_side_high": "Nine or more in a row lie above the centre.",
	"nine_one_side_low":  "Nine or more in a row lie below the centre.",

	"six_trending":      "Six or more in a row rise, or fall, each against the one before.",
	"six_trending_high": "Six or more in a row rise, each above the one before.",
	"six_trending_low":  "Six or more in a row fall, each below the one before.",

	"fourteen_alternating":        "Fourteen or more in a row go up and down by turns.",
	"fourteen_alternating_either": "Fourteen or more in a row go up and down by turns.",

	"fifteen_within_one_sigma":        "Fifteen or more in a row lie within one sigma of the centre: nearer than the limits lead one to expect.",
	"fifteen_within_one_sigma_either": "Fifteen or more in a row lie within one sigma of the centre: nearer than the limits lead one to expect.",

	"eight_outside_one_sigma":        "Eight or more in a row lie farther than one sigma from the centre, and none between.",
	"eight_outside_one_sigma_either": "Eight or more in a row lie farther than one sigma from the centre, and none between.",
}
