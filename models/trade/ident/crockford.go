package ident

import "strings"

// crockford is Crockford's Base32 alphabet: no I, L, O, which look like digits,
// and no U.
const crockford = "0123456789ABCDEFGHJKMNPQRSTVWXYZ"

// base32 writes n in Crockford's Base32, with zeros in front up to the given
// width. It must not be negative.
func base32(n, width int) string {
	digits := make([]byte, 0, width)
	for n > 0 || len(digits) == 0 {
		digits = append(digits, crockford[n%32])
		n /= 32
	}
	for len(digits) < width {
		digits = append(digits, '0')
	}
	for i, j := 0, len(digits)-1; i < j; i, j = i+1, j-1 {
		digits[i], digits[j] = digits[j], digits[i]
	}
	return string(digits)
}

// lookalikes turns the letters that are read for digits into those digits.
var lookalikes = strings.NewReplacer("I", "1", "L", "1", "O", "0")
