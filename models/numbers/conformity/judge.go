package conformity

import (
	"errors"
	"fmt"

	"tracewright/models/numbers/measure"
)

var (
	// ErrNoUncertainty is returned when a rule with a guard band is asked for
	// and no uncertainty is known. Only simple acceptance works without.
	ErrNoUncertainty = errors.New("no uncertainty known for a rule that needs one")
	// ErrRule is returned for an unknown rule, or a guard band factor or an
	// uncertainty that the rule cannot use.
	ErrRule = errors.New("decision rule cannot be used")
	// ErrLimits is returned when there is no limit, or the low one lies above
	// the high one.
	ErrLimits = errors.New("limits cannot be used")
	// ErrNoAcceptanceZone is returned by chances and risks where the guard bands
	// leave nothing to accept, as [Judge] answers by [Refused].
	ErrNoAcceptanceZone = errors.New("no acceptance zone is left")
	// ErrNotFinite is returned for a NaN or an infinity, given or reached.
	ErrNotFinite = errors.New("not finite")
)

// Question is one value to be judged. Value, limits and uncertainty are in the
// same unit.
type Question struct {
	Value  measure.Decimal
	Limits Limits
	Rule   Rule
	// U is the expanded uncertainty, nil when it is not known.
	U *measure.Decimal
	// R is the guard band factor in w = R x U. Left out it is 1; a zero that was
	// parsed is a zero. A negative one widens the zone and needs Guarded.
	R measure.Decimal
}

// Judgement is the answer: the outcome, the acceptance limits it was found
// with (nil where there is no limit), and where the value lies.
type Judgement struct {
	Outcome               Outcome
	AcceptLow, AcceptHigh *measure.Decimal
	Reason                string
}

// Judge decides a value by its rule, on exact decimals.
//
// With w = R x U the acceptance limits are AL = TL + w and AU = TU - w; under
// simple acceptance w = 0. Values on a limit are inside (JCGM 106:2012, 3.3.5;
// ILAC-G8:09/2019, 4.2). AL > AU is refused as an outcome, AL = AU is allowed.
func Judge(q Question) (Judgement, error) {
	if err := check(q); err != nil {
		return Judgement{}, err
	}
	w, err := guardBand(q)
	if err != nil {
		return Judgement{}, err
	}
	var j Judgement
	if j.AcceptLow, err = moved(q.Limits.Low, w); err != nil {
		return Judgement{}, fmt.Errorf("low acceptance limit: %w", err)
	}
	if j.AcceptHigh, err = moved(q.Limits.High, w.Neg()); err != nil {
		return Judgement{}, fmt.Errorf("high acceptance limit: %w", err)
	}
	if j.AcceptLow != nil && j.AcceptHigh != nil && j.AcceptLow.Cmp(*j.AcceptHigh) > 0 {
		j.Outcome, j.Reason = Refused, NoAcceptanceZone
		return j, nil
	}
	outer, err := widened(q.Limits, w)
	if err != nil {
		return Judgement{}, err
	}
	accepted := Limits{Low: j.AcceptLow, High: j.AcceptHigh}
	j.Outcome = outcome(q.Rule, accepted.hold(q.Value), q.Limits.hold(q.Value), outer.hold(q.Value))
	j.Reason = reason(q.Value, q.Limits, accepted)
	return j, nil
}

// check refuses questions that have no honest answer.
func check(q Question) error {
	if !q.Rule.Known() {
		return fmt.Errorf("%q: %w", q.Rule, ErrRule)
	}
	if q.Limits.Low == nil && q.Limits.High == nil {
		return fmt.Errorf("no limit on either side: %w", ErrLimits)
	}
	if q.Limits.Low != nil && q.Limits.High != nil && q.Limits.Low.Cmp(*q.Limits.High) > 0 {
		return fmt.Errorf("low limit %v above high limit %v: %w", q.Limits.Low, q.Limits.High, ErrLimits)
	}
	if q.U == nil {
		if q.Rule.NeedsUncertainty() {
			return fmt.Errorf("%s: %w", q.Rule, ErrNoUncertainty)
		}
		return nil
	}
	if q.U.Sign() < 0 {
		return fmt.Errorf("uncertainty %v is negative: %w", q.U, ErrRule)
	}
	if q.R.Sign() < 0 && (q.Rule == NonBinary || q.Rule == ISO14253) {
		return fmt.Errorf("negative guard band factor %v under %s: %w", q.R, q.Rule, ErrRule)
	}
	return nil
}

// guardBand returns w = R x U, exactly; 0 under simple acceptance.
func guardBand(q Question) (measure.Decimal, error) {
	if q.Rule == Simple {
		return measure.FromInt(0), nil
	}
	if !q.R.Given() {
		return *q.U, nil
	}
	w, err := q.R.MulExact(*q.U)
	if err != nil {
		return measure.Decimal{}, fmt.Errorf("guard band: %w", err)
	}
	return w, nil
}

// moved returns limit + by, or nil for no limit.
func moved(limit *measure.Decimal, by measure.Decimal) (*measure.Decimal, error) {
	if limit == nil {
		return nil, nil
	}
	sum, err := limit.Add(by)
	if err != nil {
		return nil, err
	}
	return &sum, nil
}

// widened returns the limits moved outward by w, beyond which a value fails
// under every rule.
func widened(limits Limits, w measure.Decimal) (Limits, error) {
	low, err := moved(limits.Low, w.Neg())
	if err != nil {
		return Limits{}, fmt.Errorf("low limit less the guard band: %w", err)
	}
	high, err := moved(limits.High, w)
	if err != nil {
		return Limits{}, fmt.Errorf("high limit with the guard band: %w", err)
	}
	return Limits{Low: low, High: high}, nil
}

// hold reports whether the value lies inside the limits or on one of them.
func (l Limits) hold(value measure.Decimal) bool {
	return (l.Low == nil || value.Cmp(*l.Low) >= 0) && (l.High == nil || value.Cmp(*l.High) <= 0)
}

// outcome words the place of a value in the way of its rule.
func outcome(rule Rule, accepted, tolerated, nearby bool) Outcome {
	switch rule {
	case NonBinary:
		switch {
		case accepted:
			return Pass
		case tolerated:
			return ConditionalPass
		case nearby:
			return ConditionalFail
		}
		return Fail
	case ISO14253:
		switch {
		case accepted:
			return ConformityVerified
		case nearby:
			return NotVerified
		}
		return NonconformityVerified
	default:
		if accepted {
			return Pass
		}
		return Fail
	}
}

// reason says where the value lies. Acceptance limits come first: a value on
// one is accepted because of it, whatever the tolerance.
func reason(value measure.Decimal, tolerance, accepted Limits) string {
	if accepted.hold(value) {
		if onLimit(value, accepted.Low) || onLimit(value, accepted.High) {
			return EqualToLimit
		}
		if tolerance.hold(value) {
			return Within
		}
		return InGuardBand // The zone was widened on purpose.
	}
	switch {
	case tolerance.High != nil && value.Cmp(*tolerance.High) > 0:
		return AboveHigh
	case tolerance.Low != nil && value.Cmp(*tolerance.Low) < 0:
		return BelowLow
	}
	return InGuardBand
}

func onLimit(value measure.Decimal, limit *measure.Decimal) bool {
	return limit != nil && value.Cmp(*limit) == 0
}
