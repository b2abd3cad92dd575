// Package stats describes samples: where they lie, how they spread, whether
// neighbours resemble each other, what shape they have; and compares them: groups
// with each other and with the mean of all, days exchanged by lot, before a change
// and after.
//
// It believes that a figure without its estimator is a rumour, so each function
// names the one it uses, and that arithmetic should not lose what the gauge
// saw: sums are compensated, spread is taken around the mean in a second pass,
// and the results hold the certified values of the NIST Statistical Reference
// Datasets.
//
// What is drawn by lot takes a seed, and the same seed gives the same figure.
//
// Missing and impossible are errors: too few values, a NaN or an infinity among
// them, a spread of nothing. No function returns NaN.
package stats
