// Package gauges keeps the register of instruments: what each can read, how
// well, and until when its calibration holds.
//
// It believes that an overdue gauge is a fact to be seen, not a reason to lose
// work: a reading taken with one is kept and flagged. Whether a gauge is in date
// follows from its due day and today in the shop's time zone; only "in use",
// "out" and "retired" are set by a person. The due day itself is still in date.
//
// The code of an instrument and its kind never change: readings name it.
// The register shows the newest calibration and the present state; every one that was
// entered is kept beside it, so that what was measured stays under those then in force.
package gauges
