package models

import (
	"cmp"
	"slices"
	"strings"
	"time"
)

// Severity of a defect.
type Severity string

// Severities.
const (
	Critical Severity = "critical" // safety
	Major    Severity = "major"
	Minor    Severity = "minor"
)

// Severities are all of them, the worst first.
var Severities = []Severity{Critical, Major, Minor}

// DefectCodes are the defects of wheel, pack and kit that the program brings
// along, by the letter of their kind; the shop adds its own. Words stand in the
// catalogue.
var DefectCodes = []string{
	"W01", "W02", "W03", "W04", "W05", "W06", "W07", "W08", "W09", "W10", "W11", "W12", "W13", "W14", "W15", "W16", "W17", "W18", "W19", "W20", "W21", "W22", "W23", "W24",
	"P01", "P02", "P03", "P04", "P05", "P06", "P07", "P08", "P09", "P10", "P11", "P12", "P13", "P14", "P15", "P16", "P17", "P18",
	"K01", "K02", "K03", "K04", "K05", "K06", "K07", "K08",
}

// shippedCritical are the shipped defects that touch safety; shippedMinor those
// that touch neither it nor what the thing does. Common practice, no source.
var (
	shippedCritical = strings.Fields("W08 W15 W16 W17 W19 P05 P07 P09 P13 P15 P16")
	shippedMinor    = strings.Fields("W10 W14 P17 K05 K06 K08")
)

// DefectOther is what no code names.
const DefectOther = "other"

// HoldOfClaim is the code of the hold that keeps a returned item in the shop
// until its claim is decided; the reason is the claim's number.
const HoldOfClaim = "claim"

// DefectRevision is a defect as the shop says it from a moment on; none is ever
// changed. A shipped defect without any is as shipped.
type DefectRevision struct {
	ID       string `gorm:"primaryKey"`
	Code     string
	Revision int    // from 1
	Name     string // empty: as shipped
	Severity Severity
	Retired  bool // offered no more
	Reason   string
	MadeBy   string
	MadeAt   time.Time
}

// Defects are the codes of the shop: the shipped ones with what the shop made of
// them, and its own.
type Defects struct{ revisions map[string][]DefectRevision }

// NewDefects takes the revisions of the shop, the oldest of a code first.
func NewDefects(revisions []DefectRevision) Defects {
	d := Defects{revisions: map[string][]DefectRevision{}}
	for _, r := range revisions {
		d.revisions[r.Code] = append(d.revisions[r.Code], r)
	}
	return d
}

// ShippedDefect says whether the program brings a code along.
func ShippedDefect(code string) bool { return slices.Contains(DefectCodes, code) }

func shipped(code string) DefectRevision {
	r := DefectRevision{Code: code, Severity: Major}
	if slices.Contains(shippedCritical, code) {
		r.Severity = Critical
	}
	if slices.Contains(shippedMinor, code) {
		r.Severity = Minor
	}
	return r
}

// At is a defect as it was said at a moment: its newest revision by then, and
// what is shipped before. A code of the shop's own from before its first
// revision, as a list from elsewhere may have it, is said as in that.
func (d Defects) At(code string, t time.Time) DefectRevision {
	said := shipped(code)
	for i, r := range d.revisions[code] {
		if !r.MadeAt.After(t) || i == 0 && !ShippedDefect(code) {
			said = r
		}
	}
	return said
}

// Now is a defect as it is said now.
func (d Defects) Now(code string) DefectRevision {
	if list := d.revisions[code]; len(list) > 0 {
		return list[len(list)-1]
	}
	return shipped(code)
}

// Revisions are those of a code, the oldest first.
func (d Defects) Revisions(code string) []DefectRevision { return d.revisions[code] }

// Known says whether there is such a defect, retired or not.
func (d Defects) Known(code string) bool { return ShippedDefect(code) || len(d.revisions[code]) > 0 }

// Codes lists every code, in the order of kinds and then of the codes.
func (d Defects) Codes() []string {
	codes := slices.Clone(DefectCodes)
	for code := range d.revisions {
		if !ShippedDefect(code) {
			codes = append(codes, code)
		}
	}
	slices.SortFunc(codes, func(a, b string) int {
		return cmp.Or(cmp.Compare(strings.Index(defectLetters, a[:1]), strings.Index(defectLetters, b[:1])), cmp.Compare(a, b))
	})
	return codes
}

// defectLetters are the first letters of codes: of wheels with their motors, of
// packs with their blocks, of kits.
const defectLetters = "WPK"

// DefectLetter is the first letter of the codes for a kind of item.
func DefectLetter(kind string) string {
	return map[string]string{KindWheel: "W", KindMotor: "W", KindPack: "P", KindBlock: "P", KindKit: "K"}[kind]
}

// Offered says whether a person may choose a code now: a defect that is not
// retired, or other.
func (d Defects) Offered(code string) bool {
	return code == DefectOther || d.Known(code) && !d.Now(code).Retired
}

// Choices are the codes offered for a kind of item, for any where it is empty;
// other comes last.
func (d Defects) Choices(kind string) []string {
	letter := DefectLetter(kind)
	codes := slices.DeleteFunc(d.Codes(), func(code string) bool { return !d.Offered(code) || !strings.HasPrefix(code, letter) })
	return append(codes, DefectOther)
}

// IsDefectCode says whether a text has the form of a code: the letter of a kind and two or three
// digits.
func IsDefectCode(code string) bool {
	if len(code) < 3 || len(code) > 4 || !strings.Contains(defectLetters, code[:1]) {
		return false
	}
	return strings.Trim(code[1:], "0123456789") == ""
}
