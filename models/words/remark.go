package words

import (
	"maps"
	"math"
	"strconv"
	"strings"

	"tracewright/models"
)

// Remark puts a remark into words. Records carry codes; a sentence wants values
// as people read them, so codes get their names and values their units first.
func (c *Catalogue) Remark(r models.Remark) string { return c.Say(r.Code, c.Readable(r.Values)) }

// Problem puts a problem of a field into words.
func (c *Catalogue) Problem(p models.Problem) string { return c.Say(p.Code, c.Readable(p.Values)) }

// Readable turns the values of a remark or problem into what people read.
func (c *Catalogue) Readable(values map[string]string) map[string]string {
	out := maps.Clone(values)
	unit := values["unit"]
	for key, v := range values {
		switch key {
		case "result":
			if v == "" {
				continue
			}
			out[key] = c.Result(v)
			putNew(out, "name", out[key])
			putNew(out, "what", c.Inside(out[key]))
		case "results":
			out[key] = c.joined(v, c.Result)
			putNew(out, "names", out[key])
		case "characteristic":
			if v == "" {
				continue
			}
			out[key] = c.Characteristic(v)
			putNew(out, "name", Sentence(out[key]))
		case "characteristics":
			out[key] = c.joined(v, c.Characteristic)
			putNew(out, "names", out[key])
		case "reason":
			out[key] = c.HoldReason(values["code"], v)
		case "first_fault":
			out[key] = Sentence(c.Fault(v))
		case "faults":
			out[key] = c.joined(v, c.Fault)
		case "kinds":
			out[key] = c.Kinds(v)
			if values["n"] == "1" {
				out[key] = c.Kind(v)
			}
		case "month", "first_month", "last_month", "group": // Of a group, or what it is called.
			out[key] = c.Month(v)
		case "against":
			out[key] = c.joined(v, func(code string) string { return c.named("doubt.", code) })
		case "why_fitted":
			if v == "" {
				out[key] = c.named("doubt.", "no_reason")
			}
		case "elements":
			out[key] = c.elements(v)
		case "material", "kind": // Or what was typed in their place.
			if c.Has(key + "." + v) {
				out[key] = c.named(key+".", v)
			}
		case "cut":
			out["who"] = c.Cut(v, values["cut_name"], values["material"])
		case "drawn":
			out["chance"] = c.chance(values["larger"], v)
		case "effect":
			out[key] = c.Quantity(c.Signed(v), unit)
		case "effect_low", "effect_high":
			out[key] = c.Number(v)
		case "label_size":
			out[key] = c.LabelSize(v)
		case "symbol":
			out[key] = c.Symbol(v)
		case "serials":
			parts := strings.Split(v, ",")
			for i := range parts {
				parts[i] = Serial(parts[i])
			}
			out[key] = c.Join(parts)
		case "serial", "first", "last":
			out[key] = Serial(v)
		case "due", "date", "until", "over_from":
			out[key] = c.Date(v)
		case "law":
			out[key] = c.named("law.", v)
		case "state":
			out[key] = c.State(v)
		case "stage":
			out[key] = c.Stage(v)
		case "method":
			out[key] = c.Method(v)
		case "fault": // A shipped code, a result that shows no defect, or the shop's own name.
			if v != "" {
				out[key] = c.Fault(v)
			}
		case "item_kind":
			out[key] = c.Kind(v)
		case "instrument_kind":
			out[key] = c.Instrument(v)
		case "age":
			if n, err := strconv.Atoi(v); err == nil {
				out[key] = c.Count(n, "day")
			}
		case "tally":
			out[key] = Sentence(spelled(v))
		case "also":
			out[key] = spelled(v)
		case "hours":
			out[key] = c.span(v)
		case "offset":
			out[key] = c.offset(v)
		case "want": // A number, or the name of a type of value.
			out[key] = strings.ReplaceAll(v, "_", " ")
		case "unit":
			out[key] = c.Unit(v)
		case "value", "warn", "limit", "low", "high", "highest", "lowest", "drift", "resolution":
			if unit != "" {
				out[key] = c.Quantity(v, unit)
			} else {
				out[key] = c.Number(v)
			}
		case "mean", "mean_a", "mean_b", "bend", "dish", "tension", "difference", "range", "rest", "least", "recorded":
			out[key] = c.Number(v) // Figures with their units, or without.
		}
	}
	return out
}

// spelled is a small whole number as a word.
func spelled(text string) string {
	small := []string{"no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve"}
	if n, err := strconv.Atoi(text); err == nil && n >= 0 && n < len(small) {
		return small[n]
	}
	return text
}

// span is a number of hours, before or after, as people say it: in days above
// two of them.
func (c *Catalogue) span(hours string) string {
	h, err := strconv.ParseFloat(hours, 64)
	if err != nil || math.IsInf(h, 0) || math.IsNaN(h) {
		return hours
	}
	way, unit := "ahead", "hour"
	if h < 0 {
		way, h = "behind", -h
	}
	if h > 48 {
		unit, h = "day", h/24
	}
	return c.Say("span."+way, map[string]string{"value": c.Count(int(math.Round(h)), unit)})
}

// offset is how far a clock was off, which ends in the way: "2 h 05 min ahead".
func (c *Catalogue) offset(text string) string {
	for _, way := range []string{"ahead", "behind"} {
		if value, found := strings.CutSuffix(text, " "+way); found {
			return c.Say("span."+way, map[string]string{"value": value})
		}
	}
	return text
}

func putNew(values map[string]string, name, text string) {
	if _, there := values[name]; !there {
		values[name] = text
	}
}

// elements puts the values of a supplier's code, "10=A-1" one a line, into
// words: "lot A-1".
func (c *Catalogue) elements(lines string) string {
	var parts []string
	for line := range strings.SplitSeq(lines, "\n") {
		id, value, _ := strings.Cut(line, "=")
		parts = append(parts, c.named("element.", id)+" "+value)
	}
	return strings.Join(parts, ", ")
}

// joined puts a list of codes, joined by commas, into words.
func (c *Catalogue) joined(codes string, word func(string) string) string {
	parts := strings.Split(codes, ",")
	for i, p := range parts {
		parts[i] = c.Inside(word(strings.TrimSpace(p)))
	}
	return c.Join(parts)
}

// HoldReason is why an item is held: the words of whoever raised the hold, or
// the names of what failed where a recheck raised it.
func (c *Catalogue) HoldReason(code, reason string) string {
	if code != "recheck_failed" {
		return reason
	}
	return c.joined(reason, c.Result)
}
