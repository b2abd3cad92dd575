// Package spc draws control charts: what a process does by itself, and which
// points are more than that.
//
// It believes that a control chart is not a verdict. Limits of a chart come from
// the process and say what to expect; limits of a specification come from the
// product and say what to accept; the one never stands in for the other. And it
// believes that a chart has to admit what weakens it: too few points for
// limits, limits that are provisional, neighbours that resemble each other, a
// gauge too coarse for the spread, a scale on which the values are lopsided.
// [Facts] carries these beside the numbers, and a chart that should have no
// limits has none.
//
// Start with [Plot] and the name of a chart from [Charts]. What a chart takes
// says its family: single values, subgroups of items, readings of items, counts,
// several results, values of mixed products, each a type of its own, so that
// repeat readings of one item cannot pass for a subgroup of items.
//
// Limits come from a [Baseline], whose points are left out by name and reason
// only. [Definition.Freeze] keeps them as [Limits], and [Judge] holds later
// points against them without moving them.
//
// A new chart is one file and one line in charts.go, and a specimen in
// suite_test.go, where what holds for all charts is tested.
package spc
