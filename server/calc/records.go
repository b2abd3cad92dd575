package calc

import (
	"errors"

	"tracewright/models/numbers/conformity"
	"tracewright/models/numbers/measure"
)

// recordKinds are the calculations on verdicts and records.
var recordKinds = []Kind{
	{
		Name:    "decide",
		Does:    "verdict of a value against its limits, by a decision rule and guard band w = r x U",
		Source:  "ILAC-G8:09/2019, 4.2; ISO 14253-1; JCGM 106:2012",
		Example: `{"rule":"guarded","y":0.27,"U":0.04,"k":2,"r":1,"tl":null,"tu":0.30}`,
		Run:     of(decide),
	},
}

type decideInput struct {
	Rule string           `json:"rule"`
	Y    measure.Decimal  `json:"y"`
	U    *measure.Decimal `json:"U,omitempty"`
	K    *measure.Decimal `json:"k,omitempty"` // Recorded with U, which is expanded already.
	R    measure.Decimal  `json:"r,omitempty"`
	TL   *measure.Decimal `json:"tl,omitempty"`
	TU   *measure.Decimal `json:"tu,omitempty"`
}

type decideAnswer struct {
	Outcome conformity.Outcome `json:"outcome"`
	AL      *exact             `json:"al"`
	AU      *exact             `json:"au"`
	Reason  string             `json:"reason"`
}

// question is the input in the words of the decision.
// factor refuses a coverage factor that is none; U is expanded by it already.
func (in decideInput) factor() error {
	if in.K != nil && in.K.Sign() <= 0 {
		return refuse("k", errors.New("must be above 0"))
	}
	return nil
}

func (in decideInput) question() conformity.Question {
	return conformity.Question{
		Value:  in.Y,
		Limits: conformity.Limits{Low: in.TL, High: in.TU},
		Rule:   conformity.Rule(in.Rule),
		U:      in.U,
		R:      in.R,
	}
}

// blame names the field that a refusal to decide is about.
func (in decideInput) blame(err error) error {
	switch {
	case errors.Is(err, conformity.ErrNoUncertainty):
		return refuse("U", err)
	case errors.Is(err, conformity.ErrLimits):
		return refuse("tl, tu", err)
	case errors.Is(err, conformity.ErrRule) && !conformity.Rule(in.Rule).Known():
		return refuse("rule", err)
	case errors.Is(err, conformity.ErrRule) && in.U != nil && in.U.Sign() < 0:
		return refuse("U", err)
	case errors.Is(err, conformity.ErrRule):
		return refuse("r", err)
	}
	return refuse("input", err)
}

func decide(in decideInput) (decideAnswer, error) {
	if err := in.factor(); err != nil {
		return decideAnswer{}, err
	}
	judgement, err := conformity.Judge(in.question())
	if err != nil {
		return decideAnswer{}, in.blame(err)
	}
	return decideAnswer{
		Outcome: judgement.Outcome, Reason: judgement.Reason,
		AL: exactOf(judgement.AcceptLow), AU: exactOf(judgement.AcceptHigh),
	}, nil
}
