package certificate

import (
	"strings"

	"tracewright/models"
	"tracewright/models/words"
)

// expectedParts are the roles that a certificate always names, with "not
// recorded" where nothing is known.
var expectedParts = map[string][]string{
	models.KindWheel: {"motor", "rim", "spokes_a", "spokes_b", "nipples"},
	models.KindPack:  {"block"},
}

// partFacts is what is built in, by role: the roles of the kind first, then
// any other in the order of the content. The blocks of a pack are counted by
// lot here; each has a line of its own with the readings.
func (s *sheet) partFacts() []fact {
	var roles []string
	byRole := map[string][]models.CertificatePart{}
	for _, p := range s.content.Parts {
		if _, seen := byRole[p.Role]; !seen {
			roles = append(roles, p.Role)
		}
		byRole[p.Role] = append(byRole[p.Role], p)
	}
	expected := expectedParts[s.content.Item.Kind]
	ordered := append([]string{}, expected...)
	for _, role := range roles {
		known := false
		for _, e := range expected {
			known = known || e == role
		}
		if !known {
			ordered = append(ordered, role)
		}
	}
	var list []fact
	for _, role := range ordered {
		name := words.Sentence(s.words.Part(role))
		parts := byRole[role]
		switch {
		case len(parts) == 0:
			if role == "block" {
				name = words.Sentence(s.words.Part("blocks"))
			}
			list = append(list, fact{name, s.say("not_recorded"), &label})
		case role == "block":
			list = append(list, fact{words.Sentence(s.words.Part("blocks")), s.blocksByLot(parts), nil})
		default:
			texts := make([]string, len(parts))
			for i, p := range parts {
				texts[i] = s.part(p, len(parts) > 1)
			}
			list = append(list, fact{name, strings.Join(texts, "; "), nil})
		}
	}
	return list
}

// part is one lot or serialised part. A single piece is counted only where it
// is one of several.
func (s *sheet) part(p models.CertificatePart, several bool) string {
	var texts []string
	if p.Number != "" {
		texts = append(texts, p.Number)
	}
	switch {
	case p.Lot != "" && (p.Quantity > 1 || several && p.Quantity > 0):
		texts = append(texts, s.say("pieces_of_lot", "n", itoa(p.Quantity), "lot", p.Lot))
	case p.Lot != "":
		texts = append(texts, s.say("lot", "lot", p.Lot))
	}
	if p.Description != "" {
		texts = append(texts, p.Description)
	}
	if len(texts) == 0 {
		return s.say("not_recorded")
	}
	text := strings.Join(texts, ", ")
	if p.Place != "" && !strings.Contains(p.Place, ".") {
		text += " (" + p.Place + ")"
	}
	return text
}

// blocksByLot counts blocks by their lot, in the order they come. A lot may be
// named for the pack as a whole while the blocks have their numbers one by
// one: then only blocks beyond the lots' counts are of no recorded lot.
func (s *sheet) blocksByLot(parts []models.CertificatePart) string {
	var lots []string
	count := map[string]int{}
	ofLots := 0
	for _, p := range parts {
		if _, seen := count[p.Lot]; !seen && p.Lot != "" {
			lots = append(lots, p.Lot)
		}
		count[p.Lot] += max(p.Quantity, 1)
		if p.Lot != "" && p.Place == "" {
			ofLots += max(p.Quantity, 1)
		}
	}
	texts := make([]string, len(lots))
	for i, lot := range lots {
		texts[i] = s.say("pieces_of_lot", "n", itoa(count[lot]), "lot", lot)
	}
	if unknown := count[""] - ofLots; unknown > 0 {
		texts = append(texts, s.say("pieces_lot_unknown", "n", itoa(unknown)))
	}
	return strings.Join(texts, "; ")
}

// onlyLot is the lot of every block of a pack, when one lot is named for the
// pack as a whole and it has as many pieces as the pack has blocks.
func (s *sheet) onlyLot(blocks int) string {
	lot := ""
	for _, p := range s.content.Parts {
		switch {
		case p.Role != "block" || p.Lot == "":
		case lot != "" || p.Place != "" || p.Quantity != blocks:
			return ""
		default:
			lot = p.Lot
		}
	}
	return lot
}
