package models

import "slices"

// Languages that certificates are printed in, by tag; the catalogue has a file
// for each. The first is that of the pages, and the usual one.
var Languages = []string{"en", "de"}

// LanguageOr gives a language that paper is printed in, the usual one for none
// or one that there is not.
func LanguageOr(tag string) string {
	if slices.Contains(Languages, tag) {
		return tag
	}
	return Languages[0]
}
