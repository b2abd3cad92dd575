package lookup

import (
	"time"

	"tracewright/models"
)

// Certificate is all that a stranger with its token is told. Days are
// YYYY-MM-DD in the shop's zone, everything else is codes as in the content.
type Certificate struct {
	Token         string
	Language      string // of the paper; empty of one from before there was a choice
	Shop          string // as the paper names it
	Number        string
	Revision      int
	Kind          string
	Serial        string
	Product       string
	Specification models.CertificateSpecification
	Verdict       string
	Concession    string // number of the concession under which what fails was released
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
	// Its own decision rule, empty where it is the specification's.
	Rule, GuardFactor string
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
	out := Certificate{Token: c.Token(), Language: c.Language, Shop: c.Issuer.Name, Number: c.Number, Revision: c.Revision, Kind: c.Item.Kind, Serial: c.Item.Serial, Product: c.Item.Product,
		Specification: c.Specification, Verdict: c.Verdict, InspectedOn: c.Inspection.MeasuredOn, IssuedOn: c.IssuedOn}
	if c.Concession != nil {
		out.Concession = c.Concession.Number
	}
	at := map[string]int{}
	for _, r := range c.Results {
		if r.Verdict == models.VerdictNone && !r.Missing {
			continue // Nothing was judged: measured beside, or not for this item.
		}
		i, seen := at[r.Code]
		switch {
		case !seen:
			at[r.Code] = len(out.Results)
			out.Results = append(out.Results, Result{Code: r.Code, Verdict: r.Verdict, Missing: r.Missing, Rule: r.Rule, GuardFactor: r.GuardFactor})
		case models.Worse(r.Verdict, out.Results[i].Verdict):
			// The blocks of a pack are one line, which says the worst of them.
			out.Results[i].Verdict, out.Results[i].Missing = r.Verdict, r.Missing
		}
	}
	return out
}
