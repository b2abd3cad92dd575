package sheet

import (
	"errors"
	"fmt"
	"regexp"
	"strconv"
	"strings"
	"time"

	"tracewright/models/numbers/measure"
)

var (
	// ErrNotADay says that a text is no day of the calendar in a form known here.
	ErrNotADay = errors.New("not a day")
	// ErrNotWhole says that a text is no whole number.
	ErrNotWhole = errors.New("not a whole number")
	// ErrTwoMeanings says that a text can be read in two ways.
	ErrTwoMeanings = errors.New("two meanings")
)

var (
	yearFirst = regexp.MustCompile(`^(\d{4})-(\d{1,2})-(\d{1,2})$`)
	dayFirst  = regexp.MustCompile(`^(\d{1,2})\.(\d{1,2})\.(\d{4})$`)
	slashes   = regexp.MustCompile(`^(\d{1,2})/(\d{1,2})/(\d{4})$`)
	thousands = regexp.MustCompile(`^[1-9]\d{0,2}[.,]\d{3}$`)
)

// Day reads a day and gives it as YYYY-MM-DD. With points the day comes first;
// with slashes either may, so that 03/05/2026 is ErrTwoMeanings and 25/12/2026 is
// Christmas. Errors: ErrNotADay, ErrTwoMeanings.
func Day(text string) (string, error) {
	var year, month, day string
	if m := yearFirst.FindStringSubmatch(text); m != nil {
		year, month, day = m[1], m[2], m[3]
	} else if m := dayFirst.FindStringSubmatch(text); m != nil {
		year, month, day = m[3], m[2], m[1]
	} else if m := slashes.FindStringSubmatch(text); m != nil {
		first, errFirst := calendarDay(m[3], m[2], m[1])
		second, errSecond := calendarDay(m[3], m[1], m[2])
		switch {
		case errFirst == nil && errSecond == nil && first != second:
			return "", fmt.Errorf("%q is %s or %s: %w", text, first, second, ErrTwoMeanings)
		case errFirst == nil:
			return first, nil
		}
		return second, errSecond
	}
	return calendarDay(year, month, day)
}

func calendarDay(year, month, day string) (string, error) {
	t, err := time.Parse("2006-1-2", year+"-"+month+"-"+day)
	if err != nil {
		return "", ErrNotADay
	}
	return t.Format(time.DateOnly), nil
}

// Whole reads a count, which may carry a decimal mark with zeros behind it. Three
// of them are ErrTwoMeanings: 1.000 is one or a thousand.
func Whole(text string) (int, error) {
	if thousands.MatchString(text) {
		return 0, fmt.Errorf("%q: %w", text, ErrTwoMeanings)
	}
	d, err := measure.ParseReading(text)
	if err != nil {
		return 0, ErrNotWhole
	}
	n, err := strconv.Atoi(d.Trim().String())
	if err != nil {
		return 0, ErrNotWhole
	}
	return n, nil
}

// Fold writes a word so that capitals, blanks, hyphens and the like make no
// difference.
func Fold(word string) string {
	return strings.Map(func(r rune) rune {
		switch {
		case r >= 'a' && r <= 'z', r >= '0' && r <= '9', r > 127:
			return r
		}
		return -1
	}, strings.ToLower(word))
}

// Nearest finds among known words the one that a word most likely stands for, as
// after a slip of the hand: at most one character in four is other.
func Nearest(word string, known []string) (string, bool) {
	typed, best, least := []rune(Fold(word)), "", len(word)
	for _, k := range known {
		if d := distance(typed, []rune(Fold(k))); d < least {
			best, least = k, d
		}
	}
	return best, best != "" && least*4 <= len(typed)+1
}

// distance is how many characters are put in, left out or changed (Levenshtein).
func distance(a, b []rune) int {
	before := make([]int, len(b)+1)
	for j := range before {
		before[j] = j
	}
	for i, x := range a {
		row := make([]int, len(b)+1)
		row[0] = i + 1
		for j, y := range b {
			cost := 1
			if x == y {
				cost = 0
			}
			row[j+1] = min(row[j]+1, before[j+1]+1, before[j]+cost)
		}
		before = row
	}
	return before[len(b)]
}
