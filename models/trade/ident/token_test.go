package ident

import (
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// Digits 0 to 27 of the alphabet, as Crockford's table has them; 32 and more
// fold onto the lowest five bits.
func TestTokenWritesFiveBitsOfEachByte(t *testing.T) {
	var counting, folded [TokenDigits]byte
	for i := range counting {
		counting[i], folded[i] = byte(i), byte(i)+224
	}
	for name, random := range map[string][TokenDigits]byte{"0 to 27": counting, "with three more bits": folded} {
		if got := Token(random); got != "0123-4567-89AB-CDEF-GHJK-MNPQ-RSTV" {
			t.Errorf("%s: %s", name, got)
		}
	}
}

func TestReadToken(t *testing.T) {
	const token = "01Z3-4567-89AB-CDEF-GHJK-MNPQ-RSTV"
	for _, c := range []struct {
		name, typed string
		ok          bool
	}{
		{"as printed", token, true},
		{"without hyphens", strings.ReplaceAll(token, "-", ""), true},
		{"small letters and spaces", " 01z3 4567 89ab cdef ghjk mnpq rstv\n", true},
		{"letters for the digits they look like", "OIZ3-4567-89AB-CDEF-GHJK-MNPQ-RSTV", true},
		{"a dash that a phone made of the hyphen", strings.ReplaceAll(token, "-", "\u2013"), true},
		{"one too few", token[1:], false},
		{"one too many", token + "0", false},
		{"a letter that is in no token", "U" + token[1:], false},
		{"two bytes for one letter", "É" + token[2:], false},
		{"a serial", "W26-00005-1", false},
		{"nothing", "", false},
	} {
		t.Run(c.name, func(t *testing.T) {
			got, ok := ReadToken(c.typed)
			if ok != c.ok || ok && got != token {
				t.Errorf("%q, %v; want %v", got, ok, c.ok)
			}
		})
	}
}

func TestTokensAreReadAsWritten(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		var random [TokenDigits]byte
		copy(random[:], rapid.SliceOfN(rapid.Byte(), TokenDigits, TokenDigits).Draw(r, "random"))
		if token, ok := ReadToken(strings.ToLower(Token(random))); !ok || token != Token(random) {
			r.Fatalf("%s is read as %q, %v", Token(random), token, ok)
		}
	})
}
