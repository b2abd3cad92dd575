package models

// PackingList is what lies in a shipment, as the paper in the box says it. It is
// drawn anew each time: the name of whom it goes to may have been erased.
type PackingList struct {
	Language    string // of the paper: that of the shop's certificates
	Issuer      CertificateIssuer
	Number      string
	ShippedOn   string // day, YYYY-MM-DD
	Order       string
	Carrier     string
	Tracking    string
	ShipTo      []string // lines of name and address; empty for who may not see them
	Boxes       []PackingBox
	Concessions []PackingConcession
	Void        bool
	Packs       []string // chemistries of the packs in it, for the cautions
}

// PackingBox is a kit, or items that go by themselves.
type PackingBox struct {
	Serial  string // of the kit; empty for items by themselves
	Product string
	Lines   []PackingLine
}

// PackingLine is one line of a box.
type PackingLine struct {
	Name     string
	Quantity int
	Items    []PackingItem
}

// PackingItem is an item with the certificate that goes with it.
type PackingItem struct {
	Serial      string
	Certificate string // number; empty for none
	Revision    int
}

// PackingConcession says what went by the owner's word, and why.
type PackingConcession struct {
	Serial   string // of the item; empty for the whole shipment
	PackedOn string // day of the packing that it was said at, YYYY-MM-DD; empty for what was said at the door
	Reason   string
	Against  []Remark
}
