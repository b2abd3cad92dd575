package models

import "time"

// Kinds of a charge.
const (
	ChargeFirst   = "charge"  // of a pack that was built or came back
	ChargeRefresh = "refresh" // of stock that stood too long
	ChargeLoad    = "load"    // a short load that takes surface charge off
)

// Discharge is the kind of what stands among charges for a capacity test: from
// its start to its end the item was emptied. It is read from the test and is no
// Charge that anybody records.
const Discharge = "discharge"

// ChargeKinds lists them in the order a page offers them.
var ChargeKinds = []string{ChargeFirst, ChargeRefresh, ChargeLoad}

// Charge says that an item was put on a charger, or under a short load. It
// stands open until its ChargeEnd: rest counts from there. StartedAt may lie
// before EnteredAt, when it was written down later.
type Charge struct {
	ID        string `gorm:"primaryKey"`
	ItemID    string
	Kind      string // ChargeFirst, ChargeRefresh, ChargeLoad
	Charger   string // as the shop calls it
	StartedAt time.Time
	StartedBy string
	EnteredAt time.Time // the server's clock
}

// ChargeEnd says that a charge ended, with the current that still flowed.
type ChargeEnd struct {
	ChargeID   string `gorm:"primaryKey"`
	EndedAt    time.Time
	EndCurrent string // A, decimal text; empty when it was not read
	EndedBy    string
	EnteredAt  time.Time
}

// ChargeView is a charge with its end, nil while it runs.
type ChargeView struct {
	Charge
	End *ChargeEnd
}

// Emptied says whether a discharge is the last that happened to an item: no charge
// began after it ended. A short load is none. discharge is nil where there is none;
// recharged is when the newest charge began.
func Emptied(discharge *ChargeView, recharged time.Time) bool {
	return discharge != nil && recharged.Before(discharge.End.EndedAt)
}

// DischargedSince gives the newest discharge of an item that readings do not show:
// one that ended after they were taken, or that no charge followed, of the item or
// of the very part that was emptied. list is what reaches the item; nil is none.
func DischargedSince(list []ChargeView, itemID string, read time.Time) *ChargeView {
	var newest *ChargeView
	for i, d := range list {
		if d.Kind != Discharge || newest != nil && !d.End.EndedAt.After(newest.End.EndedAt) {
			continue
		}
		var recharged time.Time
		for _, c := range list {
			if c.Kind != Discharge && c.Kind != ChargeLoad && (c.ItemID == itemID || c.ItemID == d.ItemID) && c.StartedAt.After(recharged) {
				recharged = c.StartedAt
			}
		}
		if !d.End.EndedAt.Before(read) || Emptied(&d, recharged) {
			newest = &list[i]
		}
	}
	return newest
}

// What happened to the charge of a pack after it was read.
const (
	OnCharge         = "on_charge"        // it is on a charger, itself or a block in it
	ChargedSince     = "charged_since"    // a charge ended later
	EmptiedSince     = "discharged_since" // a discharge ended later, or no charge followed one
	NothingSinceRead = ""
)

// SinceRead says what happened to the charge of an item, or of a part in it, that
// readings taken at a moment do not show, and for EmptiedSince which discharge it
// was. list is what reaches the item.
func SinceRead(list []ChargeView, itemID string, read time.Time) (what string, discharge *ChargeView) {
	for _, c := range list {
		if c.End == nil {
			return OnCharge, nil
		}
	}
	for _, c := range list {
		if c.Kind != Discharge && !c.End.EndedAt.Before(read) {
			return ChargedSince, nil
		}
	}
	if discharge = DischargedSince(list, itemID, read); discharge != nil {
		return EmptiedSince, discharge
	}
	return NothingSinceRead, nil
}

// ShelfPlace says where an item stands since a moment, until the next one. An
// empty Place is "not on the shelf any more".
type ShelfPlace struct {
	ID        string `gorm:"primaryKey"` // UUIDv7: sorts by the moment
	ItemID    string
	Place     string
	Since     time.Time
	PlacedBy  string
	EnteredAt time.Time
}

// ShelfTemperature is the temperature of a place at a moment, typed by a person
// or posted by a device. It holds until the next one.
type ShelfTemperature struct {
	ID        string `gorm:"primaryKey"`
	Place     string
	C         string `gorm:"column:c"` // degrees Celsius, decimal text as typed
	At        time.Time
	EnteredBy string
	DeviceID  *string
	EnteredAt time.Time
}

// WantedDate says for which day an item is wanted; the newest holds, and an
// empty Day takes it back.
type WantedDate struct {
	ID     string `gorm:"primaryKey"` // UUIDv7: sorts by the moment
	ItemID string
	Day    string // 2031-05-12, or empty
	SetBy  string
	SetAt  time.Time
}

// RestedReading is the newest reading at rest of a pack or a block, as far as
// the shelf needs it.
type RestedReading struct {
	InspectionID string
	MeasuredAt   time.Time
	OCV25        float64  // of the lowest block, V at 25 degrees
	SoCPct       *float64 // of the block with the least charge; nil where it is not known
	Lowest       string   // limit that the lowest block was judged by, V; empty for none
}

// ShelfFact is what is known of one pack or loose block: the shelf is computed
// from it.
type ShelfFact struct {
	Item    Item
	Reading *RestedReading // nil before the first
	Places  []ShelfPlace   // oldest first
	Charge  *ChargeView    // the newest, of a part also that of a pack it was in; nil for none
	// Discharge is the one that ended last, nil for none; Recharged when the newest
	// charge began that is no short load.
	Discharge *ChargeView
	Recharged time.Time
	Wanted    string    // day, or empty
	Fitted    bool      // a block that went into a pack
	Left      time.Time // when it last went out with a shipment that stands; zero for never
}
