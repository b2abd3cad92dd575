package web

import (
	"strings"

	"tracewright/models"
)

// say puts a remark into words. Records carry codes; the catalogue wants
// values as people read them.
func say(r models.Remark) string { return english.Say(r.Code, english.Readable(r.Values)) }

// named puts a list of codes, joined by commas, into words.
func named(codes string, word func(string) string) string {
	parts := strings.Split(codes, ",")
	for i, p := range parts {
		parts[i] = lowered(word(strings.TrimSpace(p)))
	}
	return english.Join(parts)
}
