// Package monitor shows how the work runs: the control chart of one result of a
// family, and what a day brought and left open.
//
// It believes that a control chart is not a verdict. A verdict holds one wheel
// against a limit that somebody set; a chart holds a value against what the
// process itself does. So a chart here carries no limit of any specification,
// and it uses the first set after stress relief of each wheel: a builder trues
// until the wheel passes, and later sets only show where people stop.
//
// The package computes nothing itself. Limits, signals and the refusal to draw
// either come from numbers/spc; their codes get words in the catalogue. Start
// with [Service.Chart] and [Service.Today].
package monitor
