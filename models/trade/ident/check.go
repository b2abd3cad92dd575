package ident

import "strings"

// alphanumeric gives each character its value in ISO/IEC 7064: 0 to 9, then A
// = 10 to Z = 35.
const alphanumeric = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ"

// hybridCheck returns the check character of body by the hybrid system MOD
// modulus+1,modulus of ISO/IEC 7064: 36 for letters and digits, 10 for digits.
// It catches every single wrong character and all but a few swaps of
// neighbours. It reports false for a character outside the alphabet.
//
// With P starting at the modulus, for each character a: S = (P + a) mod M, M in
// place of 0; P = 2S mod (M+1). The check is (M + 1 - P) mod M.
func hybridCheck(body string, modulus int) (byte, bool) {
	p := modulus
	for i := range len(body) {
		a := strings.IndexByte(alphanumeric[:modulus], body[i])
		if a < 0 {
			return 0, false
		}
		s := (p + a) % modulus
		if s == 0 {
			s = modulus
		}
		p = 2 * s % (modulus + 1)
	}
	return alphanumeric[(modulus+1-p)%modulus], true
}
