// Package capture takes what was read at a stand or bench and makes an
// inspection of it: readings parsed and checked, results computed, judged by
// the specification in force, stored whole or not at all.
//
// Malformed input stores nothing and every problem is named at once. A valid
// inspection is always kept: of an item already judged it is a recheck, beside
// another person's it stands as one more, with an overdue gauge it is flagged;
// and when it cannot be placed (a serial nobody knows, a clock that cannot be
// right) it is kept whole until a person settles it. Sending the same
// inspection again gives the first answer again.
//
// The verdict comes from one place, Judge, by the one rule of the specification.
package capture
