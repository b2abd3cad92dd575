package pack

import "time"

// Reasons against a block by its dates, in the order BlockAge gives them.
const (
	TooOldByDateCode = "too_old_by_date_code"
	RefreshOverdue   = "refresh_overdue"
	DateImpossible   = "date_impossible"
)

// Dates are what is known of a block's age.
type Dates struct {
	Made       time.Time // by the date code
	LastCharge time.Time // last full charge, the maker's own when there was none since
	Today      time.Time
}

// AgeLimits are the days after which a block is not built in, and after which
// it must have been charged.
type AgeLimits struct {
	MaxAgeDays  int // 365 by default; common practice, no source
	RefreshDays int
}

// Age is what the dates say.
type Age struct {
	AgeDays         int // since made, negative when made in the future
	DaysSinceCharge int
	Reasons         []string
}

// BlockAge counts the days since a block was made and last charged, on the
// calendar without a zone, and gives every reason against building it in: older
// than the limit, longer than the refresh interval without a charge, or dates
// that cannot be (charged before made, made or charged in the future). Equal to
// a limit passes. Source: common practice, no source.
func BlockAge(d Dates, limits AgeLimits) (Age, error) {
	for _, given := range []struct {
		field string
		date  time.Time
	}{{"made", d.Made}, {"last_charge", d.LastCharge}, {"today", d.Today}} {
		if given.date.IsZero() {
			return Age{}, fieldf(given.field, "is missing")
		}
	}
	for _, limit := range []struct {
		field string
		days  int
	}{{"max_age_days", limits.MaxAgeDays}, {"refresh_days", limits.RefreshDays}} {
		if limit.days < 0 {
			return Age{}, fieldf(limit.field, "cannot be negative")
		}
	}
	made, charged, today := dayNumber(d.Made), dayNumber(d.LastCharge), dayNumber(d.Today)
	out := Age{AgeDays: today - made, DaysSinceCharge: today - charged, Reasons: []string{}}
	if out.AgeDays > limits.MaxAgeDays {
		out.Reasons = append(out.Reasons, TooOldByDateCode)
	}
	if out.DaysSinceCharge > limits.RefreshDays {
		out.Reasons = append(out.Reasons, RefreshOverdue)
	}
	if charged < made || charged > today || made > today {
		out.Reasons = append(out.Reasons, DateImpossible)
	}
	return out, nil
}

// dayNumber counts calendar days; only differences of it mean anything.
func dayNumber(t time.Time) int {
	year, month, day := t.Date()
	const secondsPerDay = 86400
	return int(time.Date(year, month, day, 0, 0, 0, 0, time.UTC).Unix() / secondsPerDay)
}
