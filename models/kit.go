package models

import "time"

// KitForm lists what a kit holds.
type KitForm struct {
	Lines []KitLine `json:"lines"`
}

// KitLine is one line of a kit: items of a product, or small parts by their
// words.
type KitLine struct {
	Product  string `json:"product,omitempty"` // of the items; empty for small parts
	Part     string `json:"part,omitempty"`    // "torque arm, M12"
	Quantity int    `json:"quantity" needed:"yes"`
}

// KitPacking puts an item or small parts into a kit, or takes them out again.
type KitPacking struct {
	ID       string `gorm:"primaryKey"` // UUIDv7: sorts by the moment
	KitID    string
	ItemID   *string // an item with a serial of its own,
	Part     string  // or small parts, by the words of their line
	Quantity int
	Added    bool
	Reason   string   // why it was taken out, or goes in although the gate says no
	Against  []Remark `gorm:"serializer:json"` // what the gate said, where the owner let it go in all the same
	PackedAt time.Time
	PackedBy string
}

// Order is what somebody wants and by when. Customer is a key into the one table
// of customers, which may have been erased since.
type Order struct {
	ID        string      `gorm:"primaryKey"`
	Ref       string      // the shop's own, unique
	Customer  string      // key; empty for none
	DueOn     string      // day, YYYY-MM-DD; empty where none was named
	Lines     []OrderLine `gorm:"serializer:json"`
	EnteredAt time.Time
	EnteredBy string
}

// OrderLine is a number of one product.
type OrderLine struct {
	Product  string `json:"product"`
	Quantity int    `json:"quantity"`
}

// Awaited is what an open order still waits for of one product.
type Awaited struct {
	Ref, DueOn string
	OrderLine
}

// OrderEnd closes an order: all of it was shipped, or nobody waits any more.
type OrderEnd struct {
	OrderID string `gorm:"primaryKey"`
	Reason  string
	EndedAt time.Time
	EndedBy string
}

// Shipment says what left the shop together.
type Shipment struct {
	ID        string `gorm:"primaryKey"`
	Number    string // S, two-digit year, hyphen, five digits counted per year
	OrderRef  string
	Carrier   string
	Tracking  string
	Customer  string   // key into the table of customers; empty for none
	Items     []string `gorm:"-"` // keys of kits and of items that go by themselves
	ShippedAt time.Time
	ShippedBy string
	Reason    string   // why it went although the gate said no
	Against   []Remark `gorm:"serializer:json"` // what the gate said then
	// Grounds are what each item, and what lies in it, was asked about on, while it is
	// sent; nil holds it against nothing.
	Grounds map[string]string `gorm:"-"`
}

// ShipmentItem is one item of a shipment.
type ShipmentItem struct {
	ShipmentID string `gorm:"primaryKey"`
	ItemID     string `gorm:"primaryKey"`
}

// ShipmentVoid says that a shipment did not go after all, or was entered
// wrongly.
type ShipmentVoid struct {
	ShipmentID string `gorm:"primaryKey"`
	Reason     string
	VoidedAt   time.Time
	VoidedBy   string
}

// ShipmentView is a shipment with its end, where it has one.
type ShipmentView struct {
	Shipment
	Void *ShipmentVoid
}

// Customer is a person or firm that something goes to. It is the one record that
// can be erased, so nothing hashes it: the log knows its key alone.
type Customer struct {
	ID        string `gorm:"primaryKey"` // random, says nothing
	Name      string
	Address   string
	Email     string
	Phone     string
	Note      string
	EnteredAt time.Time
	EnteredBy string
}

// CustomerLook says that somebody looked a customer up. Why may tell of the customer: it
// is erased with them, and its salt with it.
type CustomerLook struct {
	ID       string `gorm:"primaryKey"`
	Customer string
	PersonID string
	Reason   string // asked for where the shop wants one
	Salt     string // with it the log covers the reason; empty without one, and in looks from before there were salts
	LookedAt time.Time
}
