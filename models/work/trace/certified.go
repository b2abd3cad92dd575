package trace

import "tracewright/models"

// CertificateNamesItsParts says whether the parts that the certificate in force names
// are in the item now; yes where there is none, or its content cannot be read.
func (v *ItemView) CertificateNamesItsParts() bool {
	inForce := v.Certificate()
	if inForce == nil {
		return true
	}
	same, err := inForce.Certificate.NamesParts(asFitted(v.Parts))
	return same || err != nil
}

// asFitted are the parts in view under the names that a certificate prints.
func asFitted(parts []PartView) []models.PartView {
	list := make([]models.PartView, len(parts))
	for i, p := range parts {
		list[i] = models.PartView{FittedPart: p.Part}
		switch {
		case p.Lot != nil:
			list[i].LotCode = p.Lot.Code
		case p.Item != nil && p.Item.MakerNumber != nil:
			list[i].Number = *p.Item.MakerNumber
		case p.Item != nil && p.Item.Serial != nil:
			list[i].Number = *p.Item.Serial
		}
	}
	return list
}
