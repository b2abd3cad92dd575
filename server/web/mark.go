package web

import (
	"tracewright/models"
	"tracewright/models/words"
)

// Mark is a state as it is shown: a shape, a word and a colour together.
type Mark struct {
	Shape string // tick, cross, triangle, bars, clock, square, ring
	Word  string
	Tone  string // pass, fail, care, hold, note, none
}

// verdictMark is the mark of a verdict's code.
func verdictMark(code string) Mark {
	word := words.Sentence(english.Verdict(code))
	switch code {
	case models.VerdictPass, models.VerdictConformity:
		return Mark{"tick", word, "pass"}
	case models.VerdictFail, models.VerdictConditionalFail, models.VerdictNonconformity:
		return Mark{"cross", word, "fail"}
	case models.VerdictProvisional, models.VerdictIncomplete:
		return Mark{"triangle", word, "care"}
	case models.VerdictNone, "":
		return Mark{"", word, "none"}
	}
	// A verdict of a rule with a guard band is neither plain yes nor plain no.
	return Mark{"triangle", word, "care"}
}

// itemMark is the mark of an item's state.
func itemMark(state string) Mark {
	word := words.Sentence(english.State(state))
	switch state {
	case models.StateHeld:
		return Mark{"bars", word, "hold"}
	case models.StateConcessionPending:
		return Mark{"bars", word, "hold"}
	case models.StateRework, models.StateRepair, models.StateReinspect, models.StateScrapPending, models.StateReturnPending:
		return Mark{"clock", word, "care"}
	}
	return Mark{"", word, ""}
}

// certificateMark is the mark of a certificate's state.
func certificateMark(state string) Mark {
	switch state {
	case models.Issued:
		return Mark{"tick", "Valid", "pass"}
	case models.Superseded:
		return Mark{"clock", "Superseded", "care"}
	case models.Void:
		return Mark{"cross", "Void", "fail"}
	}
	return Mark{}
}
