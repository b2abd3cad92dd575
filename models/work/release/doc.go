// Package release decides whether an item may leave, and puts that on paper.
//
// A certificate is frozen content: codes and values, taken from the records
// once and never read again. Its drawing is made when it is first opened, kept
// by the hash of its bytes, and handed out as kept ever after. What ends a
// certificate (a later revision, a void) is a record beside it.
//
// Holds stand here too, because a hold is what a release must not pass.
package release
