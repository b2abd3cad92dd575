package trace

import (
	"tracewright/models"
)

// ItemView is everything about one item, in the order in which a page tells it.
type ItemView struct {
	Item    models.Item
	Family  *models.Family          // nil for a motor or block that belongs to none
	Product *models.Product         // nil for a one-off item
	Form    *models.ProductRevision // the product's newest form

	Parts      []PartView // what was taken out again too
	FittedInto []FittedInto
	// Inspections, oldest first. Replaced ones stay, marked SupersededBy.
	Inspections []models.InspectionView
	Holds       []HoldView // newest first; of the item and of lots built into it
	// Nonconformities, oldest first, with what became of each.
	Nonconformities []models.NonconformityView
	Certificates    []CertificateView
	Prints          []models.LabelPrint // of its labels and certificates, oldest first
	TrailEntries    int                 // entries of the log of changes that speak of this item
	People          map[string]string   // names by id, of everybody the view mentions
}

// OpenNonconformity is the one that is not closed, nil for none.
func (v *ItemView) OpenNonconformity() *models.NonconformityView {
	for i, n := range v.Nonconformities {
		if n.State != models.NonconformityClosed {
			return &v.Nonconformities[i]
		}
	}
	return nil
}

// Latest is the newest standing inspection, nil when the item has none.
func (v *ItemView) Latest() *models.InspectionView {
	for i := len(v.Inspections) - 1; i >= 0; i-- {
		if v.Inspections[i].Inspection.SupersededBy == nil {
			return &v.Inspections[i]
		}
	}
	return nil
}

// OpenHolds are the holds that nobody has lifted.
func (v *ItemView) OpenHolds() []models.Hold {
	var open []models.Hold
	for _, h := range v.Holds {
		if h.Lift == nil {
			open = append(open, h.Hold)
		}
	}
	return open
}

// Certificate is the one in force, nil when there is none.
func (v *ItemView) Certificate() *CertificateView {
	for i := range v.Certificates {
		if v.Certificates[i].State == models.Issued {
			return &v.Certificates[i]
		}
	}
	return nil
}

// PartView is a part with the lot or the item it names: one of the two is set.
type PartView struct {
	Part models.FittedPart
	Lot  *models.Lot
	Item *models.Item
	Out  []models.PartRemoval // what of it was taken out again, oldest first
}

// InNow says whether any piece of it is in the item.
func (p PartView) InNow() bool { return p.Part.InNow() }

// Holder is what the item is built into now, nil where it is loose.
func (v *ItemView) Holder() *FittedInto {
	for i := len(v.FittedInto) - 1; i >= 0; i-- {
		if v.FittedInto[i].Part.InNow() {
			return &v.FittedInto[i]
		}
	}
	return nil
}

// FittedInto says that the item in view went into another one.
type FittedInto struct {
	Part models.FittedPart
	Item models.Item
}

// HoldView is a hold and, where it was lifted, its lift.
type HoldView struct {
	Hold models.Hold
	Lift *models.HoldLift
	Lot  string // code, of a hold on a lot
}

// CertificateView is a certificate with its state and, where it is no longer in
// force, what ended it.
type CertificateView struct {
	Certificate models.Certificate
	State       string // issued, superseded, void
	Change      *models.CertificateChange
}
