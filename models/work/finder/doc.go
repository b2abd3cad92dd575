// Package finder searches how the work runs for differences that are real: by
// builder, stand, lot, product, gauge, month, weekday, and from some day on, in
// every result that has a limit, in what is lost later and in what comes back.
//
// It believes that whoever looks at a thousand comparisons will see fifty that
// look like something, so all of them are counted and only what survives is said.
// And it believes that the wheels of a day resemble each other: days are
// shuffled, whole, never single wheels.
//
// A question is one result and one way of cutting it, such as the lateral run-out
// by stand, or the lateral run-out of stand 2 over time. The largest difference
// that its cuts show is held against the largest that shuffled days show
// (numbers/stats.SearchLevels, SearchTimes). Of all questions those are answered
// that Benjamini and Hochberg find at 5 %, and within each the cuts that stand at
// the rate so left (Benjamini and Bogomolov, Journal of the Royal Statistical
// Society B 76, 2014). What a larger finding explains is folded under it: it is
// looked for once more in what that one leaves.
//
// Products are what is made on purpose, so readings are taken from the mean of
// their product; a product is looked into for changes, and for what is lost or comes
// back. Stands, builders, gauges and weekdays are compared within months.
//
// Nothing here is a ranking, and nothing says why. An effect that was picked
// because it is large is likely a little larger than the truth; its interval is
// that of the days it rests on, and does not know that it was picked.
package finder
