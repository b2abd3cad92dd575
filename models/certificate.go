package models

import (
	"cmp"
	"strconv"
	"time"
)

// States of a certificate.
const (
	Issued     = "issued"
	Superseded = "superseded"
	Void       = "void"
)

// Certificate is frozen content under a number and a revision. It is never
// edited: an amendment is a new revision, and a void is a CertificateChange.
type Certificate struct {
	ID           string `gorm:"primaryKey"`
	Number       string // C26-01250
	Revision     int
	ItemID       string
	InspectionID string
	Content      string  // canonical JSON of CertificateContent
	ContentHash  string  // its SHA-256
	TokenHash    *string // of the token in the content, by which the public finds it; nil where the content has none
	Signature    *string // Ed25519 over the content, hexadecimal; nil before certificates were signed
	KeyID        *string // of the key that signed
	Replaces     *string
	Reason       string
	IssuedBy     string
	IssuedAt     time.Time
	Grounds      string `gorm:"-"` // that it was decided on, while it is issued; "" holds it against nothing
}

// Signed gives the signature with its key; nil where there is none.
func (c Certificate) Signed() *Signature {
	if c.Signature == nil || c.KeyID == nil {
		return nil
	}
	return &Signature{KeyID: *c.KeyID, Value: *c.Signature}
}

// CertificateChange ends a certificate's being in force.
type CertificateChange struct {
	CertificateID string `gorm:"primaryKey"`
	State         string // superseded or void
	Reason        string
	ChangedBy     string
	ChangedAt     time.Time
}

// CertificatePaper says which file is the drawing of a certificate: it is
// drawn once and reprinted as kept. State is the state printed on it.
type CertificatePaper struct {
	CertificateID string `gorm:"primaryKey"`
	State         string `gorm:"primaryKey"`
	FileHash      string
	DrawnAt       time.Time
}

// File is kept once by the SHA-256 of its bytes.
type File struct {
	Hash      string `gorm:"primaryKey"`
	MediaType string
	Bytes     []byte
	CreatedAt time.Time
}

// CertificateContent is what a certificate says: codes and values, no words.
// Version 1 is unsigned and printed in English. Version 2 is signed, says in
// which language it is printed, and names the sealed log and the key. Times are RFC 3339 UTC with milliseconds, days are
// YYYY-MM-DD in the shop's zone, numbers are decimal text.
type CertificateContent struct {
	Version       int                      `json:"v"`
	Language      string                   `json:"language,omitempty"` // tag of the paper's words
	Number        string                   `json:"number"`
	Revision      int                      `json:"revision"`
	Issuer        CertificateIssuer        `json:"issuer"`
	IssuedAt      string                   `json:"issued_at"`
	IssuedOn      string                   `json:"issued_on"`
	IssuedOffset  string                   `json:"issued_offset,omitempty"` // of the shop's clock from UTC at that moment: "-05:00"; empty for none
	Replaces      *CertificateReference    `json:"replaces,omitempty"`
	Reason        string                   `json:"reason,omitempty"`
	Item          CertificateItem          `json:"item"`
	Parts         []CertificatePart        `json:"parts"`
	Specification CertificateSpecification `json:"specification"`
	Inspection    CertificateInspection    `json:"inspection"`
	Results       []CertificateResult      `json:"results"`
	Readings      []CertificateReadings    `json:"readings"`
	Instruments   []CertificateInstrument  `json:"instruments"`
	Verdict       string                   `json:"verdict"`
	Concession    *CertificateConcession   `json:"concession,omitempty"` // under which what fails was released
	Remarks       []Remark                 `json:"remarks,omitempty"`
	MeasuredBy    CertificatePerson        `json:"measured_by"`
	ReleasedBy    CertificatePerson        `json:"released_by"`
	SelfReleased  bool                     `json:"self_released"`
	Cautions      []string                 `json:"cautions"`           // codes
	CheckAt       string                   `json:"check_at,omitempty"` // public address with its token; empty when the shop has none
	Log           *SealedLog               `json:"log,omitempty"`      // as it was sealed before this was signed
	Key           string                   `json:"key,omitempty"`      // id of the key that signs this
}

// Versions of the content.
const (
	ContentUnsigned = 1
	ContentSigned   = 2
)

// CertificateIssuer is who stands behind the paper.
type CertificateIssuer struct {
	Name    string `json:"name"`
	Address string `json:"address"`
	Place   string `json:"place"` // place of work: stand 1
}

// CertificateReference names an earlier revision.
type CertificateReference struct {
	Number   string `json:"number"`
	Revision int    `json:"revision"`
	IssuedOn string `json:"issued_on"`
}

