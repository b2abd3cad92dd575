package pack

import (
	"fmt"
	"math"
)

// DaysPerMonth is the month of every rate here: 365.25 / 12 days.
const DaysPerMonth = 30.4375

// DefaultSelfDischarge is the loss of charge, % of capacity per month at 25
// degrees, of absorbed glass mat and gel. Makers publish 1.5 to 5.
const DefaultSelfDischarge = 3.0

// Segment is a stay on a shelf.
type Segment struct {
	TempC float64
	Days  float64
}

// SelfDischargeRate gives the loss of charge, % of capacity per month, at
// tempC from the rate s25 at 25 degrees:
//
//	s(T) = s25 * 2^((T - 25)/10)
//
// Source: doubling per 10 K, a published trade rule.
func SelfDischargeRate(s25, tempC float64) (float64, error) {
	if err := first(rate("s25_pct_month", s25), checkTemperature("temp_C", tempC)); err != nil {
		return 0, err
	}
	return s25 * math.Exp2((tempC-ReferenceC)/10), nil
}

// Stored gives the charge lost over a history of stays, % of capacity, and the
// charge left of soc0, not below 0: loss = sum of s(T_i) days_i / 30.4375.
// Source: SelfDischargeRate, integrated.
func Stored(soc0Pct, s25 float64, history []Segment) (lossPct, socPct float64, err error) {
	if err := percent("soc0_pct", soc0Pct); err != nil {
		return 0, 0, err
	}
	for i, stay := range history {
		if err := hours(fmt.Sprintf("segments[%d].days", i), stay.Days); err != nil {
			return 0, 0, err
		}
		if err := checkTemperature(fmt.Sprintf("segments[%d].temp_C", i), stay.TempC); err != nil {
			return 0, 0, err
		}
		monthly, err := SelfDischargeRate(s25, stay.TempC)
		if err != nil {
			return 0, 0, err
		}
		lossPct += monthly * stay.Days / DaysPerMonth
	}
	return lossPct, math.Max(0, soc0Pct-lossPct), nil
}

// rate refuses a loss per month that no block has.
func rate(field string, pctMonth float64) error {
	if err := finite(field, pctMonth); err != nil {
		return err
	}
	if pctMonth < 0 || pctMonth > 100 {
		return fieldf(field, "a rate lies between 0 and 100 %% a month, not %g", pctMonth)
	}
	return nil
}

// percent refuses a charge outside 0 to 100.
func percent(field string, pct float64) error {
	if err := finite(field, pct); err != nil {
		return err
	}
	if pct < 0 || pct > 100 {
		return fieldf(field, "lies between 0 and 100, not %g", pct)
	}
	return nil
}
