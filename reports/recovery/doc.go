// Package recovery draws the sheet that a recovery key of backups is kept on: a
// code to be scanned, and the key in lines that can be typed again, each with its
// check.
//
// It is drawn from what it is given, which nobody keeps, and knows no database and
// no clock.
package recovery
