// Package sampling decides about a lot from a part of it: how many to take, how
// many bad ones may be among them, and what such a plan lets through.
//
// It believes that a plan without its operating characteristic is a habit. An
// acceptable quality limit (AQL) is not a permission to deliver so many bad
// ones, and says nothing about a single lot: what a plan does is the
// probability with which it accepts, at each quality. [Single] answers that for
// every plan, from a table or not, and [Plan] carries its Single.
//
// Start with [For], which takes lot, level and AQL to a plan of MIL-STD-105E,
// with [ZeroAcceptance] for an isolated lot, or with [TwoPoint] where the risks
// of both sides are agreed. [Inspector] follows the switching rules from lot
// to lot. For measured results, [AcceptByK] and [AcceptByM].
//
// It refuses what it does not know: reduced plans (table II-C is not carried),
// the one cell of table II-B whose arrow is not settled, and sizes that no
// workshop has, see [MaxLot] and [MaxSample].
package sampling
