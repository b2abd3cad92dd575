// Package store keeps the records in a database: SQLite in one file, or
// PostgreSQL. It is the only package that imports gorm.
//
// It believes that history is added and never edited: methods say Add, Lift,
// Void and Settle, and none deletes a record of quality. Every change takes a
// models.Stamp and leaves its trail entry in the same transaction, so that no
// caller can forget it. Drafts, sessions, one-time links and files are working
// material and leave none.
//
// Start with [Open] and [Store.Migrate]. Errors are those of models:
// ErrNotFound when no record answers to a key, or a record names one that is
// not there; ErrConflict when a key is taken by other content; ErrStale when
// what a change was decided on has changed meanwhile. The database's own
// errors stop here.
//
// What is asked of the two databases differs in two places only: one
// inspection is written in two round trips on PostgreSQL and by kept statements
// on SQLite ([pipeline]), and SQLite has one connection that writes and others
// that only read. All else is one SQL for both.
package store
