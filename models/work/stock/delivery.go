package stock

import (
	"time"

	"tracewright/models"
)

// Delivery is a list of blocks of one model with their readings, as a tablet or
// a program sends it. What every row shares stands here; a row that says it
// itself goes before.
type Delivery struct {
	Model      string    // product of the block model
	Lot        string    // code of the lot, may be empty
	Stage      string    // models.Incoming or models.SecondReading
	MeasuredAt time.Time // by the sender's clock
	SentAt     time.Time // zero: not said
	Person     string
	Place      string
	DateCode   string
	Conditions models.Conditions // rest, charger, load
	// Temperature of all the blocks, degrees Celsius.
	Temperature string
	Gauges      Gauges
	VoltageUnit string // V when empty
	// ResistanceUnit is mohm when empty, Method the way it was measured.
	ResistanceUnit string
	Method         string
	CaseSound      string // yes, no, na
	Rows           []Row
}

// Gauges are the codes of what the readings were taken with.
type Gauges struct{ Voltage, Resistance, Temperature string }

// Row is one block by its maker's number, or Count blocks without one, which get
// serials. ID is a UUIDv7 made by the sender: a row is taken once.
type Row struct {
	ID             string
	Number         string // maker's number, or the block's own serial
	Count          int
	DateCode       string
	Voltage        string
	Resistance     string
	ResistanceUnit string
	Method         string
	Temperature    string
	CaseSound      string
	// AsTyped says that a value was read again and stands, though it looks as if
	// another unit was meant or the row was copied.
	AsTyped bool
}

// read says whether the row carries a reading.
func (r Row) read() bool { return r.Voltage != "" || r.Resistance != "" }

// Taken is what became of a row.
type Taken struct {
	Row        string
	Blocks     []models.Item
	New        bool               // false: the row was here before
	Inspection *models.Inspection // nil for a row without readings
	MadeOn     string             // day by the date code, empty where it is not known
	SetAside   *models.Disposition
	Remarks    []models.Remark
}

// mostRows and mostOfARow bound one list.
const (
	mostRows   = 1000
	mostOfARow = 500
)
