// Package sheet reads and writes lists as spreadsheets save them: rows of cells
// in a text, with a mark between the cells (RFC 4180 and what programs make of
// it).
//
// It believes that a person looks at the same list in a spreadsheet. So a row has
// the number that is seen there: the heading is row 1, an empty row counts, a line
// break inside a cell does not. What can be told from the text is told: the mark
// between cells, the encoding, the day in 2026-03-05 and in 05.03.2026. What can
// be read in two ways is no value: whether 03/05/2026 is in March or in May, and
// whether 1.000 is one or a thousand, only the person knows.
//
// What it writes can be opened without harm: a cell that a spreadsheet would take
// for a formula gets an apostrophe, and [Read] takes it off again.
//
// Start with [Read] and [NewWriter].
package sheet
