package models

import "time"

// Material is what a lot may hold. The owner edits it; Code never changes,
// because lots name it.
type Material struct {
	Code      string   `gorm:"primaryKey"` // spokes
	Name      string   // as it stands inside a sentence
	Roles     []string `gorm:"serializer:json"` // the roles a piece of it may be fitted in; none: not said
	Unit      string   // what is counted
	Plan      LotPlan  `gorm:"serializer:json"` // of the incoming inspection, unless another is asked for
	Least     int      // with fewer left it is short; 0: nobody watches it
	ChangedAt time.Time
	ChangedBy string
}

// Supplier is a name of the register. Lots name suppliers by their text, so
// that those from before the register read as they were typed.
type Supplier struct {
	Name    string `gorm:"primaryKey"`
	AddedAt time.Time
	AddedBy string
}

// Ways of choosing what is looked at of a lot.
const (
	PlanNone   = ""       // nothing is looked at
	PlanZero   = "zero"   // a sample that may hold no bad piece
	PlanSingle = "single" // a single normal plan, by level and AQL
	PlanAll    = "all"    // every piece
)

// PlanKinds are the ways that a person may choose.
var PlanKinds = []string{PlanNone, PlanZero, PlanSingle, PlanAll}

// LotPlan says how much of a lot is looked at. Percentages are decimal text.
type LotPlan struct {
	Kind string `json:"kind"`
	// Of PlanZero: a lot with so many bad pieces passes with this chance at most.
	Bad  string `json:"bad_percent,omitempty"`
	Risk string `json:"risk_percent,omitempty"`
	// Of PlanSingle.
	Level string `json:"level,omitempty"`
	AQL   string `json:"aql,omitempty"`
}

// DefectCount is how many pieces were bad by a code.
type DefectCount struct {
	Code  string `json:"code"`
	Count int    `json:"count"`
}

// Verdicts of an incoming inspection.
const (
	CheckAccepted   = "accepted"
	CheckRejected   = "rejected"
	CheckUnfinished = "unfinished" // fewer looked at than the plan asks for
)

// LotCheck is an incoming inspection. Each bad piece counts once, under its
// worst fault. Lot, Size and Accept are the plan as it was worked out then.
type LotCheck struct {
	ID        string `gorm:"primaryKey"` // UUIDv7: sorts by the moment
	LotID     string
	Plan      LotPlan `gorm:"serializer:json"`
	Lot       int     // pieces the plan was worked out for
	Size      int     // to look at
	Accept    int     // bad ones with which the lot still passes
	Looked    int
	Bad       []DefectCount `gorm:"serializer:json"`
	Verdict   string
	Note      string
	CheckedBy string
	CheckedAt time.Time
}

// BadPieces is how many were bad.
func (c LotCheck) BadPieces() int {
	n := 0
	for _, b := range c.Bad {
		n += b.Count
	}
	return n
}

// Decisions about a lot.
const (
	LotAccept     = "accept"
	LotConcession = "concession" // used although it does not conform
	LotQuarantine = "quarantine" // not used until somebody decides
	LotReturn     = "return"     // back to the supplier
)

// LotDecision says what becomes of a lot: the newest holds, the earlier ones
// stay. Quarantine and return keep every piece of it from being fitted. An
// incoming inspection that fails quarantines by itself and is named then.
type LotDecision struct {
	ID        string `gorm:"primaryKey"` // UUIDv7: sorts by the moment
	LotID     string
	Decision  string
	CheckID   *string
	Quantity  int // pieces that go back
	Reason    string
	DecidedBy string
	DecidedAt time.Time
	// Since is the key of the decision that held when this one was taken, empty
	// for none; nil is not asked about. It is compared and not stored.
	Since *string `gorm:"-"`
}

// Stops says whether pieces of the lot may not be fitted.
func (d LotDecision) Stops() bool { return d.Decision == LotQuarantine || d.Decision == LotReturn }

// LotScrap is pieces of a lot that were thrown away.
type LotScrap struct {
	ID         string `gorm:"primaryKey"`
	LotID      string
	Quantity   int
	Code       string // a defect code, or other
	Reason     string
	ScrappedBy string
	ScrappedAt time.Time
}

// LotCount is what somebody counted of a lot, and what was expected then. A
// difference is a question and corrects nothing.
type LotCount struct {
	ID        string `gorm:"primaryKey"`
	LotID     string
	Counted   int
	Expected  int
	CountedBy string
	CountedAt time.Time
}

// Difference is what was counted less what was expected.
func (c LotCount) Difference() int { return c.Counted - c.Expected }

// LotExplanation says why a lot does not add up: of a count, or, where CountID
// is nil, of pieces built in beyond what came.
type LotExplanation struct {
	ID          string `gorm:"primaryKey"`
	LotID       string
	CountID     *string
	Difference  int
	Reason      string
	ExplainedBy string
	ExplainedAt time.Time
}

// LotMix says that pieces of a lot were put into a bin, which is a lot of its
// own: whatever holds pieces of the bin possibly holds pieces of the lot. A bin
// that was put into another brings its lots along, each with a row that has no
// quantity and names it in ViaID.
type LotMix struct {
	ID       string `gorm:"primaryKey"`
	MixID    string
	LotID    string
	ViaID    *string
	Quantity int
	MixedBy  string
	MixedAt  time.Time
}

// Kinds of records that papers and photos hang on.
const (
	SubjectLot      = "lot"
	SubjectLotCheck = "lot_check"
	SubjectClaim    = "claim"
	// SubjectCalibration is a report of a calibration: the certificate that came with it.
	SubjectCalibration = "calibration"

	SubjectNonconformity = "nonconformity"
)

// Attachment is a photo or paper of a record. Its trail entry holds name, note
// and file by a salted hash only: a photo may show somebody, and erasing it with
// its salt leaves nothing to recognise it by.
type Attachment struct {
	ID          string `gorm:"primaryKey"`
	SubjectKind string
	SubjectID   string
	FileHash    string
	Name        string
	Note        string
	Salt        string
	AddedBy     string
	AddedAt     time.Time
}
