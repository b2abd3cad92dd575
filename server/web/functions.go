package web

import (
	"html/template"
	"strings"

	"tracewright/models"
	"tracewright/models/words"
)

// english is the catalogue every page takes its words from.
var english = words.In("en")

// functions are what templates may call; anything more belongs into a page's
// struct.
var functions = template.FuncMap{
	"asset":    assetPath,
	"verdict":  verdictMark,
	"role":     func(r models.Role) string { return english.Role(string(r)) },
	"serial":   words.Serial,
	"decimal":  decimal,
	"quantity": words.Quantity,
	"sentence": words.Sentence,
	"join":     strings.Join,

	// What the layout asks: as methods of Frame they would be there once more for each page that embeds one.
	"tabTitle":    tabTitle,
	"shortPerson": shortPerson,
	"mainMenu":    mainMenu,
	"moreMenu":    moreMenu,
	"questions":   func() []Question { return questions }, // the strip that every page of a question shows under its head
}

// decimal splits a number before its point, so that the figures of a column
// share it: the column's table carries the class d1 to d5 for its most
// decimals, and every fraction is made that wide.
func decimal(text string) template.HTML {
	text = words.Number(text)
	whole, fraction, found := strings.Cut(text, ".")
	if found {
		fraction = "." + fraction
	}
	return template.HTML(template.HTMLEscapeString(whole) + `<span class="fr">` + template.HTMLEscapeString(fraction) + `</span>`) //nolint:gosec // both parts are escaped
}

// mostDecimals is the class of a table whose longest fraction has so many
// digits.
func mostDecimals(texts ...string) string {
	most := 0
	for _, text := range texts {
		if _, fraction, found := strings.Cut(text, "."); found && len(fraction) > most {
			most = len(fraction)
		}
	}
	if most == 0 {
		return ""
	}
	return "d" + string(rune('0'+min(most, 5)))
}
