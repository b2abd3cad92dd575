package conformity

import "tracewright/models/numbers/measure"

// Rule names a decision rule. It is stored with the specification and printed
// with every result (ISO/IEC 17025:2017, 3.7 and 7.1.3).
type Rule string

// The decision rules offered. T is the tolerance interval with its limits, A
// the acceptance interval, w = r x U the guard band.
const (
	// Simple acceptance: pass inside T, else fail (ILAC-G8:09/2019, 4.2.1).
	Simple Rule = "simple"
	// Guarded acceptance: pass inside A = T less w at each limit, else fail
	// (ILAC-G8:09/2019, 4.2.2).
	Guarded Rule = "guarded"
	// NonBinary: as guarded, and conditional where the value lies within w of a
	// limit, inside or outside (ILAC-G8:09/2019, 4.2.3).
	NonBinary Rule = "nonbinary"
	// ISO14253: conformity is verified inside T by at least w, nonconformity
	// outside T by more than w, and nothing in between (ISO 14253-1).
	ISO14253 Rule = "iso14253"
)

// Rules returns the rules offered, the usual one first.
func Rules() []Rule { return []Rule{Simple, Guarded, NonBinary, ISO14253} }

// Known reports whether r is a rule of this package.
func (r Rule) Known() bool {
	for _, rule := range Rules() {
		if r == rule {
			return true
		}
	}
	return false
}

// NeedsUncertainty reports whether the rule cannot be used without one.
func (r Rule) NeedsUncertainty() bool { return r != Simple }

// UsualFactor is the guard band factor r that a rule begins with: once the expanded
// uncertainty; under ISO 14253-1 what leaves a chance of 95 % that an accepted value
// conforms, 1.65 standard uncertainties (ISO 14253-1:2017). It is empty for a rule
// without a guard band.
func (r Rule) UsualFactor() string {
	switch r {
	case Simple:
		return ""
	case ISO14253:
		return "0.82"
	}
	return "1"
}

// Limits are the tolerance limits of a characteristic; nil where there is none
// on that side. A limit belongs to what it accepts.
type Limits struct {
	Low, High *measure.Decimal
}

// Outcome is what a rule says of one value.
type Outcome string

// The outcomes. Simple and guarded give the first two.
const (
	Pass                  Outcome = "pass"
	Fail                  Outcome = "fail"
	ConditionalPass       Outcome = "conditional_pass"
	ConditionalFail       Outcome = "conditional_fail"
	ConformityVerified    Outcome = "conformity_verified"
	NonconformityVerified Outcome = "nonconformity_verified"
	NotVerified           Outcome = "not_verified"
	// Refused: the guard bands leave nothing to accept.
	Refused Outcome = "REFUSE_EMPTY_ACCEPTANCE_ZONE"
)

// Accepts reports whether the outcome lets the item through without anybody
// deciding about it.
func (o Outcome) Accepts() bool { return o == Pass || o == ConformityVerified }

// The reasons a judgement gives, codes for the message catalogue: where the
// value lies.
const (
	Within           = "within"             // Inside the acceptance limits.
	EqualToLimit     = "equal_to_limit"     // On an acceptance limit, which belongs to what is accepted.
	AboveHigh        = "above_high"         // Above the high tolerance limit.
	BelowLow         = "below_low"          // Below the low tolerance limit.
	InGuardBand      = "in_guard_band"      // Between an acceptance limit and its tolerance limit.
	NoAcceptanceZone = "no_acceptance_zone" // Low acceptance limit above the high one.
)
