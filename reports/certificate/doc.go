// Package certificate puts an inspection certificate on paper: frozen content
// in, the bytes of a PDF out. It looks nothing up: no clock, no database, and
// the same content gives the same bytes.
//
// The first page is complete for a buyer: who stands behind it, the item, every
// result with its limit, uncertainty and verdict, the decision rule, the
// statement and the people. The pages after it are for an inspector: readings
// drawn and as typed, remarks, instruments, cautions, and how to check the
// paper. The content itself is attached as a file, and the page is drawn from
// nothing else; Draw refuses when the two differ.
//
// A result that fails is printed as such, with a cross, the word and the
// statement of what is not met; whether such a paper may leave is the
// service's decision, not the drawing's. Each page names number, revision and
// its place among the pages; a superseded or void certificate says so on every
// one of them.
//
// It claims no accreditation and is no calibration certificate.
package certificate
