// Package recall calls items back: what a lot, a part, a gauge's window or the
// hands at a place reach is found, split by where it is, and frozen as the
// answer of that day. In the same step what is here goes on hold and what is
// shipped is called back. Asked again, it says what came in addition and what
// went.
//
// What was taken out again reaches nothing any more; pieces of a bin that a lot
// was mixed into reach possibly, and are called back too.
//
// Start with [Service.Preview] and [Service.Make].
package recall