// CertificateItem is what was inspected.
type CertificateItem struct {
	Kind    string     `json:"kind"`
	Serial  string     `json:"serial"`
	Product string     `json:"product"`
	Family  string     `json:"family"`
	Wheel   *WheelForm `json:"wheel,omitempty"`
	Pack    *PackForm  `json:"pack,omitempty"`
}

// CertificatePart is a lot or a serialised part that was built in.
type CertificatePart struct {
	Role        string `json:"role"`
	Place       string `json:"place,omitempty"`
	Lot         string `json:"lot,omitempty"`
	Number      string `json:"number,omitempty"`
	Description string `json:"description,omitempty"`
	Quantity    int    `json:"quantity,omitempty"`
}

// CertificateSpecification is what the results were judged by.
type CertificateSpecification struct {
	Of          string `json:"of"` // family or product it belongs to
	Revision    int    `json:"revision"`
	Grade       string `json:"grade"`
	Rule        string `json:"rule"`
	GuardFactor string `json:"guard_factor,omitempty"`
}

// RuleInWords gives the code of the rule's sentence with its factor.
func (c CertificateSpecification) RuleInWords() (code, factor string) {
	return RuleInWords(c.Rule, c.GuardFactor)
}

// RuleInWords gives the code of a rule's sentence with its factor: a guard of
// once the uncertainty has a sentence of its own.
func RuleInWords(rule, guardFactor string) (code, factor string) {
	factor = cmp.Or(guardFactor, "1")
	if f, err := strconv.ParseFloat(factor, 64); rule == "guarded" && err == nil && f == 1 {
		return "guarded_one", factor
	}
	return rule, factor
}

// CertificateInspection is the session the results come from.
type CertificateInspection struct {
	ID         string     `json:"id"`
	Stage      string     `json:"stage"`
	MeasuredOn string     `json:"measured_on"`
	MeasuredAt string     `json:"measured_at"`
	Offset     string     `json:"measured_offset,omitempty"` // as [CertificateContent.IssuedOffset], when it was measured
	Conditions Conditions `json:"conditions"`
}

// CertificateResult is one line of the table; Decimals is how many are
// printed, the unrounded Value where rounding would change its look.
type CertificateResult struct {
	Code       string            `json:"code"`
	Position   string            `json:"position,omitempty"`
	Value      string            `json:"value"`
	Shown      string            `json:"shown"` // rounded for print
	Unit       string            `json:"unit,omitempty"`
	Low        string            `json:"low,omitempty"`
	High       string            `json:"high,omitempty"`
	AcceptLow  string            `json:"accept_low,omitempty"`
	AcceptHigh string            `json:"accept_high,omitempty"`
	U          string            `json:"u,omitempty"` // empty: not taken into account
	Verdict    string            `json:"verdict"`
	Reason     string            `json:"reason,omitempty"`
	Method     string            `json:"method"`
	Readings   int               `json:"readings"`
	Detail     map[string]string `json:"detail,omitempty"`
	Missing    bool              `json:"missing,omitempty"` // a result the method cannot give: "not measured"
	// The result's own decision rule, empty where it is the specification's.
	Rule        string `json:"rule,omitempty"`
	GuardFactor string `json:"guard_factor,omitempty"`
}

// CertificateReadings is one reading set as it was typed.
type CertificateReadings struct {
	Code       string     `json:"code"`
	Method     string     `json:"method"`
	Unit       string     `json:"unit,omitempty"`
	Manner     string     `json:"manner,omitempty"`
	Instrument string     `json:"instrument,omitempty"`
	Values     []string   `json:"values"`
	Index      []Position `json:"index"`
}

// CertificateConcession is what lets an item out although results of it fail.
type CertificateConcession struct {
	Number     string            `json:"number"` // of the nonconformity
	Results    []string          `json:"results"`
	Reason     string            `json:"reason"`
	ApprovedBy CertificatePerson `json:"approved_by"`
	ApprovedOn string            `json:"approved_on"`
}

// CertificateInstrument is a gauge used, with its state that day.
type CertificateInstrument struct {
	Code         string   `json:"code"`
	Name         string   `json:"name"`
	UsedFor      []string `json:"used_for"` // codes of characteristics
	Resolution   string   `json:"resolution"`
	Unit         string   `json:"unit"`
	CalibratedOn string   `json:"calibrated_on"`
	DueOn        string   `json:"due_on"`
	Certificate  string   `json:"certificate"`
	Overdue      bool     `json:"overdue,omitempty"`
}

// CertificatePerson is a name with its function.
type CertificatePerson struct {
	Name string `json:"name"`
	Role Role   `json:"role"`
}
