package words

import (
	"strconv"
	"strings"
	"time"
)

// enCuts name the parts of the work that a search compares.
var enCuts = map[string]string{
	"builder": "{name}",
	"stand":   "{name}",
	"gauge":   "gauge {name}",
	"lot":     "lot {name}, {material}",
	"product": "{name}",
	"month":   "{name}",
	"weekday": "{name}s",
	"all":     "all of the work",
}

// enLaterResults name what is measured later than at first.
var enLaterResults = map[string]string{
	"tension_loss": "Tension lost until the recheck",
	"voltage_fall": "Fall of the blocks’ voltage a day",
	"returns":      "Returns",
}

// enDifferences say what a search for differences found.
var enDifferences = map[string]string{
	"difference_level":   "{who}, {what} ({family}): {effect} ({effect_low} to {effect_high}) against all others, likely a little high because it was picked; with the days shuffled a difference this large comes up in {chance}.",
	"difference_since":   "{who}, {what} ({family}), since {date}: {effect} ({effect_low} to {effect_high}), likely a little high because it was picked; with the days shuffled a difference this large comes up in {chance}.",
	"difference_stretch": "{who}, {what} ({family}), from {date} to {until}: {effect} ({effect_low} to {effect_high}), likely a little high because it was picked; with the days shuffled a difference this large comes up in {chance}.",
	"difference_drift":   "{who}, {what} ({family}), step by step from {date} to {until}: {effect} ({effect_low} to {effect_high}) in all, likely a little high because it was picked; with the days shuffled a change this large comes up in {chance}.",

	"difference_several_level":   "{who}, {what}, in {families} families together: {effect} ({effect_low} to {effect_high}) against all others of the same family, likely a little high because it was picked; with the days shuffled a difference this large comes up in {chance}.",
	"difference_several_since":   "{who}, {what}, in {families} families together, since {date}: {effect} ({effect_low} to {effect_high}), likely a little high because it was picked; with the days shuffled a difference this large comes up in {chance}.",
	"difference_several_stretch": "{who}, {what}, in {families} families together, from {date} to {until}: {effect} ({effect_low} to {effect_high}), likely a little high because it was picked; with the days shuffled a difference this large comes up in {chance}.",
	"difference_several_drift":   "{who}, {what}, in {families} families together, step by step from {date} to {until}: {effect} ({effect_low} to {effect_high}) in all, likely a little high because it was picked; with the days shuffled a change this large comes up in {chance}.",

	"difference_also_one":  "{who}: also in one other result or family, which stands on the page.",
	"difference_also_many": "{who}: also in {count} other results or families, which stand on the page.",

	"difference_returns_level":   "{who} ({family}): {k} of {n} came back, {share} % ({effect_low} to {effect_high}), where {expected} are to be expected at their age; likely a little high because it was picked; with the days shuffled a difference this large comes up in {chance}.",
	"difference_returns_since":   "{who}, shipped since {date} ({family}): {k} of {n} came back, {share} % ({effect_low} to {effect_high}), where {expected} are to be expected at their age; likely a little high because it was picked; with the days shuffled a difference this large comes up in {chance}.",
	"difference_returns_stretch": "{who}, shipped from {date} to {until} ({family}): {k} of {n} came back, {share} % ({effect_low} to {effect_high}), where {expected} are to be expected at their age; likely a little high because it was picked; with the days shuffled a difference this large comes up in {chance}.",
	"difference_returns_drift":   "{who}, shipped from {date} to {until} ({family}): returns changed step by step; with the days shuffled a change this large comes up in {chance}.",

	"part_level":   "{who}",
	"part_since":   "{who} since {date}",
	"part_stretch": "{who} from {date} to {until}",
	"part_drift":   "{who} over time",

	"chance.fewer": "fewer than 1 of {n}",
	"chance.about": "about {k} of {n}",
}

// Cut names a part of the work, as a sentence begins: "Stand 2", "Lot SP-0931,
// spokes".
func (c *Catalogue) Cut(factor, name, material string) string {
	switch factor {
	case "month":
		if t, err := time.Parse("2006-01", name); err == nil {
			name = t.Format("January 2006")
		}
	case "lot":
		material = c.Inside(c.materialName(material))
	}
	return Sentence(fill(c.named("cut.", factor), map[string]string{"name": name, "material": material}))
}

// materialName is a material by its code, or as the shop calls it.
func (c *Catalogue) materialName(code string) string {
	if c.Has("material." + code) {
		return c.named("material.", code)
	}
	return code
}

// chance is how often shuffled days gave as large a difference: "fewer than 1 of
// 10,000". What none of them gave is said of a round number that was drawn.
func (c *Catalogue) chance(larger, drawn string) string {
	k, errK := strconv.Atoi(larger)
	n, errN := strconv.Atoi(drawn)
	if errK != nil || errN != nil || n < 1 {
		return larger + "/" + drawn
	}
	if k <= 0 {
		round := 1
		for round*10 <= n {
			round *= 10
		}
		return c.Say("chance.fewer", map[string]string{"n": Thousands(round)})
	}
	return c.Say("chance.about", map[string]string{"k": Thousands(k), "n": Thousands(n)})
}

// Thousands sets a comma between thousands: "10,000".
func Thousands(n int) string {
	text := strconv.Itoa(n)
	var b strings.Builder
	for i, r := range text {
		if i > 0 && (len(text)-i)%3 == 0 && text[i-1] != '-' {
			b.WriteByte(',')
		}
		b.WriteRune(r)
	}
	return b.String()
}
