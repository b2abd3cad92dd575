// Package flow is the one table of the states of an item and of what leads from
// one to another. Whatever changes a state asks it: a recording, a hold, a
// release, a shipment, a claim, a recall, a change of parts, a disposition.
//
// Two kinds of things happen to an item. Events are what the workshop does with
// it. Corrections take a record back that an earlier event rested on. A round at
// the stand is neither: it is an inspection, and moves nothing until it passes or
// a person closes the work as nonconforming.
package flow
