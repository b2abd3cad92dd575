// Package servertest runs the whole server on a fresh database of each kind,
// and takes requests as rows of a table: who asks for what, what is answered,
// and what is stored after.
//
// Start with [Each], which gives a shop with people of every role and a tablet,
// and hand it rows with [Shop.Run].
package servertest
