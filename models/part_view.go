package models

// PartView is a fitted part with what it is: the lot's code or the part's
// maker's number, and a description.
type PartView struct {
	FittedPart
	LotCode     string
	Number      string
	Description string
	Supplier    string
}

// HoldView is a hold with its lift, nil while it is open.
type HoldView struct {
	Hold
	Lift *HoldLift
	Lot  string // code, of a hold on a lot
}

// CertificateView is a certificate with its present state.
type CertificateView struct {
	Certificate
	State  string // issued, superseded, void
	Change *CertificateChange
}
