package logs

import (
	"net/netip"
	"regexp"
	"strconv"
	"strings"
	"unicode"
)

// The shapes of what is taken out of a text.
var (
	// What stands between quotes was typed, or read from a record, unless it is a
	// name out of the schema (people_login). Databases quote in their own language.
	quoted     = regexp.MustCompile(`"(?:[^"\\]|\\.)*"|“[^”]*”|„[^“”]*[“”]|»[^«]*«|«[^»]*»|'[^' ]*'`)
	schemaName = regexp.MustCompile(`^[a-z0-9]+(?:_[a-z0-9]+)+$`)
	// The detail of a database's error repeats a row: Key (login)=(ilse).
	rowDetail = regexp.MustCompile(`\)=\([^)]*\)`)
	mail      = regexp.MustCompile(`[^\s@<>"':/\[\]]+@[^\s@<>"'/]+\.[A-Za-z]{2,}`)
	login     = regexp.MustCompile(`://[^/\s@]*@`)
	password  = regexp.MustCompile(`(?i)(password|token|secret)(\s*[=:]\s*)\S+`)
	serial    = regexp.MustCompile(`(?i)\b[A-Z]\d{2}[- ]?\d{5}[- ]?[0-9A-Z*]\b`)
	word      = regexp.MustCompile(`[A-Za-z0-9_-]{24,}`)
	uuid      = regexp.MustCompile(`^[0-9a-f]{8}(?:-[0-9a-f]{4}){3}-[0-9a-f]{12}$`)
	// Of both kinds, the newer ones first, which may end like the older.
	address = regexp.MustCompile(`(?i)(?:\b[0-9a-f]{1,4})?(?:(?::[0-9a-f]{0,4}){1,6}:(?:\d{1,3}\.){3}\d{1,3}|(?::[0-9a-f]{0,4}){2,7})(?:%[0-9A-Za-z.-]+)?|\b(?:\d{1,3}\.){3}\d{1,3}\b`)
)

// Clean is a text without what was typed, e-mail addresses, secrets, serials, and
// the last part of addresses of other people's networks. It errs on the side of
// taking out too much: what an error is about is told by its other words.
func Clean(text string) string {
	text = quoted.ReplaceAllStringFunc(text, func(found string) string {
		runes := []rune(found)
		if inner := string(runes[1 : len(runes)-1]); inner == "" || schemaName.MatchString(inner) {
			return found
		}
		return "[typed]"
	})
	text = rowDetail.ReplaceAllString(text, ")=([typed])")
	text = login.ReplaceAllString(text, "://[login]@")
	text = mail.ReplaceAllString(text, "[mail]")
	text = password.ReplaceAllString(text, "$1$2[secret]")
	text = serial.ReplaceAllString(text, "[serial]")
	text = word.ReplaceAllStringFunc(text, func(found string) string {
		if uuid.MatchString(found) || !mixed(found) {
			return found
		}
		return "[secret]"
	})
	return address.ReplaceAllStringFunc(text, func(found string) string {
		if _, err := netip.ParseAddr(found); err != nil && strings.Contains(found, ":") {
			return found // A time of day, say.
		}
		return Address(found)
	})
}

// mixed says whether a word has letters and digits as secrets have, and not the
// single digits of a name.
func mixed(word string) bool {
	digits := strings.IndexFunc(word, unicode.IsDigit) >= 0
	letters := strings.IndexFunc(word, unicode.IsLetter) >= 0
	return digits && letters
}

// Address is a network address as the log may keep it: whole where it is of a
// private network, and so of a machine of the shop; otherwise the network alone, as
// a /24 or a /48.
func Address(text string) string {
	a, err := netip.ParseAddr(text)
	if at, ok := netip.ParseAddrPort(text); ok == nil {
		return Address(at.Addr().String()) + ":" + strconv.Itoa(int(at.Port()))
	}
	if err != nil {
		return "unknown"
	}
	a = a.Unmap().WithZone("")
	if a.IsPrivate() || a.IsLoopback() || a.IsLinkLocalUnicast() || a.IsUnspecified() {
		return a.String()
	}
	bits := 24
	if a.Is6() {
		bits = 48
	}
	p, err := a.Prefix(bits)
	if err != nil {
		return "unknown"
	}
	return p.String()
}
