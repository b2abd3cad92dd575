package pack

import (
	"strconv"
	"strings"
	"time"
)

// DateCodes are the ways of writing the day of making that MadeOn reads.
var DateCodes = []string{"iso", "yyww", "yymm"}

// MadeOn reads the day a block was made from its maker's date code: the first
// day of the week or month where the code says no more. form is one of
// DateCodes; with iso a day, a month or an ISO week (2026-05-12, 2026-05,
// 2026-W20). Years of two digits are of this century. A week counts from Monday
// (ISO 8601); makers who count otherwise are off by days, which no limit here
// sees. A code that names no day there is, is an error.
func MadeOn(code, form string) (time.Time, error) {
	code = strings.ToUpper(strings.TrimSpace(code))
	if code == "" {
		return time.Time{}, fieldf("date_code", "is missing")
	}
	switch form {
	case "yyww":
		if year, week, ok := twoAndTwo(code); ok {
			return weekOf(2000+year, week, code)
		}
	case "yymm":
		if year, month, ok := twoAndTwo(code); ok && month >= 1 && month <= 12 {
			return time.Date(2000+year, time.Month(month), 1, 0, 0, 0, 0, time.UTC), nil
		}
	case "iso":
		return isoDay(code)
	default:
		return time.Time{}, fieldf("date_code", "%.10q is none of %v", form, DateCodes)
	}
	return time.Time{}, fieldf("date_code", "%.20q is no such code", code)
}

// isoDay reads a day, a month or a week.
func isoDay(code string) (time.Time, error) {
	for _, layout := range []string{time.DateOnly, "2006-01"} {
		if t, err := time.Parse(layout, code); err == nil {
			return t, nil
		}
	}
	if year, week, ok := strings.Cut(code, "-W"); ok && len(year) == 4 && len(week) == 2 {
		y, errYear := strconv.Atoi(year)
		w, errWeek := strconv.Atoi(week)
		if errYear == nil && errWeek == nil {
			return weekOf(y, w, code)
		}
	}
	return time.Time{}, fieldf("date_code", "%.20q is no day, month or week", code)
}

// twoAndTwo splits four digits.
func twoAndTwo(code string) (a, b int, ok bool) {
	n, err := strconv.Atoi(code)
	if err != nil || len(code) != 4 || code[0] == '+' || code[0] == '-' {
		return 0, 0, false
	}
	return n / 100, n % 100, true
}

// weekOf is the Monday of an ISO week: week 1 is that of 4 January.
func weekOf(year, week int, code string) (time.Time, error) {
	fourth := time.Date(year, 1, 4, 0, 0, 0, 0, time.UTC)
	monday := fourth.AddDate(0, 0, -((int(fourth.Weekday())+6)%7)+7*(week-1))
	if y, w := monday.ISOWeek(); week < 1 || y != year || w != week {
		return time.Time{}, fieldf("date_code", "%.20q names a week that %d does not have", code, year)
	}
	return monday, nil
}
