package lookup

import (
	"time"

	"tracewright/models"
)

// Certificate is all that a stranger with its token is told. Days are
// YYYY-MM-DD in the shop's zone, everything else is codes as in the content.
type Certificate struct {
	Token         string
	Shop          string // as the paper names it
	Number        string
	Revision      int
	Kind          string
	Serial        string
	Product       string
	Specification models.CertificateSpecification
	Verdict       string
	Results       []Result
	InspectedOn   string
	IssuedOn      string
	Hash          string // SHA-256 of the content

	State     string
	EndedOn   string // day on which it was superseded or voided
	Successor int    // revision that superseded it
	At        time.Time
}

// Result is what was judged, or should have been, with its verdict.
type Result struct {
	Code    string
	Verdict string
	Missing bool // the method used does not give it
}

// Complete says whether all that has a limit was measured.
func (c Certificate) Complete() bool {
	for _, r := range c.Results {
		if r.Missing {
			return false
		}
	}
	return true
}

func publicPart(c models.CertificateContent) Certificate {
	out := Certificate{Token: c.Token(), Shop: c.Issuer.Name, Number: c.Number, Revision: c.Revision, Kind: c.Item.Kind, Serial: c.Item.Serial, Product: c.Item.Product,
		Specification: c.Specification, Verdict: c.Verdict, InspectedOn: c.Inspection.MeasuredOn, IssuedOn: c.IssuedOn}
	at := map[string]int{}
	for _, r := range c.Results {
		if r.Verdict == models.VerdictNone && !r.Missing {
			continue // Nothing was judged: measured beside, or not for this item.
		}
		i, seen := at[r.Code]
		switch {
		case !seen:
			at[r.Code] = len(out.Results)
			out.Results = append(out.Results, Result{Code: r.Code, Verdict: r.Verdict, Missing: r.Missing})
		case out.Results[i].Verdict == models.VerdictPass:
			// The blocks of a pack are one line, which passes when all do.
			out.Results[i].Verdict = r.Verdict
		}
	}
	return out
}
