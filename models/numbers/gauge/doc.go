// Package gauge asks how far a reading can be believed: uncertainty budgets and
// what they become in means, ratios and run-outs, studies of gauges and of the
// people who use them, calibration curves, and what has to be looked at again
// when a gauge turns out to have been wrong.
//
// It believes that a reading without its uncertainty is half a reading, that
// noise does not always cancel (the total of a run-out is read too large by it,
// never too small on average), and that nothing is known outside the range in
// which a gauge was calibrated. Variance components that come out negative are
// reported as they came out, beside the 0 that is used.
//
// Start with [Combine] for a budget, [Crossed] and [Nested] for studies,
// [NewCurve] for a calibration table and [Trace] for a failed gauge. It decides
// no verdict; that is the work of the package conformity, which takes the
// uncertainties found here.
//
// Chance comes in as a seed: the same seed gives the same figures. Errors are
// a [stats.ArgumentError] that names the argument.
package gauge
