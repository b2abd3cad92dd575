package access

import (
	_ "embed"
	"fmt"
	"strings"
	"sync"
	"unicode"
	"unicode/utf8"

	"golang.org/x/text/unicode/norm"

	"tracewright/models"
)

// What a password and a PIN must be: long, and not among the first that anybody tries.
// There is no rule about kinds of characters, and none expires by itself
// (OWASP ASVS 5.0, 6.2.1 to 6.2.10).
const (
	MinPassword = 12  // characters
	maxPassword = 256 // bytes
	MinPIN      = 4
	MaxPIN      = 8
)

//go:embed common.txt
var commonText string

var common = func() map[string]bool {
	words := map[string]bool{}
	for w := range strings.FieldsSeq(commonText) {
		words[w] = true
	}
	return words
}()

// frequentText are the first 3000 of a public list of 49,233 leaked passwords in the
// order in which they occur, and those of the others that are as long as ours must be
// (passwords.json of @zxcvbn-ts/language-common 4.1.3, MIT licence).
//
//go:embed frequent/passwords.txt
var frequentText string

// frequent holds them as they stand, and their letters alone.
var frequent = sync.OnceValue(func() map[string]bool {
	words := map[string]bool{}
	for w := range strings.FieldsSeq(frequentText) {
		words[w] = true
		if bare := letters(w); len(bare) >= 4 {
			words[bare] = true
		}
	}
	return words
})

// normalPassword makes the same of the same characters typed on different
// keyboards (NFC, as in the OpaqueString profile of RFC 8265).
func normalPassword(typed string) string { return norm.NFC.String(typed) }

func checkPassword(problems *models.InvalidError, password string, person models.Person) {
	switch {
	case utf8.RuneCountInString(password) < MinPassword:
		problems.Add("password", "password_short", "least", fmt.Sprint(MinPassword))
	case len(password) > maxPassword:
		problems.Add("password", "too_long", "most", fmt.Sprint(maxPassword))
	case isCommon(password, person):
		problems.Add("password", "password_common")
	}
}

// isCommon finds the passwords of the first guesses: what leaked most often, one
// common word or the person's own name, each also dressed up with digits and signs,
// words of our list strung together, a short piece over and over, and runs along a
// keyboard or the alphabet.
func isCommon(password string, person models.Person) bool {
	lower := strings.ToLower(password)
	if isRepeated(lower) || isRun(lower) || isFrequent(lower) {
		return true
	}
	own := map[string]bool{}
	for w := range strings.FieldsSeq(person.Name) {
		own[letters(w)] = true
	}
	if person.Login != nil {
		own[letters(*person.Login)] = true
	}
	return strungOf(letters(password), own)
}

// isFrequent finds what leaked often, as it stands, with digits and signs behind it,
// or among them.
func isFrequent(lower string) bool {
	words := frequent()
	for end := len(lower); end > 0; end-- {
		if words[lower[:end]] {
			return true
		}
		if r, _ := utf8.DecodeLastRuneInString(lower[:end]); r == utf8.RuneError || unicode.IsLetter(r) {
			break
		}
	}
	return words[letters(lower)]
}

// letters leaves the letters alone, in lower case.
func letters(s string) string {
	return strings.Map(func(r rune) rune {
		if unicode.IsLetter(r) {
			return unicode.ToLower(r)
		}
		return -1
	}, s)
}

// strungOf says whether letters are nothing but listed words one after the
// other; no letters at all, only digits and signs, count too.
func strungOf(bare string, own map[string]bool) bool {
	reached := make([]bool, len(bare)+1)
	reached[0] = true
	for start := range bare {
		if !reached[start] {
			continue
		}
		for end := start + 1; end <= len(bare); end++ {
			if w := bare[start:end]; common[w] || own[w] {
				reached[end] = true
			}
		}
	}
	return reached[len(bare)]
}

// isRepeated finds a piece of at most four bytes over and over.
func isRepeated(s string) bool {
	for n := 1; n <= 4; n++ {
		if len(s) > n && strings.HasPrefix(strings.Repeat(s[:n], len(s)/n+1), s) {
			return true
		}
	}
	return false
}

// rows are what a finger runs along.
var rows = []string{"abcdefghijklmnopqrstuvwxyz", "01234567890123456789", "qwertyuiopasdfghjklzxcvbnm", "qwertzuiopasdfghjklyxcvbnm", "azertyuiopqsdfghjklmwxcvbn", "1qaz2wsx3edc4rfv5tgb6yhn7ujm"}

func isRun(s string) bool {
	for _, row := range rows {
		if strings.Contains(row, s) || strings.Contains(reversed(row), s) {
			return true
		}
	}
	return false
}

func reversed(s string) string {
	out := []byte(s)
	for i, j := 0, len(out)-1; i < j; i, j = i+1, j-1 {
		out[i], out[j] = out[j], out[i]
	}
	return string(out)
}

// checkPIN refuses what a shoulder needs no second look for: one digit
// repeated, and digits in order.
func checkPIN(problems *models.InvalidError, pin string) {
	digits := strings.Trim(pin, "0123456789") == ""
	switch {
	case !digits || len(pin) < MinPIN || len(pin) > MaxPIN:
		problems.Add("pin", "pin_form", "least", fmt.Sprint(MinPIN), "most", fmt.Sprint(MaxPIN))
	case strings.Count(pin, pin[:1]) == len(pin) || isRun(pin):
		problems.Add("pin", "pin_easy")
	}
}
