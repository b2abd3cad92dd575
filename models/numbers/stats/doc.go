// Package stats describes samples: where they lie, how they spread, whether
// neighbours resemble each other.
//
// It believes that a figure without its estimator is a rumour, so each function
// names the one it uses, and that arithmetic should not lose what the gauge
// saw: sums are compensated, spread is taken around the mean in a second pass,
// and the results hold the certified values of the NIST Statistical Reference
// Datasets.
//
// Missing and impossible are errors: too few values, a NaN or an infinity among
// them, a spread of nothing. No function returns NaN.
package stats
