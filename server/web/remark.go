package web

import (
	"maps"
	"strings"

	"tracewright/models"
	"tracewright/models/words"
)

// say puts a remark into words. Records carry codes; the catalogue wants
// values as people read them, so codes get their names and values their units
// first.
func say(r models.Remark) string { return english.Say(r.Code, readable(r.Values)) }

func readable(values map[string]string) map[string]string {
	out := maps.Clone(values)
	if out == nil {
		return nil
	}
	put := func(name, text string) {
		if _, there := out[name]; !there {
			out[name] = text
		}
	}
	unit := values["unit"]
	for key, v := range values {
		switch key {
		case "result":
			out[key] = english.Result(v)
			put("name", out[key])
		case "results":
			out[key] = named(v, english.Result)
			put("names", out[key])
		case "characteristic":
			out[key] = english.Characteristic(v)
			put("name", words.Sentence(out[key]))
		case "characteristics":
			out[key] = named(v, english.Characteristic)
			put("names", out[key])
		case "serial":
			out[key] = words.Serial(v)
		case "due", "date":
			out[key] = words.Date(v)
		case "stage":
			out[key] = english.Stage(v)
		case "method":
			out[key] = english.Method(v)
		case "unit":
			out[key] = words.Unit(v)
		case "value", "warn", "limit", "low", "high", "highest", "lowest", "drift", "resolution":
			if unit != "" {
				out[key] = words.Quantity(v, unit)
			} else {
				out[key] = words.Number(v)
			}
		}
	}
	return out
}

// named puts a list of codes, joined by commas, into words.
func named(codes string, word func(string) string) string {
	parts := strings.Split(codes, ",")
	for i, p := range parts {
		parts[i] = lowered(word(strings.TrimSpace(p)))
	}
	return english.Join(parts)
}
