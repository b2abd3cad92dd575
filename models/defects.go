package models

// Severity of a defect.
type Severity string

// Severities.
const (
	Critical Severity = "critical" // safety
	Major    Severity = "major"
	Minor    Severity = "minor"
)

// DefectCodes are the defects of wheel, pack and kit, by the letter of their
// kind. The codes are the shop's own; words stand in the catalogue.
var DefectCodes = []string{
	"W01", "W02", "W03", "W04", "W05", "W06", "W07", "W08", "W09", "W10", "W11", "W12", "W13", "W14", "W15", "W16", "W17", "W18", "W19", "W20", "W21", "W22", "W23", "W24",
	"P01", "P02", "P03", "P04", "P05", "P06", "P07", "P08", "P09", "P10", "P11", "P12", "P13", "P14", "P15", "P16", "P17", "P18",
	"K01", "K02", "K03", "K04", "K05", "K06", "K07", "K08",
}

// HoldCodes are the codes a person may raise a hold with: a defect, or other.
// A failing recheck raises one of its own, recheck_failed.
func HoldCodes() []string { return append(append([]string{}, DefectCodes...), "other") }

// HoldOfClaim is the code of the hold that keeps a returned item in the shop
// until its claim is decided; the reason is the claim's number.
const HoldOfClaim = "claim"
