package models

import (
	"slices"
	"time"
)

// Kinds of label, and what else is printed and counted.
const (
	LabelItem        = "item"        // a wheel, pack, kit or block: serial and what it is
	LabelHub         = "hub_mark"    // a serial alone, to be marked on a hub
	LabelLot         = "lot"         // a lot's code and what it holds
	LabelBox         = "box"         // one box of a shipment: its number, the order, which of how many
	PrintRoll        = "roll"        // labels of a roll printed ahead
	PrintCertificate = "certificate" // the paper of a certificate
)

// LabelContent is what one label says: codes and values, no words.
type LabelContent struct {
	Kind string // LabelItem, LabelHub, LabelLot or LabelBox
	Code string // stored serial, lot code or number of a shipment: what the symbol holds, and nothing else
	Of   string // kind of item; empty for a lot and a box
	// Of an item: the product's short form and, of what holds charge, its
	// chemistry and nominal voltage where they are known.
	Product   string
	Chemistry string
	NominalV  string
	// Of a lot.
	Material     string // its name
	Description  string
	Supplier     string
	SupplierCode string
	ReceivedOn   string // YYYY-MM-DD in the shop's zone
	// Of a box. Whom it goes to stands on the carrier's label and on the packing list
	// inside: a label that the shop keeps copies of names nobody.
	Order      string
	Box, Boxes int // which of how many, from 1
}

// Charged says whether what the label is on can hurt by its charge.
func (c LabelContent) Charged() bool { return c.Of == KindPack || c.Of == KindBlock }

// Symbols that a label can carry; empty is the usual one of its size.
const (
	SymbolQR         = "qr"
	SymbolDataMatrix = "data_matrix"
	SymbolCode128    = "code_128"
)

// Symbols lists them.
var Symbols = []string{SymbolQR, SymbolDataMatrix, SymbolCode128}

// LabelSize is a label as it is bought: one at a time from a roll of die-cut
// labels, or many on a sheet of A4. Lengths are millimetres.
type LabelSize struct {
	Code          string
	Width, Height float64
	Columns, Rows int     // on a sheet; 0 on a roll
	Left, Top     float64 // margins of the sheet
	GapX, GapY    float64 // between its labels
}

// LabelSizes are the sizes offered; measures of sheets are those common in
// trade, the rest of the A4 page being margin in equal parts.
var LabelSizes = []LabelSize{
	{Code: "100x50", Width: 100, Height: 50},
	{Code: "62x29", Width: 62, Height: 29},
	{Code: "50x25", Width: 50, Height: 25},
	{Code: "38x19", Width: 38, Height: 19},
	{Code: "25x15", Width: 25, Height: 15},
	{Code: "sheet_3x8", Width: 63.5, Height: 33.9, Columns: 3, Rows: 8, Left: 7.25, Top: 12.9, GapX: 2.5},
	{Code: "sheet_4x10", Width: 48.5, Height: 25.4, Columns: 4, Rows: 10, Left: 8, Top: 21.5},
	{Code: "sheet_5x13", Width: 38.1, Height: 21.2, Columns: 5, Rows: 13, Left: 4.75, Top: 10.7, GapX: 2.5},
}

// UsualLabelSize is taken until the shop says another.
const UsualLabelSize = "62x29"

// LabelSizeOf finds a size by its code.
func LabelSizeOf(code string) (LabelSize, bool) {
	i := slices.IndexFunc(LabelSizes, func(s LabelSize) bool { return s.Code == code })
	if i < 0 {
		return LabelSize{}, false
	}
	return LabelSizes[i], true
}

// PerSheet is how many labels one sheet has; 0 for a roll.
func (s LabelSize) PerSheet() int { return s.Columns * s.Rows }

// LabelPrint says that labels, or a certificate, were printed: the first time
// and every further time. It changes nothing about what they are for.
type LabelPrint struct {
	ID        string `gorm:"primaryKey"` // UUIDv7: sorts by the moment
	What      string // LabelItem, LabelHub, LabelLot, LabelBox, PrintRoll, PrintCertificate
	SubjectID string // of the item, lot, shipment, roll or certificate
	Size      string // code of the size; empty for a certificate
	Place     int    // of the first on its sheet, from 1; 0 for a roll
	N         int    `gorm:"column:n"` // how many
	First     string // of a roll: the first and the last serial printed
	Last      string
	PrintedBy string
	PrintedAt time.Time
}
