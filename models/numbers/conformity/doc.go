// Package conformity turns a value and its limits into a verdict, by a decision
// rule that was fixed before the reading was taken.
//
// It believes that a verdict is decided on exact decimals, once, with the
// uncertainty and guard band stated, and that limits belong to what they
// accept: a value equal to its limit passes (JCGM 106:2012, 3.3.5). Rounding
// for paper may never make a verdict look wrong; [Shown] prints more digits
// instead.
//
// Start with [Judge]. It refuses what cannot be decided honestly: a rule with a
// guard band where no uncertainty is known, and an acceptance zone that the
// guard bands leave empty, which says that the instrument does not fit the
// tolerance.
//
// What a verdict risks is another matter and told in floating point: [ChanceOf]
// says how likely a measured item conforms, [GuardBand] which guard band keeps
// the risk of one item below a wanted one, and [GlobalRisks] what happens to the
// items of a process in the long run. No verdict is ever taken from these.
package conformity
