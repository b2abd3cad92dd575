package web

import (
	"maps"
	"strings"

	"tracewright/models"
	"tracewright/models/numbers/conformity"
)

// say puts a remark into words. Records carry codes; the catalogue wants
// values as people read them.
func say(r models.Remark) string {
	values := english.Readable(r.Values)
	// A reason stands inside the catalogue's sentence, which has its own stop.
	if reason, ok := values["reason"]; ok {
		values["reason"] = strings.TrimRight(reason, ". ")
	}
	return english.Say(r.Code, values)
}

// sayOf puts a remark about an inspection into words, its values rounded as
// the results beside it are.
func sayOf(in *models.InspectionView, r models.Remark) string {
	result, value := r.Values["result"], r.Values["value"]
	if in == nil || result == "" || value == "" {
		return say(r)
	}
	limit, c, ok := in.Specification.Limit(result)
	if !ok {
		return say(r)
	}
	values := maps.Clone(r.Values)
	values["value"] = conformity.ShownText(value, c.Printed(limit), limit.Low, limit.High)
	return say(models.Remark{Code: r.Code, Values: values})
}

// named puts a list of codes, joined by commas, into words.
func named(codes string, word func(string) string) string {
	parts := strings.Split(codes, ",")
	for i, p := range parts {
		parts[i] = lowered(word(strings.TrimSpace(p)))
	}
	return english.Join(parts)
}
