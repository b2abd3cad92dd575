package models

import "time"

// NewBlock is a block as it comes in: an item that has its maker's number or is
// to get a serial, with the row it came by.
type NewBlock struct {
	Item    Item
	Receipt BlockReceipt
}

// StockBlock is what the records say of one block: matching and screening are
// computed from it.
type StockBlock struct {
	Item        Item
	Receipt     *BlockReceipt // nil for one that came in otherwise
	Lot         string        // its code; empty for none
	Disposition *Disposition  // the newest, nil for none
	Held        string        // reason of an open hold on it or its lot; empty for none
	LotAside    string        // code of its lot where that is in quarantine or went back; empty for none
	Fitted      bool
	Charging    bool           // on a charger that has not ended
	Charges     []time.Time    // when each charge, short load and discharge began
	Emptied     bool           // discharged, and not charged since
	EmptiedAt   time.Time      // when its last discharge ended; zero for none
	Worked      time.Time      // when a charge, short load or discharge of it, or of a pack it was in, ended last; zero for none
	Match       string         // open match that it is placed in; empty for none
	Readings    []StockReading // that stand, oldest first
}

// StockReading is one reading of a block, brought to 25 degrees. Texts are exact
// decimals, empty where nothing was read.
type StockReading struct {
	InspectionID string
	Stage        string
	MeasuredAt   time.Time
	Verdict      string
	Read         string // volts as read
	Volts        string // at 25 degrees, where it was corrected at all
	Milliohm     string // at 25 degrees
	Manner       string // of the resistance
	TemperatureC string
	RestHours    string
	Voltmeter    string   // key of the instrument; empty where none was named
	Resolution   string   // of the voltmeter, in VoltmeterUnit
	MeterUnit    string   //
	Case         string   // verdict on its case; empty where nobody looked at it
	Failed       []string // codes of the results that did not pass
	Remarks      []Remark // of the inspection: the gate's reasons are among them
}

// MatchView is a match with what became of it.
type MatchView struct {
	Match
	Placements []MatchPlacement // in the order of pack and place
	End        *MatchEnd        // nil while it is open
}

// NewPack is a pack that a match becomes: its item, without a serial yet, and
// the blocks fitted in it.
type NewPack struct {
	Item  Item
	Parts []FittedPart
}
