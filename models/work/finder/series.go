package finder

import (
	"math"
	"time"

	"tracewright/models"
	"tracewright/models/numbers/life"
)

// What is measured later than at first, beside the results that have limits.
const (
	TensionLoss = "tension_loss" // per cent of the tight side's mean tension, until the recheck
	VoltageFall = "voltage_fall" // mV a day, the mean over the blocks
	Returns     = "returns"      // items that came back, claimed or not
)

// series is one thing that is measured of a family, an item a row.
type series struct {
	family   models.Family
	measure  string // code of a result, or one of the above
	unit     string
	decimals int
	log      bool
	kind     kind
	rows     []row // oldest first
	values   []float64
	// families are those of a pooled series, and from where each of its rows stands; see
	// pool.go.
	families []models.Family
	from     []source
}

func (s *series) pooled() bool { return len(s.families) > 0 }

type kind int

const (
	reading kind = iota
	change       // from one reading to another
	share        // 1 for an item that came back, 0 for others
)

// row is one item of a series with all that it can be cut by.
type row struct {
	point
	product, place, person, gauge string
	lots                          map[string]string // by material; several of one are joined
	day, month, fortnight         int
	weekday                       time.Weekday
	life                          life.Observation // of a share: its age, and whether it came back at that
	expected                      float64          // returns to expect at its age, by all of the family
	family                        int              // of a pooled series: which of its families
}

// point is where a value comes from.
type point struct {
	inspection, item, serial string
	at                       time.Time
	value                    float64
}

// on notes the day of a row in the shop's zone.
func (r *row) on(zone *time.Location) {
	local := r.at.In(zone)
	day := time.Date(local.Year(), local.Month(), local.Day(), 0, 0, 0, 0, time.UTC)
	r.day = int(day.Unix() / (24 * 60 * 60))
	r.month, r.fortnight, r.weekday = local.Year()*12+int(local.Month())-1, r.day/14, local.Weekday()
}

// fewest is how many values a cut of this kind of series needs: under 20 nothing
// is said of what a person, a stand or a delivery gives. A loss is measured of
// few, and told from the others' by less.
func (s *series) fewest() int {
	if s.kind == change {
		return 8
	}
	return 20
}

// fewestDays is on how many days they must lie at least, and so the others.
const fewestDays = 5

// prepare takes values to the scale on which they are compared: the logarithm
// where the result cannot be negative and has a long upper tail, as the charts
// take it, and all of its values are above zero.
func (s *series) prepare() {
	for _, r := range s.rows {
		if !(r.value > 0) {
			s.log = false
		}
	}
	s.values = make([]float64, len(s.rows))
	for i, r := range s.rows {
		switch {
		case s.kind == share:
			s.values[i] = r.value - r.expected
		case s.log:
			s.values[i] = math.Log(r.value)
		default:
			s.values[i] = r.value
		}
	}
}

// product numbers the products of the rows, from 0.
func (s *series) product() []int {
	return numbered(s.rows, func(r *row) string { return r.product })
}

func numbered(rows []row, of func(*row) string) []int {
	known, out := map[string]int{}, make([]int, len(rows))
	for i := range rows {
		name := of(&rows[i])
		if _, ok := known[name]; !ok {
			known[name] = len(known)
		}
		out[i] = known[name]
	}
	return out
}
