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
// Start with [Plot] and the name of a chart from [Charts], or with the function
// of the chart itself, such as [Individuals]. A new chart is one file and one
// line in charts.go.
//
// [Chart.WithRules] looks for runs and trends too. Each rule more finds more, and
// cries wolf more often: [RuleDesign], [EWMADesign] and [CUSUMDesign] tell how many
// points pass to a signal, in control and after a shift, and [Budget] with
// [RulesFor], [EWMAFor] and [CUSUMFor] finds the limits for the false alarms
// that somebody is ready to look into.
package spc
