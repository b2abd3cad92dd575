// Package attention gathers what needs somebody into one list, the worst first.
//
// It believes that a list which is read every morning earns that by being short and
// by leading on: a row says one thing, with one line of evidence, since when, and the
// one act that is next, and goes straight to where that is done. What touches safety
// comes first, then what has left the shop, then what is stuck here, then what is
// merely due; inside each the oldest. A kind of which there is much has one row, and
// where the list grows long the merely due fold into a row a kind.
//
// It decides nothing and keeps nothing: every row is read from the records of what it
// is about, by counts and bounded lists that do not grow with history. Services do not
// know one another, so what they have worked out comes in as functions ([Sources]).
// Start with [Service.List].
package attention
