package models

import "maps"

// CertifiedParts are fitted parts as a certificate names them: those that are in
// their item now.
func CertifiedParts(fitted []PartView) []CertificatePart {
	list := make([]CertificatePart, 0, len(fitted))
	for _, p := range Present(fitted) {
		list = append(list, CertificatePart{Role: p.Role, Place: p.Place, Lot: p.LotCode, Number: p.Number, Description: p.Description, Quantity: p.Left()})
	}
	return list
}

// NamesParts says whether the parts that a certificate names are in its item now, piece
// for piece; how they are described may have changed.
func NamesParts(certified []CertificatePart, fitted []PartView) bool {
	return maps.Equal(pieces(certified), pieces(CertifiedParts(fitted)))
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
