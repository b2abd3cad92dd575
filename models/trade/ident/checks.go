package ident

import (
	"fmt"
	"strings"
)

// Check systems of numbers that are not ours: those of makers, carriers and
// articles. Each gives the check of a body, and false for a character outside
// its alphabet or an empty body.

// Hybrid is the check of ISO/IEC 7064 MOD 37,36 or MOD 11,10, modulus 36 or 10.
func Hybrid(body string, modulus int) (string, bool) {
	if body == "" || modulus != 36 && modulus != 10 {
		return "", false
	}
	check, ok := hybridCheck(body, modulus)
	return string(check), ok
}

// Mod97 is the two digits of ISO/IEC 7064 MOD 97-10, letters as A = 10 to Z =
// 35: 98 less the remainder by 97 of the body with two zeros behind it.
func Mod97(body string) (string, bool) {
	rest := 0
	for i := range len(body) {
		a := strings.IndexByte(alphanumeric, body[i])
		switch {
		case a < 0:
			return "", false
		case a < 10:
			rest = (rest*10 + a) % 97
		default:
			rest = (rest*100 + a) % 97
		}
	}
	return fmt.Sprintf("%02d", 98-rest*100%97), body != ""
}

// Mod11 is the digit, or X for ten, of ISO/IEC 7064 MOD 11-2: for each digit S =
// 2 (S + a) mod 11, and the check (12 - S) mod 11.
func Mod11(body string) (string, bool) {
	s := 0
	for i := range len(body) {
		a := strings.IndexByte(digits, body[i])
		if a < 0 {
			return "", false
		}
		s = 2 * (s + a) % 11
	}
	return (digits + "X")[(12-s)%11 : (12-s)%11+1], body != ""
}

// damm is the quasigroup of order ten of H. M. Damm, Total anti-symmetrische
// Quasigruppen, thesis, Marburg 2004: row by interim digit, column by digit.
var damm = [10]string{
	"0317598642", "7092154863", "4206871359", "1750983426", "6123045978",
	"3674209581", "5869720134", "8945362017", "9438617205", "2581436790",
}

// Damm is its digit: it catches every wrong digit and every swap of neighbours.
func Damm(body string) (string, bool) {
	interim := byte('0')
	for i := range len(body) {
		if strings.IndexByte(digits, body[i]) < 0 {
			return "", false
		}
		interim = damm[interim-'0'][body[i]-'0']
	}
	return string(interim), body != ""
}

// Luhn is the digit of ISO/IEC 7812-1, annex B: from the right every other
// digit twice, its digits added up, and what lacks to the next ten.
func Luhn(body string) (string, bool) {
	return weighted(body, func(fromRight, digit int) int {
		if fromRight%2 == 0 {
			digit *= 2
		}
		return digit/10 + digit%10
	})
}

// Article is the check digit of a GS1 article number: from the right weights 3
// and 1 in turn, and what lacks to the next ten (GS1 General Specifications,
// 7.9.1).
func Article(body string) (string, bool) {
	return weighted(body, func(fromRight, digit int) int { return digit * (3 - 2*(fromRight%2)) })
}

func weighted(body string, worth func(fromRight, digit int) int) (string, bool) {
	sum := 0
	for i := range len(body) {
		digit := strings.IndexByte(digits, body[i])
		if digit < 0 {
			return "", false
		}
		sum += worth(len(body)-1-i, digit)
	}
	return digits[(10-sum%10)%10 : (10-sum%10)%10+1], body != ""
}

const digits = "0123456789"

// Base32 writes a number in Crockford's Base32, with zeros in front up to a
// width.
func Base32(n, width int) string { return base32(n, width) }
