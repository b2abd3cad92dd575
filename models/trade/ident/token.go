package ident

import "strings"

// TokenDigits is the length of a token: 28 digits of five bits are 140 bits,
// which nobody guesses.
const TokenDigits = 28

// tokenGroup is how many digits are printed without a hyphen between them.
const tokenGroup = 4

// Token writes random bytes, of each its lowest five bits, as the token of a
// certificate's public page: 7ZK3-M9QW-2B4T-X0RD-6NYA-5HJE-Q8VC. It is a secret
// that is printed: a camera reads it from the code beside it, and a person
// without one types it, so it leaves out the letters that look like digits.
func Token(random [TokenDigits]byte) string {
	digits := make([]byte, TokenDigits)
	for i, b := range random {
		digits[i] = crockford[b%32]
	}
	return grouped(string(digits))
}

// ReadToken reads a token as typed, as forgivingly as [Normalise] does a
// serial, and returns it as [Token] wrote it. It reports false for anything
// that can be none.
func ReadToken(typed string) (token string, ok bool) {
	digits := plain(strings.TrimSpace(typed))
	if len(digits) != TokenDigits || !consistsOf(digits, crockford) {
		return "", false
	}
	return grouped(digits), true
}

func grouped(digits string) string {
	groups := make([]string, 0, TokenDigits/tokenGroup)
	for ; digits != ""; digits = digits[tokenGroup:] {
		groups = append(groups, digits[:tokenGroup])
	}
	return strings.Join(groups, "-")
}
