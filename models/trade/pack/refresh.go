package pack

import (
	"math"
	"time"
)

// What sets the refresh date.
const (
	GovernedBySoC      = "soc"
	GovernedByCalendar = "calendar"
)

// longestDays bounds a computed interval (a hundred years), so that a rate near
// zero gives a date and not an overflow.
const longestDays = 36525

// Shelf says how stock is stored and when it must be charged again.
type Shelf struct {
	SoC0Pct    float64 // charge when measured, %
	SoCMinPct  float64 // charge at which it must be refreshed, %
	S25        float64 // loss, % of capacity per month at 25 degrees
	TempC      float64 // storage temperature
	BaseMonths float64 // interval by the calendar at BaseTempC
	BaseTempC  float64
	CapMonths  float64 // longest interval by the calendar at any temperature
	MonthDays  float64 // days in a month; DaysPerMonth
}

// DefaultShelf is the common-practice rule for lead-acid: down to 70 %, six
// months at 25 degrees, half for each 10 K above, never more than six. It
// reproduces a published shelf table of 6, 4 and 2 months at 20, 30 and 40
// degrees (6.0, 4.24, 2.12).
func DefaultShelf(soc0Pct, tempC float64) Shelf {
	return Shelf{SoC0Pct: soc0Pct, SoCMinPct: 70, S25: DefaultSelfDischarge, TempC: tempC,
		BaseMonths: 6, BaseTempC: ReferenceC, CapMonths: 6, MonthDays: DaysPerMonth}
}

// Refresh is when stock must be charged again and why.
type Refresh struct {
	RatePctMonth   float64   // loss per month at the storage temperature
	DaysBySoC      int       // until the charge has fallen to the minimum
	DaysByCalendar int       // until the interval has passed
	Due            time.Time // measured date plus the smaller
	GovernedBy     string    // GovernedBySoC or GovernedByCalendar
}

// RefreshDue gives the day by which a stored block must be charged again:
//
//	days by charge   = floor((SoC0 - SoCmin)/s(T) * month), 0 at or below the minimum
//	days by calendar = floor(month * min(cap, base * 2^(-(T - Tbase)/10)))
//
// and the smaller of both after measured, counted in calendar days without a
// zone. When both are equal the charge governs. Source: common practice, no
// source.
func RefreshDue(measured time.Time, s Shelf) (Refresh, error) {
	err := first(percent("soc0_pct", s.SoC0Pct), percent("soc_min_pct", s.SoCMinPct), checkTemperature("base_temp_C", s.BaseTempC),
		positive("base_months", s.BaseMonths), positive("cap_months", s.CapMonths), positive("month_days", s.MonthDays))
	if err != nil {
		return Refresh{}, err
	}
	if measured.IsZero() {
		return Refresh{}, fieldf("measured", "is missing")
	}
	monthly, err := SelfDischargeRate(s.S25, s.TempC)
	if err != nil {
		return Refresh{}, err
	}
	out := Refresh{RatePctMonth: monthly, DaysBySoC: longestDays, GovernedBy: GovernedBySoC}
	switch {
	case s.SoC0Pct <= s.SoCMinPct:
		out.DaysBySoC = 0
	case monthly > 0:
		out.DaysBySoC = wholeDays((s.SoC0Pct - s.SoCMinPct) / monthly * s.MonthDays)
	}
	months := math.Min(s.CapMonths, s.BaseMonths*math.Exp2(-(s.TempC-s.BaseTempC)/10))
	out.DaysByCalendar = wholeDays(s.MonthDays * months)
	days := out.DaysBySoC
	if out.DaysByCalendar < days {
		days, out.GovernedBy = out.DaysByCalendar, GovernedByCalendar
	}
	year, month, day := measured.Date()
	out.Due = time.Date(year, month, day+days, 0, 0, 0, 0, time.UTC)
	return out, nil
}

// wholeDays rounds down, forgiving the last binary digit of a whole number.
func wholeDays(days float64) int {
	return int(math.Min(math.Floor(days+slack), longestDays))
}
