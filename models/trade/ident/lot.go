package ident

import (
	"fmt"
	"strconv"
	"strings"
)

// mostLots is more than any workshop takes in during a year. A higher number is
// something else that a shop writes behind L and a year, as a date.
const mostLots = 999_999

// LotCode is the code of a lot that nobody gives one: L, the last two digits of the
// year, a hyphen and the number in it, of four digits or more: L26-0001.
func LotCode(year2, number int) string { return fmt.Sprintf("L%02d-%04d", year2, number) }

// LotNumber gives the number of a code that [LotCode] wrote for a year, in capitals
// or small letters; it reports false for any other.
func LotNumber(year2 int, code string) (number int, ok bool) {
	_, digits, _ := strings.Cut(code, "-")
	number, err := strconv.Atoi(digits)
	if err != nil || number < 1 || number > mostLots || !strings.EqualFold(code, LotCode(year2, number)) {
		return 0, false
	}
	return number, true
}
