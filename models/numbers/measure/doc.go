// Package measure holds measured values: exact decimals as they were typed,
// their units, and the resolution they were read with.
//
// It believes three things. A reading is text before it is a number: 0.210 was
// read to a thousandth and stays 0.210. Limits are decided on decimals, because
// 0.30 + 0.04 in binary is a hair under 0.34 and turns a verdict round. And a
// value that cannot be had (not a number, too long, a unit that does not fit)
// is an error, never a zero and never NaN.
//
// Start with [ParseReading] for what a person typed and [Parse] for what was
// stored. Extremes, differences and sums stay exact ([Decimal.Add],
// [Decimal.Sub], [Max], [Min]). A result that was computed in binary becomes a
// decimal once, by [Round], with the decimals its characteristic declares.
//
// The package refuses to guess: no thousands marks, no exponents in a reading,
// no unit read out of context.
package measure
