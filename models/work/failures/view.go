package failures

import "tracewright/models"

// Share is k of n with its 95 % interval by Wilson's formula, as for shares that are
// shown and bind nobody; from 0 to 1. N of 0 has no share.
type Share struct {
	K, N             int
	Value, Low, High float64
}

// View is the answer.
type View struct {
	Query     Query // as it was completed
	Kind      string
	Families  []models.Family
	Products  []models.Product
	Places    []string // at which something was measured
	Waiting   int      // days that are still to be summed up: the counts lack them
	Inspected int      // first sets
	Failed    int
	Undecided int   // first sets that neither passed nor failed
	Yield     Share // passed of those that passed or failed
	Rolled    *Rolled
	Causes    []Cause // by count
	Joined    []Span  // of Causes by count
	Weeks     []Week
	Usual     float64 // yield of all weeks together
	Months    []Month
	Took      Took // all months together
	Cuts      []Cut
	Compared  int // groups in all cuts that were compared, each with those of its cut, and that this person sees
	Costs     []Cost
	Rate      *Rate
	Later     []Later
	Answer    models.Remark
	Says      []models.Sentence // the answer first
	until     string            // the last day that is over or runs
	own       map[string]string // what the shop calls defects in words of its own
}

// Rolled is the share that would pass every check if they failed independently.
type Rolled struct{ Value, Low, High float64 }

// Cause is a bar: what fails. Of several that lead to one defect an item counts
// once.
type Cause struct {
	Code     string // a defect, or a result that shows none
	Severity models.Severity
	Share    Share   // of the first sets that passed or failed
	Rework   float64 // minutes after the first set, shared among an item's causes
}

// Span says that bars From to To, counted from 0, cannot be put in order: the
// interval of the first overlaps that of the last.
type Span struct{ From, To int }

// Week is the first-pass yield of a week, Monday to Sunday.
type Week struct {
	Monday    string
	Share     Share
	Limited   bool // the usual yield is neither none nor all
	Low, High int  // passed: fewer or more than this do not go with the usual yield
	Signal    string
}

// Month is what it took until items passed whose first set fell into the month.
type Month struct {
	Month string // 2031-05
	Took
}

// Took is rounds and minutes until items passed, of those that have, and how many need
// a second round, of all that were judged.
type Took struct {
	Finished int
	Rounds   int
	Minutes  int
	Rework   int
	Again    Share // of the first sets that passed or failed, those that failed
}

// Cut is one way to part the first sets.
type Cut struct {
	By     string // place, person, product, lot, month
	Groups []Group
	Few    []Group // fewer than FewestInGroup: counts alone
	Hidden bool    // groups there are, which this person may not see
	Among  int     // how many groups are compared, whoever sees them
}

// What first sets are parted by.
const (
	ByPlace   = "place"
	ByPerson  = "person"
	ByProduct = "product"
	ByLot     = "lot"
	ByMonth   = "month"
)

// Group is held against what its mix would give: its first sets at the rate at which
// those of the same product and month fail. Counts of failures.
type Group struct {
	ID, Name    string // of a month see [View.Part]
	K, N        int
	Expected    float64
	Low, High   int // 95 % of groups like this one lie between
	Least, Most int // all groups of the cut do, together, in 95 % of cuts
	P           float64
	Signal      string // high, low, or empty
	Took        Took   // of builders
}

// Cost is what defects cost in one currency.
type Cost struct {
	Currency string
	Rows     []CostRow
	Joined   []Span
	Total    float64
}

// CostRow is one defect.
type CostRow struct {
	Code      string
	Severity  models.Severity
	Claims    int
	Amount    string // of the claims, exact
	Minutes   float64
	Total     float64
	Low, High float64
	Interval  bool // there were enough to say one
}

// Rate is what an hour costs in the shop.
type Rate struct {
	Amount   float64
	Text     string
	Currency string
}

// Later is what was found wrong after the first set.
type Later struct {
	Code            string
	Severity        models.Severity
	Nonconformities int
	Claims          int
}
