package models

import "time"

// BlockReceipt says with which row of a delivery a block came in, from which
// lot, and when it was made. SentHash tells a repeated row from a changed one.
type BlockReceipt struct {
	ItemID     string `gorm:"primaryKey"`
	RowID      string // as the row was sent (UUIDv7); N counts its blocks from 1
	N          int
	LotID      *string
	DateCode   string // as typed, or the lot's; empty for none
	MadeOn     string // day that follows from it; empty where it is not known
	SentHash   string
	ReceivedAt time.Time
	ReceivedBy string
}

// Decisions about a block of the stock.
const (
	Quarantine = "quarantine"
	Release    = "release"
)

// Disposition sets a block aside or lets it go again: the newest holds, the
// earlier ones stay. A block that is set aside goes into no pack.
type Disposition struct {
	ID        string `gorm:"primaryKey"` // UUIDv7: sorts by the moment
	ItemID    string
	Decision  string // Quarantine, Release
	Code      string // of the reason, see DispositionCodes
	Reason    string
	DecidedBy string
	DecidedAt time.Time
}

// DispositionCodes are the reasons that a decision may have.
var DispositionCodes = map[string][]string{
	Quarantine: {"too_old", "loses_charge", "off_its_lot", "lot_suspect", "low_voltage", "resistance", "damaged", "other"},
	Release:    {"measured_again", "charged_and_held", "no_fault_found", "other"},
}

// Match is a proposal of packs from the measured stock, or one that was picked
// by hand, frozen as it was made. What became of it are MatchPlacements and
// one MatchEnd.
type Match struct {
	ID          string `gorm:"primaryKey"`
	ProductID   string // of the packs
	Blocks      string `gorm:"column:block_product"` // product of the blocks
	Content     string // JSON of a MatchContent, byte for byte
	ContentHash string // SHA-256 of Content
	MadeBy      string
	MadeAt      time.Time
}

// MatchPlacement confirms that a block lies in its place. Override is the reason
// where another block than the proposed one was taken.
type MatchPlacement struct {
	ID       string `gorm:"primaryKey"` // UUIDv7: sorts by the moment
	MatchID  string
	Pack     int // from 1
	Place    int // in the pack from 1, string by string
	ItemID   string
	Override string
	PlacedBy string
	PlacedAt time.Time
}

// MatchEnd says what became of a match: its packs were made, or it was dropped.
type MatchEnd struct {
	MatchID string   `gorm:"primaryKey"`
	Kept    bool     // made into packs
	Packs   []string `gorm:"serializer:json"` // keys of the pack items, in the order of the packs; empty when dropped
	Reason  string   // why it was dropped
	EndedBy string
	EndedAt time.Time
}
