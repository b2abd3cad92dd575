package words

// enReturns is what is said of what came back, and of what will.
var enReturns = map[string]string{
	"returns_none":         "Nothing of {name} has left the shop since {date}.",
	"returns_none_of_lot":  "Nothing of {name} has left the shop with lot {lot} in this time.",
	"returns_few":          "{k} of {n} that left came back: too few to give a share.",
	"returns_share":        "{k} of {n} that left since {date} came back, {share} % ({share_low} to {share_high}).",
	"returns_share_of_lot": "{k} of {n} that left with lot {lot} came back, {share} % ({share_low} to {share_high}).",

	"returns_lot":         "{k} of {n} with lot {lot} came back, where {expected} were to be expected at their age. Of {groups} lots that are all alike, one stands out so far in fewer than 1 of {chance} looks.",
	"returns_lot_alone":   "{k} of {n} with lot {lot} came back, where {expected} were to be expected at their age. A lot like all others does so in fewer than 1 of {chance} looks.",
	"returns_month_alone": "{k} of {n} shipped in {month} came back, where {expected} were to be expected at their age. A month like all others does so in fewer than 1 of {chance} looks.",

	"returns_month": "{k} of {n} shipped in {month} came back, where {expected} were to be expected at their age. Of {groups} months that are all alike, one stands out so far in fewer than 1 of {chance} looks.",

	"returns_ahead":         "In the next {months} months {expected} more are expected of the {n} still out, {count_low} to {count_high}.",
	"returns_ahead_assumed": "In the next {months} months {expected} more are expected of the {n} still out, {count_low} to {count_high} over the assumed shapes.",
	"returns_ahead_none":    "In the next {months} months at most {most} are to be expected of the {n} still out: nothing came back to reckon with.",

	"returns_mixed": "The law holds lot {lot} and the others together, which do not live alike: look at the lot by itself too.",

	"returns_shape_early":   "Returns come early: the Weibull shape is {shape} ({shape_low} to {shape_high}), below 1.",
	"returns_shape_wear":    "Returns come with wear: the Weibull shape is {shape} ({shape_low} to {shape_high}), above 1.",
	"returns_shape_open":    "Early failures, chance or wear cannot be told apart yet: the Weibull shape is {shape} ({shape_low} to {shape_high}).",
	"returns_shape_assumed": "{k} came back, fewer than {want}: the shape of the law is not known. Shapes of 0.5, 1 and 2 are assumed by turns.",

	"returns_shape_one_age":  "All {k} that came back did so at one age, as claims do that are booked together: the shape of the law is not known. Shapes of 0.5, 1 and 2 are assumed by turns.",
	"returns_shape_two_ages": "The {k} that came back did so at two ages, and two fit any law: its shape is not known. Shapes of 0.5, 1 and 2 are assumed by turns.",
	"returns_shape_no_fit":   "No Weibull law fits the ages of the {k} that came back. Shapes of 0.5, 1 and 2 are assumed by turns.",

	"returns_from_shipment": "Service is counted from shipment, since no day of sale is kept.",
	"returns_from_lag":      "Service is counted from {days} days after shipment, as stated, since no day of sale is kept.",
	"returns_lag_early":     "Service is counted from shipment, not from {days} days after it as stated: the records contradict that, since {count} of the family that came back did so sooner.",
	"returns_waiting_one":   "Of the {n} that left, one has not been out for {days} days: it has no age in service yet, and is reckoned with from the day on that it begins.",
	"returns_waiting":       "Of the {n} that left, {count} have not been out for {days} days: they have no age in service yet, and are reckoned with from the day on that it begins.",
	"returns_told":          "It knows only the returns that it was told of.",

	"returns_period":    "{name}: {count} came back in this time; {k} of {n} in the three years up to {until}.",
	"returns_told_then": "What left and came back up to {until} is counted, as it is known today, and only the returns that were told.",

	"returns_months": "Give a number of months from 1 to {most}.",
	"returns_lag":    "Give a number of days from 0 to {most}.",
}
