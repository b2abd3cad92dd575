// Package models holds the records that Tracewright stores and the contents
// that its services and its paper share.
//
// A record is written once. What changes later is another record that names
// the earlier one: a correction names the inspection it replaces, a lift names
// its hold, a void names its certificate. The few columns that are kept only
// so that a question stays cheap (which inspection replaced this one, which
// set was the first after relief) are marked "derived": they can be rebuilt
// from the rest, and no hash covers them.
//
// Measured values are kept as the text that was typed or computed, with a
// double beside them where statistics need one; text decides, the double only
// sorts and sums. Times are UTC, cut to milliseconds. Identifiers are UUIDs.
//
// The package imports no database and no HTTP: gorm's tags are text.
package models
