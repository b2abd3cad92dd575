package words

// enFailures say what fails: answers and findings of the page of that name, the same
// in a review.
var enFailures = map[string]string{
	"failures_none_measured":  "No {kinds} had a first set in these days.",
	"failures_none_judged":    "None of {n} {kinds} was read in whole at its first set.",
	"failures_none":           "All {n} {kinds} passed at the first set.",
	"failures_only":           "{first_fault} is all that fails: {k} of {n} {kinds} ({share} %, {low} to {high}).",
	"failures_most":           "{first_fault} fails most: {k} of {n} {kinds} ({share} %, {low} to {high}).",
	"failures_most_unsettled": "{first_fault} fails most so far, {k} of {n} {kinds} ({share} %, {low} to {high}); whether more often than {faults} is not settled.",
	"failures_most_of_many":   "{first_fault} fails most so far, {k} of {n} {kinds} ({share} %, {low} to {high}); the order of this and the next {count} is not settled.",

	"failures_yield":     "{k} of {n} {kinds} passed at the first set: a yield of {share} % ({low} to {high}).",
	"failures_week_low":  "In the week of {date}, {k} of {n} {kinds} passed at the first set; {least} or more go with the usual yield of {share} %.",
	"failures_week_high": "In the week of {date}, {k} of {n} {kinds} passed at the first set; up to {most} go with the usual yield of {share} %.",

	// As a review says it of a shorter time than it rests on.
	"failures_week_low_over":     "In the week of {date}, {k} of {n} {kinds} passed at the first set; {least} or more go with the yield of {share} % over {weeks} weeks, {over_from} to {until}.",
	"failures_week_high_over":    "In the week of {date}, {k} of {n} {kinds} passed at the first set; up to {most} go with the yield of {share} % over {weeks} weeks, {over_from} to {until}.",
	"failures_place_high_over":   "Over {weeks} weeks, {over_from} to {until}: at {name}, {k} of {n} {kinds} failed at the first set; {expected} were to be expected from its products and months.",
	"failures_place_low_over":    "Over {weeks} weeks, {over_from} to {until}: at {name}, only {k} of {n} {kinds} failed at the first set; {expected} were to be expected from its products and months.",
	"failures_product_high_over": "Over {weeks} weeks, {over_from} to {until}: of {name}, {k} of {n} {kinds} failed at the first set; {expected} were to be expected from the months.",
	"failures_product_low_over":  "Over {weeks} weeks, {over_from} to {until}: of {name}, only {k} of {n} {kinds} failed at the first set; {expected} were to be expected from the months.",
	"failures_lot_high_over":     "Over {weeks} weeks, {over_from} to {until}: with lot {name}, {k} of {n} {kinds} failed at the first set; {expected} were to be expected from their products and months.",
	"failures_lot_low_over":      "Over {weeks} weeks, {over_from} to {until}: with lot {name}, only {k} of {n} {kinds} failed at the first set; {expected} were to be expected from their products and months.",
	"failures_month_high_over":   "Over {weeks} weeks, {over_from} to {until}: of {n} {kinds} with first sets of {month}, {k} failed; {expected} were to be expected from the products.",
	"failures_month_low_over":    "Over {weeks} weeks, {over_from} to {until}: of {n} {kinds} with first sets of {month}, only {k} failed; {expected} were to be expected from the products.",

	"failures_place_high":     "At {name}, {k} of {n} {kinds} failed at the first set; {expected} were to be expected from its products and months.",
	"failures_place_low":      "At {name}, only {k} of {n} {kinds} failed at the first set; {expected} were to be expected from its products and months.",
	"failures_person_high":    "Of {name}’s first sets {k} of {n} failed; {expected} were to be expected from the products and months, whichever the stand.",
	"failures_person_low":     "Of {name}’s first sets only {k} of {n} failed; {expected} were to be expected from the products and months, whichever the stand.",
	"failures_product_high":   "Of {name}, {k} of {n} {kinds} failed at the first set; {expected} were to be expected from the months.",
	"failures_product_low":    "Of {name}, only {k} of {n} {kinds} failed at the first set; {expected} were to be expected from the months.",
	"failures_lot_high":       "With lot {name}, {k} of {n} {kinds} failed at the first set; {expected} were to be expected from their products and months.",
	"failures_lot_low":        "With lot {name}, only {k} of {n} {kinds} failed at the first set; {expected} were to be expected from their products and months.",
	"failures_month_high":     "Of {n} {kinds} with first sets of {month}, {k} failed; {expected} were to be expected from the products.",
	"failures_month_low":      "Of {n} {kinds} with first sets of {month}, only {k} failed; {expected} were to be expected from the products.",
	"failures_of_one_high":    "{first_fault}, {group}: {k} of {n} {kinds} at the first set; {expected} were to be expected from the products and months.",
	"failures_of_one_low":     "{first_fault}, {group}: only {k} of {n} {kinds} at the first set; {expected} were to be expected from the products and months.",
	"failures_of_one_none":    "No {kinds} failed at the first set by {faults} in these days: no groups are compared by it.",
	"failures_alike":          "None of the {count} groups compared is shown to differ from what its products and months give.",
	"failures_alike_seen_one": "The one group compared here is not shown to differ from what its products and months give. How builders compare is shown to who decides about the work.",
	"failures_alike_seen":     "None of the {count} groups compared here is shown to differ from what its products and months give. How builders compare is shown to who decides about the work.",

	"failures_rounds":     "Until they passed, {n} {kinds} took {rounds} rounds and {minutes} minutes at the stand on average.",
	"failures_again_fell": "Fewer need a second round: {k} of {n} {kinds} with first sets of {last_month} ({share} %), {k_before} of {n_before} with those of {first_month} ({share_before} %).",
	"failures_again_rose": "More need a second round: {k} of {n} {kinds} with first sets of {last_month} ({share} %), {k_before} of {n_before} with those of {first_month} ({share_before} %).",
	"failures_again_same": "Whether more or fewer need a second round than before is not settled: {k} of {n} {kinds} with first sets of {last_month} ({share} %), {k_before} of {n_before} with those of {first_month} ({share_before} %).",

	"failures_cost":     "{first_fault} costs most: {amount} {currency} ({low} to {high}) of {total} {currency} in all.",
	"failures_cost_few": "{first_fault} costs most, {amount} {currency} of {total} {currency} in all; too few for an interval.",
	"failures_no_rate":  "No hourly rate is given: only what claims cost is counted.",

	"failures_undecided": "First sets that neither passed nor failed, because something was not read or not decided: {n}. They are in no share.",
	"failures_waiting":   "Days that are still being summed up, and are not in these figures: {days}.",
}
