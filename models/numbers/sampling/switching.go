package sampling

import (
	"fmt"

	"tracewright/models/numbers/stats"
)

// LotResult is what one original lot of a series brought; lots that come back
// do not count.
type LotResult struct {
	Accepted bool
	Accept   int // The acceptance number of the plan it was judged by.
	// AcceptedTighter: it would have been accepted also at an AQL one step
	// tighter. It counts where Accept is 2 or more.
	AcceptedTighter bool
	// Irregular: production is irregular or delayed, or other causes ask for
	// normal inspection.
	Irregular bool
	// NotReduced: production is not steady, or the responsible authority does not
	// want reduced inspection.
	NotReduced bool
}

// Standing is where inspection stands after a lot.
type Standing struct {
	Severity Severity
	Score    int    // Switching score, counted under normal inspection and kept under reduced.
	Why      string // What moved it; empty when nothing did.
}

const (
	scoreForReduced = 30
	runForNormal    = 5 // Lots accepted in a row under tightened inspection.
	window          = 5 // Lots looked back on under normal inspection.
	lostForTighter  = 2 // Of them not accepted.
	lostForStop     = 5 // Lots not accepted in all under tightened inspection.
)

// Inspector follows the switching rules of ISO 2859-1:1999, 9.3, for one class
// of nonconformities from lot to lot. The zero value starts with normal
// inspection.
//
//   - Normal to tightened: 2 of 5 or fewer consecutive lots not accepted.
//   - Tightened to normal: 5 consecutive lots accepted.
//   - Tightened to discontinued: 5 lots not accepted in all.
//   - Normal to reduced: switching score of 30 or more, production steady, the
//     authority agrees.
//   - Reduced to normal: a lot not accepted, production irregular, other causes.
//
// The score, single plans: with an acceptance number of 0 or 1 an accepted lot
// adds 2; with 2 or more it adds 3 if it would be accepted at an AQL one step
// tighter too; else the score is 0 again. Each change of severity starts the
// counts afresh: the lot that ended reduced inspection is not yet one of the
// two that end normal inspection.
type Inspector struct {
	severity Severity
	score    int
	recent   []bool // Under normal inspection: accepted or not, the last [window] lots.
	run      int    // Under tightened inspection: accepted in a row.
	lost     int    // Under tightened inspection: not accepted in all.
}

// Next takes the result of the next lot and returns how to inspect the one
// after it. After inspection is discontinued nothing changes it: the supplier
// has acted when somebody starts anew, with [Resume].
func (i *Inspector) Next(lot LotResult) (Standing, error) {
	if err := checkWhole("ac", lot.Accept, 0, MaxSample); err != nil {
		return Standing{}, err
	}
	if lot.AcceptedTighter && !lot.Accepted {
		return Standing{}, &stats.ArgumentError{
			Argument: "tighter_ok", Err: fmt.Errorf("a lot not accepted is not accepted at a tighter AQL: %w", stats.ErrOutOfRange),
		}
	}
	why := ""
	switch i.severity {
	case Discontinued:
	case Tightened:
		why = i.tightened(lot)
	case Reduced:
		why = i.reduced(lot)
	default:
		why = i.normal(lot)
	}
	return Standing{Severity: i.severity, Score: i.score, Why: why}, nil
}

// Resume returns an inspector that starts with tightened inspection, as after
// the supplier has acted on a discontinuation (ISO 2859-1:1999, 9.4).
func Resume() *Inspector { return &Inspector{severity: Tightened} }

func (i *Inspector) normal(lot LotResult) string {
	i.severity = Normal
	i.recent = append(i.recent, lot.Accepted)
	if len(i.recent) > window {
		i.recent = i.recent[1:]
	}
	switch {
	case lot.Accept >= 2 && lot.AcceptedTighter:
		i.score += 3
	case lot.Accept < 2 && lot.Accepted:
		i.score += 2
	default:
		i.score = 0
	}
	lost := 0
	for _, accepted := range i.recent {
		if !accepted {
			lost++
		}
	}
	switch {
	case lost >= lostForTighter:
		why := fmt.Sprintf("%d of the last %d lots not accepted", lost, len(i.recent))
		*i = Inspector{severity: Tightened}
		return why
	case i.score >= scoreForReduced && !lot.Irregular && !lot.NotReduced:
		why := fmt.Sprintf("switching score %d", i.score)
		*i = Inspector{severity: Reduced, score: i.score}
		return why
	}
	return ""
}

func (i *Inspector) tightened(lot LotResult) string {
	if !lot.Accepted {
		i.run = 0
		if i.lost++; i.lost < lostForStop {
			return ""
		}
		*i = Inspector{severity: Discontinued}
		return fmt.Sprintf("%d lots not accepted under tightened inspection", lostForStop)
	}
	if i.run++; i.run < runForNormal {
		return ""
	}
	*i = Inspector{severity: Normal}
	return fmt.Sprintf("%d lots in a row accepted", runForNormal)
}

func (i *Inspector) reduced(lot LotResult) string {
	why := ""
	switch {
	case !lot.Accepted:
		why = "a lot not accepted under reduced inspection"
	case lot.Irregular:
		why = "production irregular"
	case lot.NotReduced:
		why = "reduced inspection no longer wanted"
	default:
		return ""
	}
	*i = Inspector{severity: Normal}
	return why
}
