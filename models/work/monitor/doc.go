// Package monitor shows how the work runs: the control chart of one result of a
// family, and what a day brought and left open.
//
// It believes that a control chart is not a verdict. A verdict holds one wheel
// against a limit that somebody set; a chart holds a value against what the
// process itself does. So a chart here carries no limit of any specification,
// and it uses the first set after stress relief of each wheel: a builder trues
// until the wheel passes, and later sets only show where people stop.
//
// A chart has phases. In each, limits come from a baseline that somebody chose, are
// frozen with it, and judge what comes later without moving; where nobody chose,
// the first points stand in. Where products share a chart each value is held
// against the usual one of its own product, so that the mix is no signal. What
// kind of chart a result gets follows from its nature, by the table in nature.go.
//
// Charts cry wolf as often as the owner allows, all of them together ([Design]):
// a point beyond its limit, and a slow smoothed mean; other rules only when they
// are asked for. A signal asks for a cause, and keeps it.
//
// The arithmetic stands in numbers/spc, the words in the catalogue. Start with
// [Service.Chart], [Service.Watched] and [Service.Today].
package monitor
