// Package life describes how long things last when most of them have not failed
// yet.
//
// It believes that a unit that still runs is information, not a gap: its life is
// censored at its age now, and leaving it out makes every product look worse
// than it is. It believes, too, that a curve says less the fewer units stand
// behind it, so that points with few at risk are marked, and that under
// [ShapeFailures] failures nobody can tell early failures from wear: a fit says
// so, and [AssumedShape] gives a range for a shape that is assumed instead.
//
// Start with [KaplanMeier] for what was seen, with [FitWeibull],
// [FitLognormal] or [FitExponential] for a law behind it, with [Fit.Forecast]
// for the failures to expect, and with [Triangle] where shipments and returns
// are counted by month. All of them take a failure at the same moment as a
// censoring to come first.
//
// Lives are in any unit of time, the same throughout; results are in it too.
package life
