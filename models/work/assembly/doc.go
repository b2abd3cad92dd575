// Package assembly keeps the build record: which lot or numbered part went into
// which item, how many, when and by whom; what was taken out again and why; and
// wheels laced one after the other.
//
// The record only grows: a part that is taken out stays in it beside its
// removal, so that a trace of a lot finds every item that ever held some of it.
// A part is in one item at a time, and nothing is built into itself. More of a
// lot than it had can be used with a reason; the lot's balance shows it.
//
// Start with [Service.Change] and [Service.Lace].
package assembly
