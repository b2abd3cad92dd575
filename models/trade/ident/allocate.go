package ident

import (
	"errors"
	"fmt"
	"strings"
)

// Kind is the letter a serial begins with.
type Kind byte

// The kinds of item that get a serial of ours.
const (
	Wheel Kind = 'W'
	Pack  Kind = 'P'
	Kit   Kind = 'K'
	Block Kind = 'B' // A battery block without a maker's number.
)

const kinds = "WPKB"

const (
	counterDigits = 5
	bodyLength    = 3 + counterDigits
	serialLength  = bodyLength + 1
	// MaxCounter is the last counter value of a kind and year.
	MaxCounter = 1<<(5*counterDigits) - 1
)

// ErrUsedUp is returned when a kind and year have no counter value left.
var ErrUsedUp = errors.New("no serial left in this year")

// Allocate returns the serial of one counter value. It reports false for a
// value that gives none: because its check character would be I, L, O or U
// (about one in nine), or because kind, year or counter is out of range.
// Counting starts at 1.
func Allocate(kind Kind, year2 int, counter int) (serial string, ok bool) {
	if strings.IndexByte(kinds, byte(kind)) < 0 || year2 < 0 || year2 > 99 || counter < 1 || counter > MaxCounter {
		return "", false
	}
	body := fmt.Sprintf("%c%02d%s", kind, year2, base32(counter, counterDigits))
	check, ok := hybridCheck(body, len(alphanumeric))
	if !ok || strings.IndexByte(crockford, check) < 0 {
		return "", false
	}
	return body + string(check), true
}

// Range lists the serials of the counter values from first to last, in order;
// those that give none are passed over.
func Range(kind Kind, year2 int, first, last int) []string {
	var serials []string
	for counter := max(first, 1); counter <= min(last, MaxCounter); counter++ {
		if serial, ok := Allocate(kind, year2, counter); ok {
			serials = append(serials, serial)
		}
	}
	return serials
}

// Next returns the first serial behind the counter value after, 0 to begin,
// and the counter value it used, to be passed as after the next time.
func Next(kind Kind, year2 int, after int) (serial string, counter int, err error) {
	if strings.IndexByte(kinds, byte(kind)) < 0 {
		return "", 0, fmt.Errorf("kind letter %q: %w", string(rune(kind)), ErrFormat)
	}
	if year2 < 0 || year2 > 99 {
		return "", 0, fmt.Errorf("year %d: %w", year2, ErrFormat)
	}
	for counter = max(after, 0) + 1; counter <= MaxCounter; counter++ {
		if serial, ok := Allocate(kind, year2, counter); ok {
			return serial, counter, nil
		}
	}
	return "", 0, fmt.Errorf("kind %c, year %02d: %w", kind, year2, ErrUsedUp)
}
