package pack

import (
	"math"
	"sort"
	"time"
)

// Warmth is the temperature of a place from a moment on.
type Warmth struct {
	At    time.Time
	TempC float64
}

// AgeRule says how long stock may stand, by the calendar.
type AgeRule struct {
	BaseMonths float64 // at BaseTempC
	BaseTempC  float64
	CapMonths  float64 // at any temperature
}

// DefaultAge is the rule of DefaultShelf.
func DefaultAge() AgeRule { return AgeRule{BaseMonths: 6, BaseTempC: ReferenceC, CapMonths: 6} }

// Months gives how long stock may stand at tempC: min(cap, base 2^(-(T -
// Tbase)/10)).
func (a AgeRule) Months(tempC float64) float64 {
	return math.Min(a.CapMonths, a.BaseMonths*math.Exp2(-(tempC-a.BaseTempC)/10))
}

// Climate is the temperature history of one place, integrated once so that any
// stay in it costs a search and no sum. A temperature holds until the next one;
// the first holds before it, the last after it.
type Climate struct {
	at   []time.Time
	temp []float64
	lost running // months at 25 degrees: loss of charge is s25 times as much
	aged running // shares of the interval by the calendar
}

// running is an integral over a climate at the start of each of its stretches,
// and its rate, a day, in each.
type running struct{ sum, rate []float64 }

// NewClimate integrates a history, in order of time. Of several temperatures
// at one moment the last counts. Source: Stored and RefreshDue, integrated.
func NewClimate(history []Warmth, age AgeRule) (*Climate, error) {
	if len(history) == 0 {
		return nil, fieldf("history", "no temperature")
	}
	if err := first(positive("base_months", age.BaseMonths), positive("cap_months", age.CapMonths), checkTemperature("base_temp_C", age.BaseTempC)); err != nil {
		return nil, err
	}
	c := &Climate{}
	for i, w := range history {
		if err := checkTemperature("temp_C", w.TempC); err != nil {
			return nil, err
		}
		if w.At.IsZero() {
			return nil, fieldf("history", "a temperature without its moment")
		}
		if i > 0 && w.At.Before(history[i-1].At) {
			return nil, fieldf("history", "is not in order of time")
		}
		lost := math.Exp2((w.TempC-ReferenceC)/10) / DaysPerMonth
		aged := 1 / (age.Months(w.TempC) * DaysPerMonth)
		c.at, c.temp = append(c.at, w.At), append(c.temp, w.TempC)
		c.lost.add(c.at, lost)
		c.aged.add(c.at, aged)
	}
	return c, nil
}

func (r *running) add(at []time.Time, rate float64) {
	sum := 0.0
	if n := len(r.sum); n > 0 {
		sum = r.sum[n-1] + r.rate[n-1]*days(at[n-1], at[n])
	}
	r.sum, r.rate = append(r.sum, sum), append(r.rate, rate)
}

func days(from, to time.Time) float64 { return to.Sub(from).Hours() / hoursPerDay }

// stretch is the place in the history of a moment.
func (c *Climate) stretch(t time.Time) int {
	return max(0, sort.Search(len(c.at), func(i int) bool { return c.at[i].After(t) })-1)
}

// TempC is the temperature at a moment.
func (c *Climate) TempC(t time.Time) float64 { return c.temp[c.stretch(t)] }

func (c *Climate) value(r running, t time.Time) float64 {
	i := c.stretch(t)
	return r.sum[i] + r.rate[i]*days(c.at[i], t)
}

// reach gives the moment at which an integral has grown by amount since from.
func (c *Climate) reach(r running, from time.Time, amount float64) time.Time {
	goal := c.value(r, from) + amount
	i := max(0, sort.Search(len(r.sum), func(i int) bool { return r.sum[i] > goal })-1)
	away := (goal - r.sum[i]) / r.rate[i]
	return c.at[i].Add(time.Duration(math.Min(away, longestDays) * hoursPerDay * float64(time.Hour)))
}

// Stay is a time spent in one climate; the last of several has no end.
type Stay struct {
	Climate *Climate
	From    time.Time
}

// Stays are where a pack stood since it was read, in order of time; what lies
// before the first counts as in the first.
type Stays []Stay

// MonthsAt25 gives the months at 25 degrees that do the same to the charge as
// the time between two moments did.
func (s Stays) MonthsAt25(from, to time.Time) float64 {
	return s.over(from, to, func(c *Climate) running { return c.lost })
}

// Aged gives how much of the interval by the calendar was used between two
// moments; 1 is all of it.
func (s Stays) Aged(from, to time.Time) float64 {
	return s.over(from, to, func(c *Climate) running { return c.aged })
}

func (s Stays) over(from, to time.Time, which func(*Climate) running) float64 {
	total := 0.0
	for i, stay := range s {
		a, b := from, to
		if i > 0 && stay.From.After(a) {
			a = stay.From
		}
		if i+1 < len(s) && s[i+1].From.Before(b) {
			b = s[i+1].From
		}
		if a.Before(b) {
			total += stay.Climate.value(which(stay.Climate), b) - stay.Climate.value(which(stay.Climate), a)
		}
	}
	return total
}

// reached gives the whole days after from at which an integral has grown by
// amount, the last temperature holding on.
func (s Stays) reached(from time.Time, amount float64, which func(*Climate) running) int {
	if amount <= 0 {
		return 0
	}
	for i, stay := range s {
		start, r := from, which(stay.Climate)
		if i > 0 && stay.From.After(start) {
			start = stay.From
		}
		if i+1 < len(s) {
			end := s[i+1].From
			if !end.After(start) {
				continue
			}
			if grown := stay.Climate.value(r, end) - stay.Climate.value(r, start); grown < amount {
				amount -= grown
				continue
			}
		}
		return wholeDays(days(from, stay.Climate.reach(r, start, amount)))
	}
	return 0
}
