package models

import (
	"encoding/json"
	"fmt"
	"maps"
)

// CertifiedParts are fitted parts as a certificate names them: those that are in
// their item now.
func CertifiedParts(fitted []PartView) []CertificatePart {
	list := make([]CertificatePart, 0, len(fitted))
	for _, p := range Present(fitted) {
		list = append(list, CertificatePart{Role: p.Role, Place: p.Place, Lot: p.LotCode, Number: p.Number, Description: p.Description, Quantity: p.Left()})
	}
	return list
}

// NamesParts says whether the parts that the certificate names are in its item now, piece
// for piece; how they are described may have changed. It fails on a content that cannot
// be read.
func (c Certificate) NamesParts(fitted []PartView) (bool, error) {
	var content CertificateContent
	if err := json.Unmarshal([]byte(c.Content), &content); err != nil {
		return false, fmt.Errorf("content of certificate %s: %w", c.Number, err)
	}
	return maps.Equal(pieces(content.Parts), pieces(CertifiedParts(fitted))), nil
}

// pieces counts what is named alike, however many rows it stands in.
//
//go:noinline
func pieces(parts []CertificatePart) map[CertificatePart]int {
	count := map[CertificatePart]int{}
	for _, p := range parts {
		count[CertificatePart{Role: p.Role, Place: p.Place, Lot: p.Lot, Number: p.Number}] += p.Quantity
	}
	return count
}
